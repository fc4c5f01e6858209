package formula_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

func TestWorking(t *testing.T) {
	type want struct {
		bare, si float64 // NaN where there is none
		dim      string
	}
	none := math.NaN()
	for _, c := range []struct {
		line, label, stated string
		want                []want
	}{
		{"Q = 12.4 ÷ 60 × 0.988 × 4.18 × (69.8 − 51.3) = 15.8 kW", "Q", "15.8 kW", []want{{15.7897549333, 15.7897549333, ""}, {15.8, 15800, "kg·m²/s³"}}},
		{"0.28 x 4.19 x (70-50) = 23.464 = 23.5 kW", "", "23.5 kW", []want{{23.464, 23.464, ""}, {23.464, 23.464, ""}, {23.5, 23500, "kg·m²/s³"}}},
		{"heat output: 0.2 kg/s × 4.19 kJ/kgK × 20 °C ≈ 16.8 kW", "heat output", "16.8 kW", []want{{16.76, 16760, "kg·m²/s³"}, {16.8, 16800, "kg·m²/s³"}}},
		{"dT = tf - tr = 18.5 K", "dT", "18.5 K", []want{{18.5, 18.5, "K"}, {18.5, 18.5, "K"}}},
		{"TF − TR = 18.5", "", "18.5 ", []want{{18.5, 18.5, "K"}, {18.5, 18.5, ""}}},
		{"3 + 4 = 7 × 2 = 14", "", "14 ", []want{{7, 7, ""}, {14, 14, ""}, {14, 14, ""}}},
		{"75 % × 20 = 15", "", "15 ", []want{{15, 15, ""}, {15, 15, ""}}},
		{"20 + 5 kW = 25 kW", "", "25 kW", []want{{25, none, ""}, {25, 25000, "kg·m²/s³"}}},
		{"m = 12.4/60", "m", "", []want{{12.4 / 60, 12.4 / 60, ""}}},
		{"70 °C − 50 °C = 20 K", "", "20 K", []want{{20, 20, "K"}, {20, 20, "K"}}},
		{"heat output = qv n (tf − tr) = 7", "heat output", "7 ", []want{{12.4 * 1.3 * 18.5, 12.4 / 60000 * 1.3 * 18.5, "m³·K/s"}, {7, 7, ""}}},
		{"Q = n(tf − tr) = 1.2×10^3 W", "Q", "1.2e3 W", []want{{1.3 * 18.5, 1.3 * 18.5, "K"}, {1200, 1200, "kg·m²/s³"}}},
		{"2 × 7.9 KW = 15.8 Kw", "", "15.8 kW", []want{{15.8, 15800, "kg·m²/s³"}, {15.8, 15800, "kg·m²/s³"}}},
		{"P = mcΔT = 0.2 × 4.19 × 20", "P", "", []want{{none, none, ""}, {16.76, 16.76, ""}}},
		{"18.5 K", "", "18.5 K", []want{{18.5, 18.5, "K"}}},
		{"u × 2 = -4", "", "-4 ", []want{{none, none, ""}, {-4, -4, ""}}},
	} {
		w, err := formula.ParseWorking(c.line)
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		n, u, _, ok := w.Stated()
		stated := n.Canonical() + " " + u.String()
		if !ok {
			stated = ""
		}
		if w.Label != c.label || stated != c.stated || len(w.Segments) != len(c.want) {
			t.Errorf("%q: label %q, stated %q, %d segments; want %q, %q, %d", c.line, w.Label, stated, len(w.Segments), c.label, c.stated, len(c.want))
			continue
		}
		for i, got := range w.Evaluate(testEnv(), siValue) {
			x := c.want[i]
			if !same(got.Bare, got.BareErr, x.bare) || !same(got.SI, got.UnitErr, x.si) || got.UnitErr == nil && got.Dimension.String() != x.dim {
				t.Errorf("%q segment %d: %+v, want %+v", c.line, i, got, x)
			}
		}
	}
}

func same(got float64, err error, want float64) bool {
	if math.IsNaN(want) {
		return err != nil
	}
	return err == nil && math.Abs(got-want) <= 1e-11*math.Abs(want)
}

// TestWorkingDegrees: degrees for a difference are forgiven with a note, once.
func TestWorkingDegrees(t *testing.T) {
	w, err := formula.ParseWorking("0.2 kg/s × 4.19 kJ/kgK × 20 °C = 16.76 kW")
	if err != nil {
		t.Fatal(err)
	}
	got := w.Evaluate(testEnv(), siValue)[0]
	if len(got.Notes) != 1 || got.Notes[0] != quantity.NoteDegreesForDifference.String() || !got.AllUnits {
		t.Errorf("notes %q, all units %v; want the note on degrees once, true", got.Notes, got.AllUnits)
	}
}

func TestWorkingWrong(t *testing.T) {
	for _, c := range []struct {
		line, wrong string
		at          int
		ambiguous   bool
	}{
		{"Q = 0,28 × 4.19", "There is a comma here", 5, true},
		{"Q = ", "Nothing stands behind", 4, false},
		{"", "Something is missing", 0, false},
		{"3 + = 4", "Something is missing before this equals sign", 4, false},
		{"3 + 4 =", "Nothing stands behind", 7, false},
		{"3 + 4 = 7 < 8", "A formula has no comparison", 10, false},
		{"Q = 1 250 × 2", "A sign is missing", 6, false},
		{strings.Repeat("1+", 300) + "1", "This is 601 bytes long; at most 400 are read.", 0, false},
		{"1" + strings.Repeat("=1", 25), "A line has at most 20 equals signs", 40, false},
	} {
		_, err := formula.ParseWorking(c.line)
		var e *formula.Error
		if !errors.As(err, &e) || !strings.HasPrefix(e.Message, c.wrong) || e.Pos != c.at || errors.Is(err, quantity.ErrAmbiguous) != c.ambiguous {
			t.Errorf("%.40q: got %v, want at %d %q", c.line, err, c.at, c.wrong)
			if e != nil {
				t.Logf("%d\n%s", e.Pos, e.Caret())
			}
		}
	}
}
