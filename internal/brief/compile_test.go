package brief_test

import (
	"math"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/quantity"
)

func TestCompileSample(t *testing.T) {
	c, ps := brief.Compile(sample.Brief(), functions())
	if len(ps) > 0 {
		t.Fatalf("problems:\n%v", ps)
	}
	var names []string
	for _, n := range c.Names {
		names = append(names, n.Name+" "+n.Unit.String())
	}
	if got, want := strings.Join(names, ", "), "load kW, pr W, continuity Ω, qv L/min, tf °C, tr °C, dt K, heat kW, share %, lift kW"; got != want {
		t.Errorf("names\n got %s\nwant %s", got, want)
	}
	var heat brief.CompiledItem
	for _, it := range c.Items {
		if it.Item.Key == "heat" {
			heat = it
		}
	}
	// By hand: 12.4/60 L/s × 0.988 kg/L × 4.18 kJ/(kg·K) × 18.5 K = 15.7895 kW.
	si := map[string]float64{"qv": 12.4 / 60e3, "dt": 18.5}
	var values []float64
	for _, n := range heat.Formula.Needs {
		values = append(values, si[c.Names[n].Name])
	}
	got, err := heat.Formula.Program.EvalIn(values)
	if want := 12.4 / 60 * 0.988 * 4.18 * 18.5; err != nil || math.Abs(got-want) > 1e-9 {
		t.Errorf("heat: got %v, %v, want %v kW", got, err, want)
	}
	if tol := heat.Tolerance; math.Abs(tol.Relative-0.03) > 1e-15 || tol.Absolute != 0.1 {
		t.Errorf("tolerance: got %+v, want 0.1 kW or 3 %%", tol)
	}
}

