package formula_test

import (
	"math"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestRanges: a number that an earlier result was rounded to stands for half of its last place either way, each use of
// one result for the same; what agrees with a given, and everything else, is exact. Wanted ends were worked out apart.
func TestRanges(t *testing.T) {
	sheet := heatSheet()
	for _, text := range []string{"1248 W", "0.33333", "0.66667", "0.11111", "0.22222"} {
		q, err := quantity.ParseQuantity(text)
		if err != nil {
			t.Fatal(err)
		}
		sheet.Known = append(sheet.Known, formula.Known{SI: q.SI(), Unit: q.Unit, Own: true})
	}
	inf := math.Inf(1)
	for _, c := range []struct {
		line   string
		lo, hi float64
	}{
		{heatLine, 15781.764166666668, 15797.745700000001},
		{"0.204 kg/s × 4.18 kJ/kgK × 18.5 °C", 15736.655, 15813.985},
		{"0.28 × 4.19 × (70 − 50)", 23.464, 23.464},                       // nothing was worked out before
		{"12.4 L/min × 2", 2 * 12.4 / 60000, 2 * 12.4 / 60000},            // a given
		{"0.988 / (0.988 + 1)", 0.49685534591194969, 0.49710837314558710}, // both the same
		{"0.988 − 0.988", 0, 0},
		{"0.988 × 0.204", 0.9875 * 0.2035, 0.9885 * 0.2045}, // two results
		{"1 × 2", 2, 2},        // a single digit is no rounded result
		{"1250 W", 1245, 1255}, // the zero may stand for want of digits
		{"1250.0 W", 1250, 1250},
		{"1248 W", 1247.5, 1248.5},
		{"1/(0.988 − 0.9882)", -inf, inf}, // 0.9882 lies within
		{"√(0.988 − 0.988 × 1)", 0, 0},
		{"√(0.988 − 0.98)", math.Sqrt(0.0075), math.Sqrt(0.0085)},
		{"√(0.988 − 0.9878)", -inf, inf},
		{"0.3333 + 0.6667 + 0.1111 + 0.2222", 1.3331, 1.3335}, // four: their deviations add up
		{"interp(0.988, 0, 0, 1, 2)", 1.975, 1.977},           // through a table
		{"interp(0.988, 0, 0, 0.9882, 2)", -inf, inf},         // and beyond its end
		{"min(0.988, 0.9881)", 0.9875, 0.9881},
		{"½ × 0.988", 0.49375, 0.49425},
	} {
		var r formula.Reader
		if _, err := r.Read(c.line); err != nil {
			t.Fatal(caret(err))
		}
		v := r.Evaluate(sheet)[0]
		if v.UnitErr != nil || !near(v.SIRange.Lo, c.lo) || !near(v.SIRange.Hi, c.hi) {
			t.Errorf("%s: %v in %v, %v; want in [%v, %v]", c.line, v.SI, v.SIRange, v.UnitErr, c.lo, c.hi)
		}
	}
}

func near(a, b float64) bool { return a == b || math.Abs(a-b) <= 1e-12*math.Abs(b) }
