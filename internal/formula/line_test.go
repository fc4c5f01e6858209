package formula_test

import (
	"math"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// heatLine is an ordinary line of working with all its units.
const heatLine = "Q = 12.4 L/min × 0.988 kg/L × 4.18 kJ/(kg·K) × (69.8 − 51.3) K = 15.8 kW"

// heatSheet is what it is read against: the readings, and two earlier results of the trainee's own.
func heatSheet() *formula.Sheet {
	kW := quantity.MustUnit("kW")
	known := func(text string, own bool) formula.Known {
		q, err := quantity.ParseQuantity(text)
		if err != nil {
			panic(err)
		}
		return formula.Known{SI: q.SI(), Unit: q.Unit, Own: own}
	}
	return &formula.Sheet{Env: testEnv(), Values: siValue, Asked: &kW, Known: []formula.Known{
		known("12.4 L/min", false), known("69.8 °C", false), known("51.3 °C", false), known("4.18 kJ/(kg·K)", false),
		known("0.98804 kg/L", true), known("0.20418 kg/s", true),
	}}
}

// TestReaderAllocatesNothing: from text to values, dimensions and ranges, once the units have been met.
func TestReaderAllocatesNothing(t *testing.T) {
	sheet := heatSheet()
	for _, line := range []string{
		heatLine,
		"Q = 0.28 x 4.19 x (70-50) = 23.464 = 23.5 kW",
		"heat output: 0.204 kg/s × 4.18 kJ/kgK × 18.5 °C ≈ 15.8 kW",
		"dT = tf − tr = 18.5 K",
		"d² × π/4 = 380 mm²",
		"2½ m + √(16 m²) + min(1 m, 2 m) = 7.5 m",
	} {
		var r formula.Reader
		n := testing.AllocsPerRun(100, func() {
			if _, err := r.Read(line); err != nil {
				t.Fatal(caret(err))
			}
			for _, v := range r.Evaluate(sheet) {
				if v.UnitErr != nil || v.BareErr != nil {
					t.Fatal(v.UnitErr, v.BareErr)
				}
			}
		})
		if n != 0 {
			t.Errorf("%q: %v allocations, want none", line, n)
		}
	}
}

// TestLineAgreesWithProgram: a formula worked out as a line has bit for bit the value that its program gives.
func TestLineAgreesWithProgram(t *testing.T) {
	for _, c := range cases(t, "right.txt") {
		e, err := formula.Parse(c["formula"])
		if err != nil {
			t.Fatal(caret(err))
		}
		p, err := formula.Compile(e, testEnv(), quantity.MustUnit(c["asked"]))
		if err != nil {
			t.Fatal(caret(err))
		}
		want, err := p.Eval(values(t, p.Names()))
		if err != nil {
			t.Fatal(caret(err))
		}
		w, err := formula.ParseWorking(c["formula"])
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		v := w.Evaluate(testEnv(), siValue)[0]
		if v.UnitErr != nil || math.Float64bits(v.SI) != math.Float64bits(want) || v.Dimension != quantity.MustUnit(c["asked"]).Dimension() {
			t.Errorf("%s: %.17g %v, %v as a line; the program gives %.17g", c["formula"], v.SI, v.Dimension, v.UnitErr, want)
		}
	}
}

func BenchmarkLine(b *testing.B) {
	var r formula.Reader
	sheet := heatSheet()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := r.Read(heatLine); err != nil {
			b.Fatal(err)
		}
		r.Evaluate(sheet)
	}
}
