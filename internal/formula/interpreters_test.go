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

// drawn is a random formula of a, b, c and e, compiled; ok is false where it is none, because a constant divides by zero
// and the like.
func drawn(t *rapid.T) (e *formula.Expr, p *formula.Program, ok bool) {
	names := []string{"a", "b", "c", "e"}
	text := drawFormula(t, names, rapid.IntRange(1, 5).Draw(t, "depth"))
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	p, err = formula.Compile(e, plainNames(names...), quantity.One)
	return e, p, err == nil
}

// value draws values of every size, some of them awkward.
func value(t *rapid.T) float64 {
	return rapid.OneOf(
		rapid.Float64Range(-100, 100), rapid.Float64Range(0.1, 10), rapid.Float64Range(-1e30, 1e30),
		rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1, -1, 2, 1e-30, 5e-324, 90, 1e300}),
	).Draw(t, "value")
}

// TestInterpretersAgree: number, batch and tree give the same bits, or none of them gives a result; the gradient's value is
// the same too, and ranges around the values hold it.
func TestInterpretersAgree(t *testing.T) { rapid.Check(t, interpretersAgree) }

// FuzzInterpreters is TestInterpretersAgree for as long as one likes.
func FuzzInterpreters(f *testing.F) { f.Fuzz(rapid.MakeFuzz(interpretersAgree)) }

func interpretersAgree(t *rapid.T) {
	e, p, ok := drawn(t)
	if !ok {
		return
	}
	rows := rapid.IntRange(1, 5).Draw(t, "rows")
	columns := make([][]float64, len(p.Names()))
	for i := range columns {
		for range rows {
			columns[i] = append(columns[i], value(t))
		}
	}
	out := make([]float64, rows)
	p.NewBatch(rapid.IntRange(1, 3).Draw(t, "room")).Eval(columns, out)
	for r := range rows {
		in, named := make([]float64, len(columns)), map[string]float64{}
		for i, n := range p.Names() {
			in[i], named[n] = columns[i][r], columns[i][r]
		}
		v, err := p.Eval(in)
		want := tree(e.Root(), named)
		if math.Abs(want) > quantity.MaxMagnitude {
			want = math.NaN()
		}
		if !sameBits(v, err, want) {
			t.Fatalf("%q at %v = %v, %v; the tree gives %v", p.Source(), named, v, err, want)
		}
		if !sameBits(v, err, out[r]) {
			t.Fatalf("%q at %v = %v, %v; the batch gives %v", p.Source(), named, v, err, out[r])
		}
		checkSlopes(t, p, in, v, err)
		checkRange(t, p, in, v, err)
	}
}

// sameBits compares; err stands for NaN.
func sameBits(v float64, err error, want float64) bool {
	if err != nil {
		return math.IsNaN(want)
	}
	return math.Float64bits(v) == math.Float64bits(want)
}

func checkSlopes(t *rapid.T, p *formula.Program, in []float64, v float64, err error) {
	partials := make([]float64, len(in))
	g, noSlope := p.EvalGradient(in, partials)
	if noSlope == nil && !sameBits(v, err, g) || err != nil && noSlope == nil {
		t.Fatalf("%q at %v = %v, %v; the gradient's value is %v", p.Source(), in, v, err, g)
	}
	for i, d := range partials {
		if noSlope == nil && d-d != 0 {
			t.Fatalf("%q at %v: derivative %d is %v", p.Source(), in, i, d)
		}
	}
}

func checkRange(t *rapid.T, p *formula.Program, in []float64, v float64, err error) {
	ranges := make([]formula.Interval, len(in))
	for i, x := range in {
		wide := math.Abs(x) * rapid.SampledFrom([]float64{0, 1e-12, 0.01, 1}).Draw(t, "width")
		ranges[i] = formula.Interval{Lo: x - wide, Hi: x + wide}
	}
	x, noRange := p.EvalInterval(ranges)
	if noRange == nil && (err != nil || !x.Has(v)) {
		t.Fatalf("%q at %v = %v, %v; in %v the range is %v", p.Source(), in, v, err, ranges, x)
	}
}

