package formula_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestCost: the cost is what is said, and stays within its bound for the dearest formulas that can be typed.
func TestCost(t *testing.T) {
	for _, c := range []struct {
		text, asked string
		want        int
	}{
		{"V", "L", 1}, {"V + V × 2", "L", 4}, {"√n × n²", "", 4}, {"rho(tf)", "kg/m³", 66}, {"interp(n, 1, 1, 2, 2, 3, 3)", "", 5},
	} {
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Fatal(caret(err))
		}
		p, err := formula.Compile(e, testEnv(), quantity.MustUnit(c.asked))
		if err != nil {
			t.Fatal(caret(err))
		}
		if got := p.Cost(); got != c.want {
			t.Errorf("%q costs %d steps, want %d", c.text, got, c.want)
		}
	}
	env := testEnv()
	f := env.Functions["rho"]
	f.Name, f.Params[0].Unit, f.Result, f.Call = "f", quantity.One, quantity.One, func(x []float64) (float64, error) { return x[0], nil }
	env.Functions["f"] = f
	env.Names["x"] = quantity.One
	for _, text := range []string{
		"f(x)", "x", "-x", "√x", strings.Repeat("f(", 30) + "x" + strings.Repeat(")", 30), "f(x)" + strings.Repeat("+f(x)", 99),
		"-(-(-(-x)))", "min(x,x)", "interp(x,1,1,2,2)", "interp(x,1,1,2,x)", "x²²²", "x" + strings.Repeat("+x", 150),
	} {
		if e, err := formula.Parse(text); err == nil {
			if p, err := formula.Compile(e, env, quantity.One); err == nil {
				checkCost(t, p, text)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		if e, p, ok := drawn(t); ok {
			checkCost(t, p, e.Source())
		}
	})
}

func checkCost(t rapid.TB, p *formula.Program, text string) {
	t.Helper()
	if p.Cost() > formula.MostCost*len(text) || p.Cost() < 1 {
		t.Errorf("%q costs %d steps, for %d bytes", text, p.Cost(), len(text))
	}
}
