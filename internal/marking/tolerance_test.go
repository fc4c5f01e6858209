package marking

import (
	"encoding/json"
	"math/big"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/quantity"
)

// data is the folder of this package's test data, from here.
const data = "../../testdata/marking"

func decode(t *testing.T, name string, into any) {
	t.Helper()
	raw, err := os.ReadFile(filepath.Join(data, name))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(raw, into); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		t.Fatalf("%q is no fraction", s)
	}
	f, _ := r.Float64()
	return f
}

// toleranceOf reads the notation of the example files: abs, rel (in percent), exact.
func toleranceOf(t *testing.T, kind string, value float64) Tolerance {
	t.Helper()
	switch kind {
	case "abs":
		return Tolerance{Absolute: value}
	case "rel":
		return Tolerance{Relative: value / 100}
	case "exact":
		return Tolerance{Exact: true}
	}
	t.Fatalf("unknown kind of tolerance %q", kind)
	return Tolerance{}
}

// The verdicts in boundary.json were worked with exact fractions, with the policy; it holds four cases in which plain
// float64 arithmetic decides otherwise.
func TestPolicy04BoundariesAreInclusive(t *testing.T) {
	var rows []struct {
		Reference string
		Kind      string `json:"tolerance_kind"`
		Tolerance string
		Stated    string
		Want      bool `json:"expected_inside"`
	}
	decode(t, "boundary.json", &rows)
	if len(rows) != 14 {
		t.Fatalf("got %d boundary cases, want 14", len(rows))
	}
	for _, r := range rows {
		tol := toleranceOf(t, r.Kind, number(t, r.Tolerance))
		if got := tol.Accepts(number(t, r.Reference), number(t, r.Stated), 0); got != r.Want {
			t.Errorf("%s against %s, %s %s: got %v, want %v", r.Stated, r.Reference, r.Kind, r.Tolerance, got, r.Want)
		}
	}
}

// vectors.json: 996 sets of inputs for 83 calculations of the trade, with the answer, its tolerance and the value that
// each known slip leads to, worked by a separate program with the policy.
func TestVectorsTolerancesAndSlips(t *testing.T) {
	var rows []struct {
		Calc      string
		Answer    float64
		Tolerance struct {
			Kind  string
			Value float64
		}
		Slips map[string]struct {
			Value   float64
			Outside bool `json:"outside_tolerance"`
		} `json:"mal_rules"`
	}
	decode(t, "vectors.json", &rows)
	if len(rows) != 996 {
		t.Fatalf("got %d vectors, want 996", len(rows))
	}
	slips := 0
	for i, r := range rows {
		tol := toleranceOf(t, r.Tolerance.Kind, r.Tolerance.Value)
		if !tol.Accepts(r.Answer, r.Answer, 0) {
			t.Errorf("%d %s: the answer %v is not right against itself", i, r.Calc, r.Answer)
		}
		if s := statedFor(tol, r.Answer); !tol.Accepts(r.Answer, number(t, s), 0) {
			t.Errorf("%d %s: %v stated as %s is not accepted, %+v", i, r.Calc, r.Answer, s, tol)
		}
		for key, slip := range r.Slips {
			slips++
			if got := !tol.Accepts(r.Answer, slip.Value, 0); got != slip.Outside {
				t.Errorf("%d %s %s: %v against %v outside: got %v, want %v", i, r.Calc, key, slip.Value, r.Answer, got, slip.Outside)
			}
		}
	}
	if slips < 3000 {
		t.Errorf("only %d slips were looked at", slips)
	}
}

// statedFor writes an answer with the digits that a person would state: one more than the tolerance needs.
func statedFor(tol Tolerance, answer float64) string {
	if tol.Exact {
		return strings.Replace(quantity.RoundDecimals(answer, 0), "−", "-", 1)
	}
	for n := 3; ; n++ {
		s := strings.Replace(quantity.RoundFigures(answer, n), "−", "-", 1)
		if v, err := strconv.ParseFloat(s, 64); err == nil && (v-answer)*(v-answer)*100 <= max(tol.Absolute, tol.Relative*answer)*max(tol.Absolute, tol.Relative*answer) || n == 12 {
			return s
		}
	}
}