// TestEvalAgainstBig: Eval is right to 1e-12 wherever the formula does not itself magnify what rounding does, and within
// the bound of what it can do elsewhere; the range of values known exactly holds the exact result.
func TestEvalAgainstBig(t *testing.T) {
	compared, tight := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		e, p, ok := drawn(t)
		if !ok {
			return
		}
		in, ranges, named := []float64{}, []formula.Interval{}, map[string]float64{}
		for _, n := range p.Names() {
			x := rapid.OneOf(rapid.Float64Range(-100, 100), rapid.Float64Range(0.1, 10)).Draw(t, n)
			in, ranges, named[n] = append(in, x), append(ranges, formula.Interval{Lo: x, Hi: x}), x
		}
		want := exactTree(e.Root(), named)
		got, err := p.Eval(in)
		if !want.known || err != nil || len(in) == 0 {
			return
		}
		compared++
		v := small(want.v)
		off := math.Abs(small(minus(large(got), want.v)))
		if off > want.off {
			t.Fatalf("%q at %v = %.17g, exactly %.17g: off by %g, more than %g", p.Source(), named, got, v, off, want.off)
		}
		if want.off <= 1e-12*math.Abs(v) {
			tight++
		}
		x, err := p.EvalInterval(ranges)
		if err == nil && (large(x.Lo).Cmp(want.v) > 0 || large(x.Hi).Cmp(want.v) < 0) {
			t.Fatalf("%q at %v is exactly %.20g, outside of %v", p.Source(), named, want.v, x)
		}
	})
	if tight*2 < compared || tight < 10 {
		t.Errorf("of %d formulas compared only %d had to be right to 1e-12", compared, tight)
	}
}

// TestInterpretersFound keeps what the random formulas found.
func TestInterpretersFound(t *testing.T) {
	for _, c := range []struct {
		text string
		a    float64
	}{
		{"log10(a)", 1.875}, {"a / a", 5e-324}, {"a / (a − a)", 1}, {"min(2 + (−2), 2, a)", math.Copysign(0, -1)},
		{"ceil(−(0.5)) × (2 + interp(2, -200, 7, 0, 5.5, 200, a))", 1}, // a constant −0 beside 0
		{"interp(a × a, -200, 7, 0, 5.5, 200, a)", 1e300}, {"(a × a)^0", 1e200}, {"interp(200, -200, 7, 200, a)", 2.6e-110},
		{"a^3", -8.5e-109}, {"tan(a)", 5.7e-6}, {"abs(a)^sin(2)", 1.1e-308}, {"√a", math.NaN()}, {"max(a, 1)", math.Inf(1)},
	} {
		p := plain(t, c.text, "a")
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Fatal(caret(err))
		}
		want := tree(e.Root(), map[string]float64{"a": c.a})
		v, err := p.Eval([]float64{c.a})
		out := make([]float64, 1)
		p.NewBatch(1).Eval([][]float64{{c.a}}, out)
		if !sameBits(v, err, want) || !sameBits(v, err, out[0]) {
			t.Errorf("%s at %v = %v, %v; the tree gives %v, the batch %v", c.text, c.a, v, err, want, out[0])
		}
		g, noSlope := p.EvalGradient([]float64{c.a}, make([]float64, 1))
		if noSlope == nil && !sameBits(v, err, g) {
			t.Errorf("%s at %v = %v, %v; the gradient's value is %v", c.text, c.a, v, err, g)
		}
		if x, noRange := p.EvalInterval([]formula.Interval{{Lo: c.a, Hi: c.a}}); noRange == nil && (err != nil || !x.Has(v)) {
			t.Errorf("%s at %v = %v, %v; the range is %v", c.text, c.a, v, err, x)
		}
	}
}
