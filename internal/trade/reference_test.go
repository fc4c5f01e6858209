package trade

import (
	"math"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// entries calls each for every entry of the reference.
func entries(t *testing.T, each func(t *testing.T, e Entry)) {
	for _, s := range Subjects() {
		for _, e := range s.Entries {
			t.Run(e.Name, func(t *testing.T) { each(t, e) })
		}
	}
}

// TestReferenceIsComplete: whatever a tutor looks up is there.
func TestReferenceIsComplete(t *testing.T) {
	keys := map[string]bool{}
	for _, s := range Subjects() {
		if s.Key == "" || s.Key != strings.ToLower(s.Key) || keys[s.Key] || s.Title == "" || !sentence(s.About) || len(s.Entries) == 0 {
			t.Errorf("%q lacks a key of its own, a title, a sentence or entries", s.Key)
		}
		keys[s.Key] = true
	}
	entries(t, func(t *testing.T, e Entry) {
		if e.Source == "" || !sentence(e.About) || !sentence(e.Range) || len(e.Example) != len(e.Params) || e.Gives == "" {
			t.Errorf("no source, sentence, range (%q) or example: %q gives %q", e.Range, e.Example, e.Gives)
		}
		if (e.Formula == "") == (e.Method == "") {
			t.Errorf("wanted is a formula or a method: %q, %q", e.Formula, e.Method)
		}
		if !slices.ContainsFunc(e.Params, func(p formula.Param) bool { return p.Name == e.Chart.Over }) {
			t.Errorf("the chart is over %q", e.Chart.Over)
		}
	})
}

// sentence says that text begins and ends like one. A few begin with a number or the name of a function.
func sentence(text string) bool { return len(text) > 10 && strings.HasSuffix(text, ".") }

// compiled is text, a formula over an entry's parameters, for its result.
func compiled(t *testing.T, text string, e Entry) *formula.Program {
	t.Helper()
	parsed, err := formula.Parse(text)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	units := map[string]string{}
	for _, p := range e.Params {
		units[p.Name] = p.Unit.String()
	}
	p, err := formula.Compile(parsed, environment(units), e.Result)
	if err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	return p
}

// TestExamples: a formula that calls the function as its example does gives what is shown, to the digits shown.
func TestExamples(t *testing.T) {
	entries(t, func(t *testing.T, e Entry) {
		got, err := compiled(t, e.Name+"("+strings.Join(e.Example, ", ")+")", e).EvalIn(nil)
		if err != nil {
			t.Fatal(err)
		}
		shown, err := quantity.ParseQuantityFor(e.Gives, e.Result)
		if err != nil {
			t.Fatal(err)
		}
		want, err := shown.In(e.Result)
		if err != nil {
			t.Fatal(err)
		}
		half := shown.Number.HalfUnit() * unitSizeIn(shown.Unit, e.Result)
		if figures, _ := shown.Number.SignificantFigures(); figures < 3 && got != want {
			t.Errorf("%s shows %d figures of %v", e.Gives, figures, got)
		}
		near(t, e.Name, got, want, half*(1+1e-9))
	})
}

// unitSizeIn is how many of the one unit make one of the other.
func unitSizeIn(of, in quantity.Unit) float64 {
	return (of.ToSI(1) - of.ToSI(0)) / (in.ToSI(1) - in.ToSI(0))
}

// TestFormulasSayWhatCallsDo: the formula shown gives what the function gives to 1e-12, at its example and at three points of
// its chart. A formula may divide by zero there where the function gives the limit.
func TestFormulasSayWhatCallsDo(t *testing.T) {
	entries(t, func(t *testing.T, e Entry) {
		if e.Formula == "" {
			return
		}
		p := compiled(t, e.Formula, e)
		over := slices.IndexFunc(e.Params, func(p formula.Param) bool { return p.Name == e.Chart.Over })
		args := make([]float64, len(e.Params))
		for i, text := range e.Example {
			args[i] = mustSI(t, text, e.Params[i].Unit)
		}
		from, to := mustSI(t, e.Chart.From, e.Params[over].Unit), mustSI(t, e.Chart.To, e.Params[over].Unit)
		for i, x := range []float64{args[over], from, (from + to) / 2, to} {
			args[over] = x
			want := must(t)(e.Call(args))
			named := map[string]float64{}
			for i, p := range e.Params {
				named[p.Name] = args[i]
			}
			var in []float64
			for _, n := range p.Names() {
				in = append(in, named[n])
			}
			got, err := p.Eval(in)
			if err != nil && (i == 0 || !strings.Contains(err.Error(), "divides by zero")) {
				t.Errorf("%s at %v: %v", e.Formula, x, err)
			}
			if err == nil {
				near(t, e.Formula, got, want, 1e-12*math.Abs(want))
			}
		}
	})
}

func mustSI(t *testing.T, text string, unit quantity.Unit) float64 {
	t.Helper()
	return must(t)(inSI(text, unit))
}
