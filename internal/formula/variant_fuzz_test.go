package formula_test

import (
	"math"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Whatever formula is read, its variants are few, have words, and give in a family the bits that they give alone.
func FuzzVariants(f *testing.F) {
	for _, s := range []string{
		"qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "(p + 1 bar) / (p − q)", "√(a² + b²) × 3^a", "max(a, b, 2) / ceil(b)",
		"V × (rho(tf) / rho(tr) − 1)", "1 / (1/a + 1/b)", "interp(a, 1, 2, 3, 4) × sin(a)", "tf + 3 K", "absolute(p, 1 bar) / absolute(q)",
	} {
		f.Add(s)
	}
	env := formula.Env{Functions: variantFunctions(), Names: map[string]quantity.Unit{}}
	values := []formula.Sample{{}, {}}
	for n, u := range map[string]string{"a": "", "b": "", "qv": "L/min", "tf": "°C", "tr": "°C", "p": "bar", "q": "bar", "V": "L", "d": "mm", "P": "kW"} {
		env.Names[n] = quantity.MustUnit(u)
		values[0][n], values[1][n] = env.Names[n].ToSI(2.5), env.Names[n].ToSI(7.25)
	}
	units := []string{"", "kW", "L", "°C", "K", "bar", "mm", "kg/s", "m²", "%"}
	f.Fuzz(func(t *testing.T, text string) {
		e, err := formula.Parse(text)
		if err != nil {
			return
		}
		for _, u := range units {
			asked := quantity.MustUnit(u)
			if _, err := formula.Compile(e, env, asked); err != nil {
				continue
			}
			vs := formula.Variants(e, env, asked, nil, values)
			vs = append(vs, formula.Thumbs(e, env, asked, nil, nil, values)...)
			if len(vs) > formula.MaxVariants+3 {
				t.Fatalf("%q has %d variants", text, len(vs))
			}
			var programs []*formula.Program
			for _, v := range vs {
				if v.Key == "" || v.Is == "" || v.Key[0] == '~' {
					t.Fatalf("%q: key %q, words %q", text, v.Key, v.Is)
				}
				programs = append(programs, v.Program)
			}
			sameAlone(t, text, programs, values)
			return
		}
	})
}

func sameAlone(t *testing.T, text string, programs []*formula.Program, values []formula.Sample) {
	family := formula.NewFamily(programs)
	for _, s := range values {
		var in []float64
		for _, n := range family.Names() {
			in = append(in, s[n])
		}
		slots := family.Eval(in, nil)
		for i, p := range programs {
			var own []float64
			for _, n := range p.Names() {
				own = append(own, s[n])
			}
			want, err := p.Eval(own)
			if got, ok := family.Result(slots, i); ok != (err == nil) || ok && math.Float64bits(got) != math.Float64bits(want) {
				t.Fatalf("%q, variant %d: the family gives %v (%v), the program %v (%v)", text, i, got, ok, want, err)
			}
		}
	}
}
