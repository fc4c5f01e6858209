package brief_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// growing is a brief of two figures over a table that practice has a rule of thumb for.
func growing(ruledOut ...string) (*brief.Brief, map[string]formula.Function) {
	b := &brief.Brief{
		Edition: brief.Edition, Key: "growth", Title: "Growth", About: "A rig.", RuledOut: ruledOut,
		Criteria: []brief.CriterionRef{{Unit: "H2", Codes: []string{"1.1"}}},
		Given: []brief.Given{
			{Name: "V", Is: "content", From: "80 L", To: "120 L", Step: "5 L"},
			{Name: "W", Is: "another content", Value: "30 L"},
		},
		Stages: []brief.Stage{{Key: "one", Title: "Work", Items: []brief.Item{
			{Key: "t", Title: "Temperature", Criteria: []string{"1.1"}, Reading: &brief.Reading{Is: "hot", Unit: "°C"}},
			{Key: "Ve", Title: "Growth", Criteria: []string{"1.1"}, Figure: &brief.Figure{
				Ask: "growth", Unit: "L", Formula: "V × growth(t)", Tolerance: &brief.Tolerance{Relative: "2 %"},
				Slips: []brief.Slip{{Key: "whole", Is: "took all of it", Formula: "V"}},
			}},
			{Key: "V2", Title: "Twice", Criteria: []string{"1.1"}, Figure: &brief.Figure{
				Ask: "twice that", Unit: "L", Formula: "2 × Ve", Tolerance: &brief.Tolerance{Relative: "2 %"},
			}},
		}}},
		Model: []brief.ModelAnswer{{Item: "t", Text: "80"}, {Item: "Ve", Text: "2.4"}, {Item: "V2", Text: "4.8"}},
	}
	return b, map[string]formula.Function{"growth": {
		Name: "growth", Params: []formula.Param{{Name: "t", Unit: quantity.MustUnit("°C")}}, Result: quantity.One,
		Call:  func(x []float64) (float64, error) { return (x[0] - 293.15) / 2000, nil },
		Thumb: &formula.Thumb{Key: "flat-expansion", Is: "a flat 4 %", Value: 0.04},
	}}
}

func compiledGrowing(t *testing.T, ruledOut ...string) *brief.Compiled {
	t.Helper()
	c, problems := brief.Compile(growing(ruledOut...))
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	return c
}

func TestWrongsAreTheDeclaredThenThoseMade(t *testing.T) {
	c := compiledGrowing(t)
	w := c.Items[1].Wrongs()
	if len(w.Ways) < 10 || w.Ways[0].Key != "whole" || w.Ways[0].Made || !w.Ways[1].Made {
		t.Fatalf("got %v", w.Ways)
	}
	if slices.ContainsFunc(w.Ways[1:], func(x brief.Wrong) bool { return !x.Made || strings.Contains(x.Key, "left-out growth") }) {
		t.Errorf("a variant that comes to the declared slip is there as well: %v", w.Ways)
	}
	if c.Items[1].Wrongs() != w {
		t.Error("they were made a second time")
	}
	values := map[string]float64{"V": 0.1, "W": 0.03, "t": 353.15}
	in := make([]float64, len(w.Needs))
	for i, n := range w.Needs {
		in[i] = values[c.Names[n].Name]
	}
	slots := w.Family.Eval(in, nil)
	taken := false
	for i, way := range w.Ways {
		got, ok := w.Family.Result(slots, i)
		switch way.Key {
		case "whole":
			if !ok || got != 0.1 {
				t.Errorf("the declared slip comes to %v m³, want 0.1", got)
			}
		case "taken-for V W":
			taken = true
			if !ok || math.Abs(got-0.0009) > 1e-15 {
				t.Errorf("W taken for V comes to %v m³, want 0.0009", got)
			}
		}
	}
	if !taken {
		t.Error("no variant takes another given of the same kind")
	}
	if n := len(c.Items[0].Wrongs().Ways); n != 0 {
		t.Errorf("a reading has %d wrong ways of working", n)
	}
}

func TestRuledOutRulesOfThumb(t *testing.T) {
	for _, tt := range []struct {
		ruledOut []string
		item     int
		want     int
	}{{nil, 1, 1}, {[]string{"flat-expansion"}, 1, 0}, {[]string{"constant-water"}, 1, 1}, {nil, 2, 0}, {nil, 0, 0}} {
		if got := compiledGrowing(t, tt.ruledOut...).Items[tt.item].Thumbs(); len(got.Ways) != tt.want {
			t.Errorf("with %v ruled out item %d has %v", tt.ruledOut, tt.item, got.Ways)
		}
	}
	b, functions := growing("flat-5")
	problems := brief.Check(b, functions, nil)
	if !slices.ContainsFunc(problems, func(p brief.Problem) bool { return strings.HasPrefix(p.Path, "ruled-out") && !p.Warning }) {
		t.Errorf("a rule that nobody knows is not refused: %v", problems)
	}
}
