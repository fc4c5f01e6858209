package formula_test

import (
	"testing"

	"witnessmark/internal/bench/marker/formulas"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// BenchmarkCompileWorkloads is text to program for the formulas that speed is measured on.
func BenchmarkCompileWorkloads(b *testing.B) {
	for _, w := range formulas.All {
		env := formula.Env{Names: map[string]quantity.Unit{}}
		for _, n := range w.Names {
			env.Names[n] = quantity.One
		}
		b.Run(w.Name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				e, err := formula.Parse(w.Text)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := formula.Compile(e, env, quantity.One); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
