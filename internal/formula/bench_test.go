package formula_test

import (
	"testing"

	"witnessmark/internal/bench/marker/formulas"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestWorkloads: the formulas that speed is measured on agree with Go, and evaluating them allocates nothing.
func TestWorkloads(t *testing.T) {
	for _, w := range formulas.All {
		p, err := w.Program()
		if err != nil {
			t.Fatal(err)
		}
		if n := testing.AllocsPerRun(100, func() {
			if _, err := p.Eval(w.Values); err != nil {
				t.Error(err)
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations in an evaluation, want none", w.Name, n)
		}
	}
}

// BenchmarkEval compares with native Go: go test -bench Eval ./internal/formula. The bars are in internal/bench/marker.
func BenchmarkEval(b *testing.B) {
	for _, w := range formulas.All {
		p, err := w.Program()
		if err != nil {
			b.Fatal(err)
		}
		b.Run(w.Name+"/program", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := p.Eval(w.Values); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(w.Name+"/native", func(b *testing.B) {
			for b.Loop() {
				sink = w.Native(w.Values)
			}
		})
	}
}

var sink float64

func BenchmarkCompile(b *testing.B) {
	env := testEnv()
	b.ReportAllocs()
	for b.Loop() {
		e, err := formula.Parse("qv × rho(tr) × 4.18 kJ/(kg·K) × (tf − tr)")
		if err != nil {
			b.Fatal(err)
		}
		if _, err := formula.Compile(e, env, quantity.MustUnit("kW")); err != nil {
			b.Fatal(err)
		}
	}
}
