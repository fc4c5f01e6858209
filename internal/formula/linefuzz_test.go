package formula_test

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// FuzzLine: nothing panics, errors point into the text, each segment has a value or says why not; a Reader that read
// something else before gives the same; the ranges hold the values; folding look-alikes changes no value; a printed
// segment reads back as the same tree; cost is bounded.
func FuzzLine(f *testing.F) {
	for _, s := range []string{
		heatLine, "Q = 0.28 x 4.19 x (70-50) = 23.464 = 23.5 kW", "0^10", "1/0.988", "1/(0.988-0.98804)", "½ m = 1/2 m", "delta T = t₁ − ta", "0.204 - 0.204",
		"heat: 3+4=7×2=14", "=1", "Q==1", "a:b:c", "20 °C × 3 W = 4", "1≈2~=3", "Q : 3", "x = 3 x 4", "n(tf − tr)", "min(0.988, 0.204) + interp(0.988, 0, 0, 1, 1)", "1/(1/(0.988 − 0.9885))", "2 × 7.9 KW", "3 x -2 = -6", "1\u2009250 ≈ 1,250", "−3 °C + 0.988 K",
		"(69.8 − 51.3) °C", "rho(tf) × 0.988", "1/2 m/1/2 m", "5 % + 3 ‰", "0.988^0.204", "√0.988", "0.988 L/min/0.204 L/min", "4.18 kJ/kgK × 20 °C",
	} {
		f.Add(s)
	}
	var kept formula.Reader
	f.Fuzz(func(t *testing.T, text string) {
		sheet := heatSheet()
		if steps := formula.LineSteps(text, sheet); len(text) <= formula.MaxLine && steps > maxSteps(len(text)) {
			t.Fatalf("%q: %d steps for %d bytes", text, steps, len(text))
		}
		if _, err := kept.Read(heatLine); err != nil {
			t.Fatal(err)
		}
		kept.Evaluate(sheet)
		w, err := kept.Read(text)
		fresh, freshErr := formula.ParseWorking(text)
		if (err == nil) != (freshErr == nil) {
			t.Fatalf("%q: %v when read again, %v when read first", text, err, freshErr)
		}
		if err != nil {
			checkError(t, text, err)
			return
		}
		w.Stated()
		got := kept.Evaluate(sheet)
		for i, v := range got {
			if s := w.Segments[i]; s.Pos < 0 || s.End < s.Pos || s.End > len(text) {
				t.Fatalf("%q: segment %d is at %d to %d", text, i, s.Pos, s.End)
			}
			checkSegment(t, text, v)
			checkPrinted(t, w.Segments[i].Expr)
			if !sameTree(w.Segments[i].Expr.Root(), fresh.Segments[i].Expr.Root()) {
				t.Fatalf("%q: segment %d depends on what was read before", text, i)
			}
		}
		if folded, _ := quantity.Fold(text); len(folded) <= formula.MaxLine {
			var r formula.Reader
			if _, err := r.Read(folded); err != nil {
				t.Fatalf("%q folds to %q, which reads %v", text, folded, err)
			}
			for i, v := range r.Evaluate(sheet) {
				if w := got[i]; !sameValue(v.SI, v.UnitErr, w.SI, w.UnitErr) || !sameValue(v.Bare, v.BareErr, w.Bare, w.BareErr) {
					t.Fatalf("%q folds to %q, where segment %d is %+v, not %+v", text, folded, i, v, w)
				}
			}
		}
	})
}

func sameValue(a float64, aErr error, b float64, bErr error) bool {
	return (aErr == nil) == (bErr == nil) && (aErr != nil || math.Float64bits(a) == math.Float64bits(b))
}

func checkSegment(t *testing.T, text string, v formula.SegmentValue) {
	t.Helper()
	for _, x := range []struct {
		value float64
		in    formula.Interval
		err   error
	}{{v.SI, v.SIRange, v.UnitErr}, {v.Bare, v.BareRange, v.BareErr}} {
		if x.err != nil {
			checkError(t, text, x.err)
		} else if !(math.Abs(x.value) <= quantity.MaxMagnitude) || !(x.in.Lo <= x.value && x.value <= x.in.Hi) {
			t.Fatalf("%q: %v in %v", text, x.value, x.in)
		}
	}
}

// checkPrinted reads a segment's canonical form.
func checkPrinted(t *testing.T, e *formula.Expr) {
	t.Helper()
	if len(e.String()) > formula.MaxLine {
		return
	}
	again, err := formula.ParseWorking(e.String())
	if err != nil && strings.HasPrefix(err.Error(), "Brackets and powers are nested") {
		return
	}
	if err != nil || len(again.Segments) != 1 || again.Label != "" || !sameTree(e.Root(), again.Segments[0].Expr.Root()) {
		t.Fatalf("%q prints %q, which reads %+v, %v", e.Source(), e, again, err)
	}
}

// TestPrefixScales: a number a thousand times as large in a unit a thousandth as large has the same value, wherever it
// stands.
func TestPrefixScales(t *testing.T) {
	pairs := [][2]string{{"kW", "W"}, {"m", "mm"}, {"bar", "mbar"}, {"kJ/(kg·K)", "J/(kg·K)"}, {"m³/h", "L/h"}, {"kPa/m", "Pa/m"}, {"MΩ", "kΩ"}, {"kg", "g"}}
	shapes := []string{"% × 2", "√(% × %)", "(%)²", "1 / %", "min(%, 3 × %)", "(% + %)/2 − 0.25 × %", "% / 7 s", "2^3 × %"}
	rapid.Check(t, func(t *rapid.T) {
		pair := rapid.SampledFrom(pairs).Draw(t, "units")
		n := rapid.IntRange(1, 99999).Draw(t, "number")
		shape := rapid.SampledFrom(shapes).Draw(t, "shape")
		large := strings.ReplaceAll(shape, "%", strconv.Itoa(n)+" "+pair[0])
		small := strings.ReplaceAll(shape, "%", strconv.Itoa(n)+"000 "+pair[1])
		a, b := segment(t, large), segment(t, small)
		if a.Dimension != b.Dimension || math.Abs(a.SI-b.SI) > 1e-14*math.Abs(a.SI) {
			t.Fatalf("%s = %v, %s = %v", large, a.SI, small, b.SI)
		}
	})
}

func segment(t *rapid.T, line string) formula.SegmentValue {
	w, err := formula.ParseWorking(line)
	if err != nil {
		t.Fatal(err)
	}
	v := w.Evaluate(testEnv(), siValue)[0]
	if v.UnitErr != nil {
		t.Fatal(v.UnitErr)
	}
	return v
}
