//go:build oracle

package oracle_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// computed is what mathjs says to an expression.
type computed struct {
	value float64
	dim   [7]float64 // kg m s A K cd mol
	why   string
}

func (c *computed) UnmarshalJSON(b []byte) error {
	if bytes.HasPrefix(b, []byte(`"`)) {
		return json.Unmarshal(b, &c.why)
	}
	return json.Unmarshal(b, &[]any{&c.value, &c.dim})
}

// mathjs has npm mathjs work all expressions out.
func mathjs(t *testing.T, expressions []expression) []computed {
	t.Helper()
	var in struct {
		Names [][2]string `json:"names"`
		Texts []string    `json:"texts"`
	}
	for _, g := range givenNames {
		in.Names = append(in.Names, [2]string{g.name, g.theirs})
	}
	for _, e := range expressions {
		in.Texts = append(in.Texts, e.theirs)
	}
	text, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out []computed
	if err := json.Unmarshal([]byte(run(t, string(text), "node", "mathjs.mjs")), &out); err != nil {
		t.Fatal(err)
	}
	if len(out) != len(expressions) {
		t.Fatalf("%d answers to %d expressions", len(out), len(expressions))
	}
	return out
}

// TestExpressions: 500 expressions, written by a seeded generator in our notation and in mathjs's, have the same value
// and dimension in both, to 12 digits; read as a trainee's working they have it once more.
func TestExpressions(t *testing.T) {
	w := writer{rand.New(rand.NewPCG(20, 26))}
	var expressions []expression
	for len(expressions) < 500 {
		if e := w.any(1 + w.IntN(4)); fits(e) {
			expressions = append(expressions, e)
		}
	}
	env, values := givenEnv(t)
	for i, want := range mathjs(t, expressions) {
		e := expressions[i]
		if want.why != "" {
			t.Errorf("%s: mathjs says of %s: %s", e.ours, e.theirs, want.why)
			continue
		}
		if d := e.dim; want.dim != [7]float64{float64(d[1]), float64(d[0]), float64(d[2]), float64(d[3]), float64(d[4]), float64(d[6]), float64(d[5])} {
			t.Errorf("%s: mathjs has dimension %v, want %v", e.ours, want.dim, d)
		}
		got, err := evaluate(e, env, values)
		if math.Abs(want.value) > quantity.MaxMagnitude {
			if err == nil {
				t.Errorf("%s = %v, want it refused: mathjs has %v", e.ours, got, want.value)
			}
			continue
		}
		if err != nil || math.Abs(got-want.value) > 1e-12*math.Abs(want.value) {
			t.Errorf("%s = %.17g, %v; mathjs has %.17g for %s", e.ours, got, err, want.value, e.theirs)
		}
		if len(e.ours) > formula.MaxLine {
			continue
		}
		line, err := formula.ParseWorking(e.ours)
		if err != nil {
			t.Errorf("%s: %v", e.ours, err)
			continue
		}
		if v := line.Evaluate(env, values)[0]; v.UnitErr != nil || v.Dimension != e.dim || math.Abs(v.SI-want.value) > 1e-12*math.Abs(want.value) {
			t.Errorf("working %s = %.17g %v, %v; mathjs has %.17g", e.ours, v.SI, v.Dimension, v.UnitErr, want.value)
		}
	}
}

// fits reports whether an expression keeps to what units may have: exponents up to 9.
func fits(e expression) bool {
	for _, x := range e.dim {
		if x > 9 || x < -9 {
			return false
		}
	}
	return len(e.ours) <= 1000
}

func givenEnv(t *testing.T) (formula.Env, formula.Values) {
	t.Helper()
	env := formula.Env{Names: map[string]quantity.Unit{}}
	in := map[string]float64{}
	for _, g := range givenNames {
		unit := quantity.MustUnit(g.unit)
		env.Names[g.name] = unit
		var number string
		for i := range g.theirs { // the number before the unit
			if g.theirs[i] == ' ' {
				break
			}
			number = g.theirs[:i+1]
		}
		n, err := quantity.ParseNumber(number)
		if err != nil {
			t.Fatal(err)
		}
		in[g.name] = unit.ToSI(n.Value())
	}
	return env, func(name string) (float64, bool) { v, ok := in[name]; return v, ok }
}

func evaluate(e expression, env formula.Env, values formula.Values) (float64, error) {
	x, err := formula.Parse(e.ours)
	if err != nil {
		return 0, err
	}
	p, err := formula.Compile(x, env, quantity.SIUnit(e.dim))
	if err != nil {
		return 0, err
	}
	var in []float64
	for _, n := range p.Names() {
		v, ok := values(n)
		if !ok {
			return 0, errors.New("no value of " + n)
		}
		in = append(in, v)
	}
	return p.Eval(in)
}
