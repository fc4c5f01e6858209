package rounds

import (
	"strings"
	"testing"
)

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{3}, 3}, {[]float64{4, 1}, 2.5}, {[]float64{9, 1, 5}, 5}, {[]float64{5, 4, 3, 2, 100}, 4},
	} {
		if got := Median(c.values); got != c.want {
			t.Errorf("Median(%v) = %v, want %v", c.values, got, c.want)
		}
	}
}

// The ratio that counts is the median of the rounds' ratios, not the ratio of the medians; a bar is met exactly at it.
func TestResult(t *testing.T) {
	r := Result{Bar{Name: "handing over", Unit: "a second", Ours: "echo", Theirs: "pgbench"}, []Round{{50, 100}, {30, 100}, {200, 210}}, "slope 1.00"}
	ours, theirs, ratio := r.Medians()
	if ours != 50 || theirs != 100 || ratio != 0.5 {
		t.Errorf("medians %v, %v, %v; want 50, 100, 0.5", ours, theirs, ratio)
	}
	for _, c := range []struct {
		kind  Kind
		limit float64
		want  string
	}{
		{AtLeast, 0.5, "PASS"}, {AtLeast, 0.51, "MISS"}, {AtMost, 0.5, "PASS"}, {AtMost, 0.49, "MISS"}, {Faster, 2, "PASS"}, {Faster, 2.01, "MISS"},
	} {
		var out strings.Builder
		r.Kind, r.Limit = c.kind, c.limit
		if err := r.Print(&out); err != nil {
			t.Fatal(err)
		}
		for _, part := range []string{"echo", "pgbench", "handing over, a second", c.want + "; slope 1.00"} {
			if !strings.Contains(out.String(), part) {
				t.Errorf("%+v: no %q in\n%s", c, part, out.String())
			}
		}
		if r.Passed() != (c.want == "PASS") {
			t.Errorf("%+v: passed is %v", c, r.Passed())
		}
	}
}

func TestSlope(t *testing.T) {
	if got := Slope([]float64{0, 1, 2, 3}, []float64{1, 3, 5, 7}); got != 2 {
		t.Errorf("the slope of a line is %v, want 2", got)
	}
}
