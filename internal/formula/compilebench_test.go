package formula_test

import (
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// BenchmarkCompileWorkloads is text to program for the formulas that speed is measured on.
func BenchmarkCompileWorkloads(b *testing.B) {
	for _, w := range workloads {
		env := formula.Env{Names: map[string]quantity.Unit{}}
		for _, n := range w.names {
			env.Names[n] = quantity.One
		}
		b.Run(w.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				e, err := formula.Parse(w.text)
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