func TestPolicy01EveryKindOfTolerance(t *testing.T) {
	bound := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		name   string
		tol    Tolerance
		ref    float64
		stated string
		want   bool
	}{
		{"absolute inside", Tolerance{Absolute: 0.1}, 18.5, "18.6", true},
		{"absolute outside", Tolerance{Absolute: 0.1}, 18.5, "18.61", false},
		{"relative at a negative reference", Tolerance{Relative: 0.1}, -20, "-22", true},
		{"relative outside at a negative reference", Tolerance{Relative: 0.1}, -20, "-22.1", false},
		{"relative at zero accepts only zero", Tolerance{Relative: 0.1}, 0, "0", true},
		{"relative at zero refuses the rest", Tolerance{Relative: 0.1}, 0, "0.001", false},
		{"either: the relative is larger", Tolerance{Absolute: 0.1, Relative: 0.05}, 10, "10.5", true},
		{"either: the absolute is larger", Tolerance{Absolute: 0.1, Relative: 0.05}, 1, "1.1", true},
		{"either: outside both", Tolerance{Absolute: 0.1, Relative: 0.05}, 10, "10.51", false},
		{"nothing set asks for the reference", Tolerance{}, 3, "3", true},
		{"0.1 + 0.2 is 0.3 at no tolerance", Tolerance{Absolute: 0}, 0.1 + 0.2, "0.3", true},
		{"exact", Tolerance{Exact: true}, 35, "28", false},
		{"three figures", Tolerance{Figures: 3}, 15.7921, "15.8", true},
		{"three figures, one more stated", Tolerance{Figures: 3}, 15.7921, "15.79", true},
		{"three figures, one less stated", Tolerance{Figures: 3}, 15.7921, "16", false},
		{"three figures, more stated that round the other way", Tolerance{Figures: 3}, 15.7461, "15.746", true},
		{"three figures, tie rounds half up", Tolerance{Figures: 3}, 1.005, "1.01", true},
		{"three figures, tie not to even", Tolerance{Figures: 2}, 0.125, "0.12", false},
		{"three figures, negative tie goes away from zero", Tolerance{Figures: 1}, -2.5, "-3", true},
		{"three figures, integer zeros", Tolerance{Figures: 3}, 23412, "23400", true},
		{"figures of a power of ten", Tolerance{Figures: 3}, 100, "1.00e2", true},
		{"leading zeros are no figures", Tolerance{Figures: 3}, 0.01, "0.0100", true},
		{"at least: the reference", Tolerance{AtLeast: true}, 11.053, "11.053", true},
		{"at least: a little less is not enough", Tolerance{AtLeast: true}, 11.053, "11", false},
		{"at least: far more", Tolerance{AtLeast: true}, 11.053, "1000", true},
		{"at least: up to the bound", Tolerance{AtLeast: true, Bound: bound(20)}, 11.053, "20", true},
		{"at least: beyond the bound", Tolerance{AtLeast: true, Bound: bound(20)}, 11.053, "20.1", false},
		{"at most: the reference", Tolerance{AtMost: true}, 3.75, "3.75", true},
		{"at most: a little more", Tolerance{AtMost: true}, 3.75, "3.76", false},
		{"at most: down to the bound", Tolerance{AtMost: true, Bound: bound(1)}, 3.75, "0.9", false},
	} {
		t.Run(c.name, func(t *testing.T) {
			n, err := quantity.ParseNumber(c.stated)
			if err != nil {
				t.Fatal(err)
			}
			_, digits := n.SignificantFigures()
			if got := c.tol.Accepts(c.ref, n.Value(), digits); got != c.want {
				t.Errorf("%s against %v with %+v: got %v, want %v", c.stated, c.ref, c.tol, got, c.want)
			}
		})
	}
}

func TestPolicy05LimitsHaveNoTolerance(t *testing.T) {
	end := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		name  string
		limit Limit
		value float64
		want  bool
	}{
		{"on the upper end", Limit{AtMost: end(0.8)}, 0.8, true},
		{"a converted value on the upper end", Limit{AtMost: end(0.3)}, 0.1 + 0.2, true},
		{"the smallest step above", Limit{AtMost: end(0.8)}, 0.80000000001, false},
		{"one digit above", Limit{AtMost: end(80)}, 80.01, false},
		{"on the lower end", Limit{AtLeast: end(19)}, 19, true},
		{"below the lower end", Limit{AtLeast: end(19)}, 18.999999999, false},
		{"between", Limit{AtLeast: end(19), AtMost: end(23)}, 21.3, true},
		{"above both", Limit{AtLeast: end(19), AtMost: end(23)}, 23.1, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			if got := c.limit.Keeps(c.value); got != c.want {
				t.Errorf("%v under %s: got %v, want %v", c.value, c.limit.Words("Ω"), got, c.want)
			}
		})
	}
}

func TestToleranceInWords(t *testing.T) {
	b := 20.0
	for _, c := range []struct {
		tol  Tolerance
		want string
	}{
		{Tolerance{Absolute: 0.1}, "±\u20090.1\u2009K"},
		{Tolerance{Relative: 0.025}, "±\u20092.5\u2009%"},
		{Tolerance{Absolute: 2, Relative: 0.03}, "±\u20092\u2009K or ±\u20093\u2009%, whichever is more"},
		{Tolerance{Figures: 3}, "to 3 significant figures"},
		{Tolerance{AtLeast: true, Bound: &b}, "this or more, up to 20\u2009°C"},
		{Tolerance{AtMost: true}, "this or less"},
		{Tolerance{Exact: true}, "exactly"},
	} {
		if got := c.tol.Words("°C", "K"); got != c.want {
			t.Errorf("%+v: got %q, want %q", c.tol, got, c.want)
		}
	}
}

func TestToleranceIsSymmetric(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ref := rapid.Float64Range(-1e6, 1e6).Draw(t, "reference")
		d := rapid.Float64Range(0, 1e5).Draw(t, "difference")
		tol := Tolerance{Absolute: rapid.Float64Range(0, 1e5).Draw(t, "absolute"), Relative: rapid.Float64Range(0, 0.5).Draw(t, "relative")}
		if up, down := tol.Accepts(ref, ref+d, 0), tol.Accepts(ref, ref-d, 0); up != down {
			// The sum and the difference are rounded to different last bits; only a difference on the very edge may differ.
			if edge := max(tol.Absolute, tol.Relative*abs(ref)); abs(d-edge) > 1e-8*max(edge, abs(ref)) {
				t.Fatalf("%v ± %v with %+v: %v above, %v below", ref, d, tol, up, down)
			}
		}
		if !tol.Accepts(ref, ref, 0) {
			t.Fatalf("%v is not right against itself with %+v", ref, tol)
		}
		if tol.Accepts(ref, ref+d, 0) != tol.Accepts(-ref, -ref-d, 0) {
			t.Fatalf("%v + %v with %+v: turning all signs changes the verdict", ref, d, tol)
		}
	})
}

func abs(x float64) float64 { return max(x, -x) }