func TestCompileProblems(t *testing.T) {
	set := func(f func(*brief.Figure)) func(*brief.Brief) {
		return func(b *brief.Brief) { f(item(b, "heat").Figure) }
	}
	read := func(f func(*brief.Reading)) func(*brief.Brief) {
		return func(b *brief.Brief) { f(item(b, "tf").Reading) }
	}
	given := func(f func(*brief.Given)) func(*brief.Brief) {
		return func(b *brief.Brief) { f(&b.Given[0]) }
	}
	for _, c := range []struct {
		name   string
		change func(*brief.Brief)
		path   string
		offset int
		text   string
	}{
		{"unknown name", set(func(f *brief.Figure) { f.Formula = "qv × flw" }), "stages[3].items[1].figure.formula", 6, "flw"},
		{"name ahead", set(func(f *brief.Figure) { f.Formula = "qv + lift" }), "stages[3].items[1].figure.formula", 5, "comes later"},
		{"itself", set(func(f *brief.Figure) { f.Formula = "1 kW + heat" }), "stages[3].items[1].figure.formula", 7, "comes later"},
		{"no value", set(func(f *brief.Figure) { f.Formula = "noise" }), "stages[3].items[1].figure.formula", 0, "is no value (observation)"},
		{"dimension", set(func(f *brief.Figure) { f.Formula = "qv × 4.18 kJ/(kg·K) × dt" }), "stages[3].items[1].figure.formula", 0, "kW"},
		{"syntax", set(func(f *brief.Figure) { f.Formula = "qv × (2" }), "stages[3].items[1].figure.formula", 6, "not closed"},
		{"comparison", set(func(f *brief.Figure) { f.Formula = "qv < 3" }), "stages[3].items[1].figure.formula", 3, "no comparison"},
		{"slip's dimension", set(func(f *brief.Figure) { f.Slips[0].Formula = "dt" }), "stages[3].items[1].figure.slips[0].formula", 0, "kW"},
		{"no such unit", set(func(f *brief.Figure) { f.Unit = "kWatts" }), "stages[3].items[1].figure.unit", 0, "kWatts"},
		{"tolerance in another unit", set(func(f *brief.Figure) { f.Tolerance.Absolute = "0.1 K" }), "stages[3].items[1].figure.tolerance.absolute", 0, "K"},
		{"tolerance without a unit", set(func(f *brief.Figure) { f.Tolerance.Absolute = "0.1" }), "stages[3].items[1].figure.tolerance.absolute", 3, "unit is missing"},
		{"two ways of tolerance", set(func(f *brief.Figure) { f.Tolerance.Exact = true }), "stages[3].items[1].figure.tolerance", 0, "stated one way"},
		{"no way of tolerance", set(func(f *brief.Figure) { f.Tolerance = &brief.Tolerance{} }), "stages[3].items[1].figure.tolerance", 0, "says how"},
		{"bound without a reason", func(b *brief.Brief) { item(b, "lift").Figure.Tolerance.Because = "" }, "stages[3].items[3].figure.tolerance.bound", 0, "reason"},
		{"tolerance of nothing", set(func(f *brief.Figure) { f.Tolerance.Absolute = "0 kW" }), "stages[3].items[1].figure.tolerance.absolute", 0, "more than nothing"},
		{"relative tolerance in kW", set(func(f *brief.Figure) { f.Tolerance.Relative = "3 kW" }), "stages[3].items[1].figure.tolerance.relative", 0, "number"},
		{"accuracy of nothing", read(func(r *brief.Reading) { r.Accuracy = "-0.5 K" }), "stages[2].items[1].reading.accuracy", 0, "more than nothing"},
		{"censored limit", read(func(r *brief.Reading) { r.Limit.AtMost = "<80 °C" }), "stages[2].items[1].reading.limit.at-most", 0, "without < or >"},
		{"limit the wrong way round", read(func(r *brief.Reading) { r.Limit.AtLeast = "90 °C" }), "stages[2].items[1].reading.limit", 0, "above at-most"},
		{"limit in K for °C", read(func(r *brief.Reading) { r.Limit.AtLeast = "60 K" }), "stages[2].items[1].reading.limit.at-least", 0, "temperature"},
		{"accuracy in another unit", read(func(r *brief.Reading) { r.Accuracy = "0.5 bar" }), "stages[2].items[1].reading.accuracy", 0, "bar"},
		{"empty range", read(func(r *brief.Reading) { r.Believable.To = "30 °C" }), "stages[2].items[1].reading.believable", 0, "empty"},
		{"comma", read(func(r *brief.Reading) { r.Believable.To = "85,5 °C" }), "stages[2].items[1].reading.believable.to", 2, "comma"},
		{"given without anything", given(func(g *brief.Given) { *g = brief.Given{Name: "load"} }), "given[0]", 0, "has a value, or a range"},
		{"half a range", given(func(g *brief.Given) { g.Step = "" }), "given[0]", 0, "all three"},
		{"ends in two units", given(func(g *brief.Given) { g.To = "18000 W" }), "given[0].to", 0, "same unit"},
		{"step in another unit", given(func(g *brief.Given) { g.Step = "500 W" }), "given[0].step", 0, "step"},
		{"no step at all", given(func(g *brief.Given) { g.Step = "0 kW" }), "given[0].step", 0, "has to be more than nothing"},
		{"too many values", given(func(g *brief.Given) { g.Step = "0.000001 kW" }), "given[0].step", 0, "so small"},
		{"backwards", given(func(g *brief.Given) { g.To = "11 kW" }), "given[0]", 0, "one value at most"},
		{"model's value off the grid", given(func(g *brief.Given) { g.Value = "14.6 kW" }), "given[0].value", 0, "steps"},
		{"sizes that fall", func(b *brief.Brief) { item(b, "tube").Choice.Size.Sizes[2] = "9" }, "stages[3].items[5].choice.size.sizes[2]", 0, "Sizes rise"},
		{"size with a unit", func(b *brief.Brief) { item(b, "tube").Choice.Size.Sizes[2] = "22 mm" }, "stages[3].items[5].choice.size.sizes[2]", 3, "number"},
		{"condition over nothing", func(b *brief.Brief) { item(b, "enough").Choice.Options[0].When = "heat > lod" }, "stages[3].items[4].choice.options[0].when", 7, "load"},
		{"condition over what comes later", func(b *brief.Brief) { item(b, "before").Key = "x"; b.Stages[0].Items[0] = *item(b, "enough") }, "stages[0].items[0].choice.options[0].when", 0, "comes later"},
		{"condition of two formulas that do not compare", func(b *brief.Brief) { item(b, "enough").Choice.Options[0].When = "heat > dt" }, "stages[3].items[4].choice.options[0].when", 5, ""},
		{"cross-check of two measures", func(b *brief.Brief) { b.CrossChecks[0].When = "tr < 3 bar" }, "cross-checks[0].holds", 3, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := sample.Brief()
			c.change(b)
			got, ps := brief.Compile(b, functions())
			if len(ps) == 0 || got != nil {
				t.Fatalf("compiled: %v, problems %v", got, ps)
			}
			p := ps[0]
			if p.Path != c.path || p.Offset != c.offset || !strings.Contains(p.Text, c.text) {
				t.Errorf("got  %s +%d: %s\nwant %s +%d: …%s…", p.Path, p.Offset, p.Text, c.path, c.offset, c.text)
			}
			if len(ps) > 1 {
				t.Errorf("one mistake, %d problems:\n%v", len(ps), ps)
			}
		})
	}
}

