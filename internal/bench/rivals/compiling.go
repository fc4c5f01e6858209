package main

import (
	"errors"

	"github.com/expr-lang/expr"

	"witnessmark/internal/bench/marker/formulas"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// compiling compares text to program: both check every name's type.
func compiling() ([]rounds.Comparison, error) {
	type pair struct{ ours, theirs func(n int) }
	var pairs []pair
	var failed error
	for _, w := range formulas.All {
		env, names := formula.Env{Names: map[string]quantity.Unit{}}, map[string]any{
			"pow": func(x, y float64) float64 { return 0 }, "log10": func(x float64) float64 { return 0 },
		}
		for _, n := range w.Names {
			env.Names[n], names[n] = quantity.One, 0.0
		}
		infix := w.Infix
		if w.Name == "table" { // with the table in the text on both sides
			infix, names["interp"] = w.Text, func(x ...float64) float64 { return 0 }
		}
		options := []expr.Option{expr.Env(names), expr.AsFloat64()}
		pairs = append(pairs, pair{
			func(n int) {
				for range n {
					e, err := formula.Parse(w.Text)
					if err == nil {
						_, err = formula.Compile(e, env, quantity.One)
					}
					failed = errors.Join(failed, err)
				}
			},
			func(n int) {
				for range n {
					_, err := expr.Compile(infix, options...)
					failed = errors.Join(failed, err)
				}
			},
		})
	}
	bar := rounds.Bar{Name: "compile: text to program", Unit: "geometric mean of five formulas, nanoseconds each", Ours: "formula", Theirs: "expr-lang", Kind: rounds.Faster, Limit: 5}
	return []rounds.Comparison{{Bar: bar, Measure: func(theirsFirst bool) (rounds.Round, error) {
		var all []rounds.Round
		for _, p := range pairs {
			all = append(all, rounds.Turns(p.ours, p.theirs, theirsFirst))
		}
		return rounds.Mean(all), failed
	}}}, nil
}
