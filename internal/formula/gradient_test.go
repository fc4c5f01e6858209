package formula_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestGradient: derivatives that are known, at a = 3, b = 2, c = 0.5.
func TestGradient(t *testing.T) {
	for _, c := range []struct {
		text string
		want []float64 // by the names in the order of their first use
	}{
		{"a + b − c", []float64{1, 1, -1}},
		{"a × b / c", []float64{4, 6, -24}},
		{"a × a", []float64{6}},
		{"a^b", []float64{6, 9 * math.Log(3)}},
		{"−a^-2", []float64{2.0 / 27}},
		{"√(a + 1)", []float64{0.25}},
		{"abs(c − a)", []float64{-1, 1}},
		{"ln(a) + log10(b)", []float64{1.0 / 3, 1 / (2 * math.Ln10)}},
		{"exp(c)", []float64{math.Exp(0.5)}},
		{"sin(a) + cos(b)", []float64{math.Cos(3*math.Pi/180) * math.Pi / 180, -math.Sin(2*math.Pi/180) * math.Pi / 180}},
		{"tan(a)", []float64{(1 + math.Pow(math.Tan(3*math.Pi/180), 2)) * math.Pi / 180}},
		{"min(a, b, c)", []float64{0, 0, 1}},
		{"max(a, b, c)", []float64{1, 0, 0}},
		{"ceil(a × b) × c", []float64{0, 0, 6}},
		{"interp(a, 0, 1, 2, 5, 4, 4)", []float64{-0.5}},
		{"interp(a, 0, 1, b, 5, 4, 4)", []float64{-0.5, 0.25}},
		{"2 × 3 + 0 × a", []float64{0}},
	} {
		p := plain(t, c.text, "a", "b", "c")
		var in []float64
		for _, n := range p.Names() {
			in = append(in, map[string]float64{"a": 3, "b": 2, "c": 0.5}[n])
		}
		partials := make([]float64, len(in))
		v, err := p.EvalGradient(in, partials)
		if want, evalErr := p.Eval(in); err != nil || evalErr != nil || v != want {
			t.Fatalf("%s = %v, %v; Eval gives %v, %v", c.text, v, err, want, evalErr)
		}
		for i, d := range partials {
			if len(c.want) != len(in) || math.Abs(d-c.want[i]) > 1e-14*max(1, math.Abs(c.want[i])) {
				t.Errorf("%s: derivatives %v, want %v", c.text, partials, c.want)
				break
			}
		}
	}
}

// TestGradientRefuses: no finite slope, no value, and too little room are errors.
func TestGradientRefuses(t *testing.T) {
	for _, c := range []struct{ text, err string }{
		{"√a", "At these values the result has no finite slope by a."},
		{"1/a", "This divides by zero."},
		{"ln(a − 1)", "Only a number above zero has a logarithm."},
		{"interp(a, 1, 1, 2, 2)", "interp: the value lies outside the table"},
	} {
		p := plain(t, c.text, "a")
		if _, err := p.EvalGradient([]float64{0}, make([]float64, 1)); err == nil || err.Error() != c.err {
			t.Errorf("%s at 0: %v, want %q", c.text, err, c.err)
		}
	}
	p := plain(t, "a + b", "a", "b")
	if _, err := p.EvalGradient([]float64{1, 2}, make([]float64, 1)); err == nil {
		t.Error("room for one derivative of two: no error")
	}
	if _, err := p.EvalGradient([]float64{1, math.NaN()}, make([]float64, 2)); err == nil || err.Error() != "The value of b is no finite number." {
		t.Errorf("NaN: %v", err)
	}
}

// TestGradientOfMany: more names than one pass takes.
func TestGradientOfMany(t *testing.T) {
	p := plain(t, "1×a + 2×b + 3×c + 4×d + 5×f + 6×g + 7×h + 8×i + 9×j + 10×k + 11×l + 12×m + 13×n", "a", "b", "c", "d", "f", "g", "h", "i", "j", "k", "l", "m", "n")
	in, partials := make([]float64, 13), make([]float64, 13)
	if _, err := p.EvalGradient(in, partials); err != nil {
		t.Fatal(err)
	}
	for i, d := range partials {
		if d != float64(i+1) {
			t.Fatalf("derivatives %v, want 1 to 13", partials)
		}
	}
}