func TestNameSpeltAsUnit(t *testing.T) {
	b := sample.Brief()
	b.Given[1] = brief.Given{Name: "W", Is: "pump electrical power", Value: "45 W"}
	item(b, "share").Figure.Formula = "2 W / heat"
	_, ps := brief.Compile(b, functions())
	if len(ps) != 1 || !ps[0].Warning || ps[0].Path != "stages[3].items[2].figure.formula" || !strings.Contains(ps[0].Text, "“W” is the unit") {
		t.Errorf("got %v", ps)
	}
}

func item(b *brief.Brief, key string) *brief.Item {
	it, _, ok := b.Item(key)
	if !ok {
		panic("the sample has no item " + key)
	}
	return it
}

func TestDraw(t *testing.T) {
	b := sample.Brief()
	b.Given = append(b.Given,
		brief.Given{Name: "cold", From: "-2 °C", To: "12 °C", Step: "0.5 K"},
		brief.Given{Name: "big", From: "1e3 Pa", To: "3e3 Pa", Step: "1e3 Pa"},
		brief.Given{Name: "n", From: "1", To: "6", Step: "1"})
	seen := map[string]map[string]bool{}
	for seed := range int64(500) {
		d := brief.Draw(b, seed)
		for name, text := range d {
			if seen[name] == nil {
				seen[name] = map[string]bool{}
			}
			seen[name][text] = true
			if _, err := quantity.ParseQuantity(text); err != nil {
				t.Fatalf("%s = %q: %v", name, text, err)
			}
		}
		if again := brief.Draw(b, seed); again["load"] != d["load"] {
			t.Fatalf("seed %d: %s, then %s", seed, d["load"], again["load"])
		}
	}
	// Every value of each grid turns up among 500 draws, and none beside them.
	for name, want := range map[string]int{"load": 13, "pr": 1, "cold": 29, "big": 3, "n": 6} {
		if got := len(seen[name]); got != want {
			t.Errorf("%s: %d values, want %d: %v", name, got, want, seen[name])
		}
	}
	for _, text := range []string{"12.0 kW", "18.0 kW", "15.5 kW"} {
		if !seen["load"][text] {
			t.Errorf("load is never %s", text)
		}
	}
	if !seen["cold"]["-2.0 °C"] || !seen["big"]["2000 Pa"] || !seen["n"]["6"] {
		t.Errorf("got %v, %v, %v", seen["cold"], seen["big"], seen["n"])
	}
	if got := brief.ModelGivens(b); got["load"] != "14.5 kW" || got["cold"] != "-2.0 °C" || got["pr"] != "45 W" {
		t.Errorf("model: got %v", got)
	}
}

// TestDrawIsForEver holds the draw to what earlier attempts were set with: a change here would change their figures.
func TestDrawIsForEver(t *testing.T) {
	b := sample.Brief()
	var got []string
	for seed := range int64(6) {
		got = append(got, brief.Draw(b, seed)["load"])
	}
	// Worked out apart from this program, with Python's hashlib, from the rule in Draw's comment.
	if got, want := strings.Join(got, ", "), "16.0 kW, 15.0 kW, 17.0 kW, 15.0 kW, 13.5 kW, 17.0 kW"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}
