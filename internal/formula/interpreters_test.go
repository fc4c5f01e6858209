package formula_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// plainNames makes an environment of plain numbers.
func plainNames(names ...string) formula.Env {
	env := formula.Env{Names: map[string]quantity.Unit{}}
	for _, n := range names {
		env.Names[n] = quantity.One
	}
	return env
}

// plain compiles a formula of plain numbers.
func plain(t testing.TB, text string, names ...string) *formula.Program {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatal(caret(err))
	}
	p, err := formula.Compile(e, plainNames(names...), quantity.One)
	if err != nil {
		t.Fatal(caret(err))
	}
	return p
}

// TestInterpretersAgree: for random formulas and values, the batch and the gradient give Eval's value bit for bit, or
// none where it has none; a range around the values holds the result.
func TestInterpretersAgree(t *testing.T) {
	names := []string{"a", "b", "c", "e"}
	env := plainNames(names...)
	rapid.Check(t, func(t *rapid.T) {
		text := drawFormula(t, names, 4)
		e, err := formula.Parse(text)
		if err != nil {
			t.Fatalf("%q: %v", text, err)
		}
		p, err := formula.Compile(e, env, quantity.One)
		if err != nil {
			return // a constant that divides by zero and the like
		}
		rows := rapid.IntRange(1, 5).Draw(t, "rows")
		columns := make([][]float64, len(p.Names()))
		for i := range columns {
			columns[i] = rapid.SliceOfN(rapid.Float64Range(-100, 100), rows, rows).Draw(t, "column")
		}
		out := make([]float64, rows)
		p.NewBatch(rapid.IntRange(1, 3).Draw(t, "room")).Eval(columns, out)
		for r := range rows {
			in := make([]float64, len(columns))
			for i := range in {
				in[i] = columns[i][r]
			}
			checkRow(t, p, in, out[r])
		}
	})
}

func checkRow(t *rapid.T, p *formula.Program, in []float64, batch float64) {
	v, err := p.Eval(in)
	if (err != nil) != math.IsNaN(batch) || err == nil && math.Float64bits(v) != math.Float64bits(batch) {
		t.Fatalf("%q at %v = %v, %v; the batch has %v", p.Source(), in, v, err, batch)
	}
	g, noSlope := p.EvalGradient(in, make([]float64, len(in)))
	if noSlope == nil && (err != nil || math.Float64bits(g) != math.Float64bits(v)) {
		t.Fatalf("%q at %v = %v, %v; the gradient has %v", p.Source(), in, v, err, g)
	}
	ranges := make([]formula.Interval, len(in))
	for i, x := range in {
		ranges[i] = formula.Interval{Lo: x - rapid.Float64Range(0, 1).Draw(t, "down"), Hi: x + rapid.Float64Range(0, 1).Draw(t, "up")}
	}
	x, noRange := p.EvalInterval(ranges)
	if noRange == nil && (err != nil || !x.Has(v)) {
		t.Fatalf("%q at %v = %v, %v; in %v the range is %v", p.Source(), in, v, err, ranges, x)
	}
}