// TestGradientOfCalls: a function's slope is the limit of its differences, at the end of its range from one side; the chain
// rule goes through it.
func TestGradientOfCalls(t *testing.T) {
	env := testEnv()
	f := env.Functions["rho"]
	f.Name, f.Call = "cube", func(args []float64) (float64, error) {
		if args[0] < 273.15 || args[0] > 373.15 {
			return 0, formula.ErrOutsideTable
		}
		return args[0] * args[0] * args[0], nil
	}
	env.Functions["cube"] = f
	e, err := formula.Parse("2 × cube(tf) × n")
	if err != nil {
		t.Fatal(caret(err))
	}
	p, err := formula.Compile(e, env, quantity.MustUnit("kg/m³"))
	if err != nil {
		t.Fatal(caret(err))
	}
	for _, tf := range []float64{273.15, 300, 373.15} {
		partials := make([]float64, 2)
		if _, err := p.EvalGradient([]float64{tf, 3}, partials); err != nil || math.Abs(partials[0]/(18*tf*tf)-1) > 1e-8 || partials[1] != 2*tf*tf*tf {
			t.Errorf("at %v: %v, %v; want %v and %v", tf, partials, err, 18*tf*tf, 2*tf*tf*tf)
		}
	}
	if _, err := p.EvalGradient([]float64{200, 3}, make([]float64, 2)); err == nil {
		t.Error("outside the function's range: no error")
	}
}

// TestGradientAgainstDifferences: derivatives agree with differences of the value, where those are smooth enough to say.
func TestGradientAgainstDifferences(t *testing.T) {
	compared := 0
	rapid.Check(t, func(t *rapid.T) {
		e, p, ok := drawn(t)
		if !ok || strings.Contains(e.Source(), "ceil") || strings.Contains(e.Source(), "floor") { // steep stairs look smooth
			return
		}
		in := make([]float64, len(p.Names()))
		for i := range in {
			in[i] = rapid.Float64Range(0.5, 4).Draw(t, "value")
		}
		partials := make([]float64, len(in))
		if v, err := p.EvalGradient(in, partials); err != nil || math.Abs(v) > 1e6 {
			return
		}
		for i, x := range in {
			at := func(h float64) float64 {
				in[i] = x + h
				v, err := p.Eval(in)
				in[i] = x
				if err != nil {
					return math.NaN()
				}
				return v
			}
			const h = 1e-4
			wide, narrow := (at(2*h)-at(-2*h))/(4*h), (at(h)-at(-h))/(2*h)
			fine := (4*narrow - wide) / 3                                                 // Richardson's extrapolation
			bend := func(h float64) float64 { return math.Abs(at(h)-2*at(0)+at(-h)) / h } // goes with h, but at a kink
			if !(math.Abs(wide-narrow) < 1e-4*math.Abs(narrow)) || !(bend(h) < 0.01*math.Abs(narrow)) || math.Abs(narrow) < 1e-3 {
				continue // a kink, a step, or too bent
			}
			if b := bend(h / 10); b > 1e-4*math.Abs(narrow) && b > bend(h)/2 {
				continue // a kink, small beside what is steep there
			}
			compared++
			if math.Abs(partials[i]-fine) > 1e-4*math.Abs(fine) {
				t.Fatalf("%q at %v: derivative %d is %v, differences give %v", e.Source(), in, i, partials[i], fine)
			}
		}
	})
	if !testing.Short() && compared < 30 { // a short run draws too few
		t.Errorf("only %d derivatives compared", compared)
	}
}

// TestInterpretersAllocateNothing: gradients, batches and ranges of small formulas need no memory.
func TestInterpretersAllocateNothing(t *testing.T) {
	p := plain(t, "a × (b − c)^1.31 / interp(a, 0, 1, 10, 2) + max(b, c) × √a", "a", "b", "c")
	in, partials := []float64{3, 2, 0.5}, make([]float64, 3)
	ranges := []formula.Interval{{Lo: 3, Hi: 3.1}, {Lo: 2, Hi: 2.1}, {Lo: 0.5, Hi: 0.6}}
	rows := make([]float64, 1000)
	for i := range rows {
		rows[i] = 1 + float64(i)/1000
	}
	half := make([]float64, 1000)
	columns, out, b := [][]float64{rows, rows, half}, make([]float64, 1000), p.NewBatch(1000)
	for name, run := range map[string]func(){
		"gradient": func() {
			if _, err := p.EvalGradient(in, partials); err != nil {
				t.Error(err)
			}
		},
		"interval": func() {
			if _, err := p.EvalInterval(ranges); err != nil {
				t.Error(err)
			}
		},
		"batch": func() { b.Eval(columns, out) },
	} {
		if n := testing.AllocsPerRun(100, run); n != 0 {
			t.Errorf("%s: %v allocations, want none", name, n)
		}
	}
}
