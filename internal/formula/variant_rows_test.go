package formula_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Rows of a family are the family's own values, bit for bit, whatever ran before in the same room: missing values,
// divisions by zero and values outside a function's range among them.
func TestFamilyRowsAgreeWithTheFamily(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	rows := formula.NewFamilyRows(37)
	for _, c := range []struct {
		names map[string]string
		texts []string
		asked string
	}{
		{map[string]string{"a": "m", "b": "m", "c": "m"}, []string{"a × b × a / c", "a² × c / b", "max(a, b) × c", "√(a × b) × (c - a)", "a × b × 10^(b / c)", "2 a²", "interp(a, 0 m, 1 m², 5 m, 7 m²)"}, "m²"},
		{map[string]string{"t": "°C", "u": "°C"}, []string{"rho(t)", "rho(u)", "rho(t) × (t - u) / (u - t)", "rho((t + u) / 2)"}, "kg/m³"},
	} {
		env := formula.Env{Names: map[string]quantity.Unit{}, Functions: variantFunctions()}
		for n, u := range c.names {
			env.Names[n] = quantity.MustUnit(u)
		}
		var programs []*formula.Program
		for _, text := range c.texts {
			e, err := formula.Parse(text)
			if err != nil {
				t.Fatal(err)
			}
			p, err := formula.Compile(e, env, quantity.MustUnit(c.asked))
			if err != nil {
				t.Fatalf("%s: %v", text, err)
			}
			programs = append(programs, p)
		}
		f := formula.NewFamily(programs)
		columns := make([][]float64, len(f.Names()))
		for i := range columns {
			for range rows.Rows() {
				columns[i] = append(columns[i], []float64{math.NaN(), 0, -1, 1e300, random.Float64(), random.Float64() * 300, 4}[random.IntN(7)])
			}
		}
		for run, n := range []int{rows.Rows(), 5, 0, 11, 11} {
			if run < 4 {
				rows.Eval(f, columns, n)
			} else { // the first name takes other values
				columns[0] = append([]float64{}, columns[0][3:]...)
				again := make([][]float64, len(columns))
				again[0] = columns[0]
				rows.Again(again)
			}
			var slots []float64
			for row := range n {
				in := make([]float64, len(columns))
				for i := range columns {
					in[i] = columns[i][row]
				}
				slots = f.Eval(in, slots)
				for i, p := range programs {
					if rests := slices.Contains(p.Names(), f.Names()[0]); rows.Changed(i) != (run < 4 || rests) {
						t.Errorf("run %d: changed %s: %v", run, c.texts[i], rows.Changed(i))
					}
					want, ok := f.Result(slots, i)
					got := rows.Column(i)[row]
					if is := math.Abs(got) <= quantity.MaxMagnitude; is != ok || ok && math.Float64bits(got) != math.Float64bits(want) {
						t.Errorf("%s with %v: got %v, want %v (%v)", c.texts[i], in, got, want, ok)
					}
				}
			}
		}
	}
}
