package main

import (
	"strings"
	"testing"
	"time"
)

func TestMedian(t *testing.T) {
	for _, c := range []struct {
		values []float64
		want   float64
	}{
		{[]float64{3}, 3}, {[]float64{4, 1}, 2.5}, {[]float64{9, 1, 5}, 5}, {[]float64{5, 4, 3, 2, 100}, 4},
	} {
		if got := median(c.values); got != c.want {
			t.Errorf("median(%v) = %v, want %v", c.values, got, c.want)
		}
	}
}

// The ratio that counts is the median of the rounds' ratios, not the ratio of the medians; a bar is met exactly at it.
func TestResult(t *testing.T) {
	r := result{bar{name: "handing over", oursIs: "echo", theirIs: "pgbench", least: 0.5}, []pair{{50, 100}, {30, 100}, {200, 210}}}
	ours, theirs, ratio := r.medians()
	if ours != 50 || theirs != 100 || ratio != 0.5 {
		t.Errorf("medians %v, %v, %v; want 50, 100, 0.5", ours, theirs, ratio)
	}
	for least, want := range map[float64]string{0.5: "PASS", 0.51: "MISS"} {
		var out strings.Builder
		r.least = least
		if err := r.print(&out); err != nil {
			t.Fatal(err)
		}
		for _, part := range []string{"echo", "pgbench", "0.300", "0.952", want} {
			if !strings.Contains(out.String(), part) {
				t.Errorf("bar %v: no %q in\n%s", least, part, out.String())
			}
		}
		if r.passed() != (want == "PASS") {
			t.Errorf("bar %v: passed is %v", least, r.passed())
		}
	}
}

func TestReadPgbench(t *testing.T) {
	// As pgbench 15.18 prints it, shortened; the first second does not count.
	report := `pgbench (15.18 (Debian 15.18-0+deb12u1))
progress: 1.0 s, 54.0 tps, lat 21.060 ms stddev 2.1, 0 failed
progress: 2.0 s, 400.0 tps, lat 21.060 ms stddev 2.1, 0 failed
progress: 4.0 s, 100.0 tps, lat 21.060 ms stddev 2.1, 0 failed
number of transactions actually processed: 656
number of failed transactions: 0 (0.000%)
tps = 163.9 (without initial connection time)
`
	got, err := readPgbench(report)
	if want := (tally{656, 600, 3 * time.Second}); err != nil || got != want || got.perSecond() != 200 {
		t.Errorf("got %+v, %v; want %+v", got, err, want)
	}
	for name, bad := range map[string]string{
		"nothing": "", "failures": strings.Replace(report, "transactions: 0", "transactions: 3", 1),
		"no progress": strings.ReplaceAll(report, "progress", "regress"), "a stand-still": strings.NewReplacer("400.0", "0.0", "100.0", "0.0").Replace(report),
	} {
		if got, err := readPgbench(bad); err == nil {
			t.Errorf("%s: got %+v, want trouble", name, got)
		}
	}
}
