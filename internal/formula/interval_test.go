package formula_test

import (
	"errors"
	"math"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestInterval: ranges whose results are known, to a few units in the last place, and what has none.
func TestInterval(t *testing.T) {
	type span = formula.Interval
	for _, c := range []struct {
		text string
		a, b span
		want span
		err  string
	}{
		{"a + b", span{1, 2}, span{10, 20}, span{11, 22}, ""},
		{"a − b", span{1, 2}, span{10, 20}, span{-19, -8}, ""},
		{"a × b", span{-1, 2}, span{-10, 20}, span{-20, 40}, ""},
		{"a / b", span{-1, 2}, span{4, 8}, span{-0.25, 0.5}, ""},
		{"a / b", span{1, 2}, span{-8, -4}, span{-0.5, -0.125}, ""},
		{"a / b", span{1, 2}, span{0, 1}, span{}, "Within these ranges this may divide by zero."},
		{"a / (b − b)", span{1, 2}, span{1, 2}, span{}, "Within these ranges this may divide by zero."},
		{"a² + 0 × b", span{-3, 2}, span{1, 1}, span{0, 9}, ""},
		{"a^3 + 0 × b", span{-3, 2}, span{1, 1}, span{-27, 8}, ""},
		{"a^-2 + 0 × b", span{-3, -2}, span{1, 1}, span{1.0 / 9, 0.25}, ""},
		{"a^-1 + 0 × b", span{-3, 2}, span{1, 1}, span{}, "Within these ranges this may be a negative power of zero."},
		{"a^b", span{2, 3}, span{-1, 2}, span{1.0 / 3, 9}, ""},
		{"a^b", span{0.5, 2}, span{-1, 2}, span{0.25, 4}, ""},
		{"a^b", span{-1, 2}, span{1, 1.5}, span{}, "Within these ranges this may be a broken power of a negative number."},
		{"√a × b", span{4, 9}, span{1, 1}, span{2, 3}, ""},
		{"√a × b", span{-1e-9, 9}, span{1, 1}, span{}, "Within these ranges this may be the root of a negative number."},
		{"abs(a) × b", span{-4, 3}, span{1, 1}, span{0, 4}, ""},
		{"min(a, b) + max(a, b)", span{1, 5}, span{2, 3}, span{3, 8}, ""},
		{"ln(a) × b", span{1, math.E}, span{1, 1}, span{0, 1}, ""},
		{"log10(a) × b", span{0, 10}, span{1, 1}, span{}, "Within these ranges this may be a logarithm of zero or less."},
		{"exp(a) × b", span{-1e6, 0}, span{1, 1}, span{0, 1}, ""},
		{"sin(a) × b", span{30, 150}, span{1, 1}, span{0.5, 1}, ""},
		{"sin(a) × b", span{-30, 270}, span{1, 1}, span{-1, 1}, ""},
		{"cos(a) × b", span{-60, 90}, span{1, 1}, span{0, 1}, ""},
		{"cos(a) × b", span{100, 250}, span{1, 1}, span{-1, math.Cos(100 * math.Pi / 180)}, ""},
		{"tan(a) × b", span{-45, 45}, span{1, 1}, span{-1, 1}, ""},
		{"tan(a) × b", span{45, 135}, span{1, 1}, span{}, "Within these ranges the angle may be a right one, which has no tangent."},
		{"ceil(a) + floor(b)", span{1.2, 3}, span{1.2, 3}, span{3, 6}, ""},
		{"interp(a, 0, 1, 10, 5, 20, 3) × b", span{5, 20}, span{1, 1}, span{3, 5}, ""},
		{"interp(a, 0, 1, 10, b, 20, 3)", span{5, 8}, span{4, 6}, span{1, 6}, ""},
		{"interp(a, 0, 1, 10, 5, 20, 3) × b", span{5, 20.1}, span{1, 1}, span{}, "Within these ranges the value may lie outside the table."},
		{"a × b", span{1e20, 1e20}, span{1e20, 1e20}, span{}, "The result is out of all proportion: it is larger than 1e30."},
		{"a × b", span{2, 1}, span{1, 1}, span{}, "The range of a is no range of finite numbers."},
		{"a × b", span{1, math.Inf(1)}, span{1, 1}, span{}, "The range of a is no range of finite numbers."},
	} {
		p := plain(t, c.text, "a", "b")
		got, err := p.EvalInterval([]formula.Interval{c.a, c.b})
		if c.err != "" {
			var at *formula.Error
			if !errors.As(err, &at) || at.Message != c.err {
				t.Errorf("%s over %v and %v: %v, %v; want %q", c.text, c.a, c.b, got, err, c.err)
			}
			continue
		}
		near := 1e-13 * (math.Abs(c.want.Lo) + math.Abs(c.want.Hi))
		if err != nil || math.Abs(got.Lo-c.want.Lo) > near || math.Abs(got.Hi-c.want.Hi) > near {
			t.Errorf("%s over %v and %v: %v, %v; want %v", c.text, c.a, c.b, got, err, c.want)
		}
	}
}

// TestIntervalOfCalls: a function that says where it turns is worked out over a range, with its unit; one that does not, or
// that a range leaves, is refused by name.
func TestIntervalOfCalls(t *testing.T) {
	env := testEnv()
	bump := env.Functions["rho"]
	bump.Name, bump.Call = "bump", func(args []float64) (float64, error) {
		if args[0] > 400 {
			return 0, errors.New("too hot")
		}
		return 1000 - (args[0]-300)*(args[0]-300), nil
	}
	bump.Turns = [][]float64{{300}}
	env.Functions["bump"] = bump
	for _, c := range []struct {
		text   string
		lo, hi float64
		want   formula.Interval
		err    string
	}{
		{"bump(tf)", 295, 310, formula.Interval{Lo: 900, Hi: 1000}, ""},
		{"bump(tf)", 301, 310, formula.Interval{Lo: 900, Hi: 999}, ""},
		{"bump(tf)", 395, 405, formula.Interval{}, "bump: within these ranges: too hot"},
		{"rho(tf)", 295, 310, formula.Interval{}, "How rho behaves over a range is not known."},
	} {
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Fatal(caret(err))
		}
		p, err := formula.Compile(e, env, quantity.MustUnit("kg/m³"))
		if err != nil {
			t.Fatal(caret(err))
		}
		got, err := p.EvalInterval([]formula.Interval{{Lo: c.lo, Hi: c.hi}})
		if c.err != "" {
			if err == nil || err.Error() != c.err {
				t.Errorf("%s from %v to %v: %v, %v; want %q", c.text, c.lo, c.hi, got, err, c.err)
			}
		} else if err != nil || math.Abs(got.Lo-c.want.Lo) > 1e-5 || math.Abs(got.Hi-c.want.Hi) > 1e-5 {
			t.Errorf("%s from %v to %v: %v, %v; want %v", c.text, c.lo, c.hi, got, err, c.want)
		}
	}
}
