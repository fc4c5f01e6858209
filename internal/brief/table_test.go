package brief_test

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/formula"
)

// tabled is the sample with two tables written out, and what a figure of it says.
func tabled(figure, unit string) *brief.Brief {
	b := sample.Brief()
	b.Tables = []brief.Table{
		{Name: "longest", Is: "longest pipe", Of: "mm", Gives: "m", Between: "exact", Source: "x", Rows: []brief.TableRow{{At: "22", Is: "9"}, {At: "28", Is: "18"}, {At: "35", Is: "12.5"}}},
		{Name: "left", Is: "share left", Of: "°C", Gives: "%", Between: "straight", Source: "x", Rows: []brief.TableRow{{At: "20", Is: "90"}, {At: "30", Is: "100"}, {At: "70", Is: "50"}}},
	}
	b.Given = append(b.Given, brief.Given{Name: "od", Is: "outside diameter", Value: "28 mm", From: "22 mm", To: "28 mm", Step: "6 mm"}, brief.Given{Name: "t", Is: "a temperature", Value: "45 °C"})
	*item(b, "lift").Figure = brief.Figure{Ask: "what the table says", Formula: figure, Unit: unit, Tolerance: &brief.Tolerance{Relative: "1 %"}}
	return b
}

// programOf is the figure's program with the values that it takes.
func programOf(t *testing.T, b *brief.Brief, at map[string]float64) (*formula.Program, []float64) {
	t.Helper()
	c, ps := brief.Compile(b, functions())
	if ps.Err() != nil {
		t.Fatalf("problems:\n%v", ps)
	}
	for _, it := range c.Items {
		if it.Item.Key == "lift" {
			var in []float64
			for _, n := range it.Formula.Needs {
				in = append(in, at[c.Names[n].Name])
			}
			return it.Formula.Program, in
		}
	}
	t.Fatal("no lift")
	return nil, nil
}

func TestTables(t *testing.T) {
	for _, c := range []struct {
		formula, unit string
		od, t         float64 // mm, °C
		want          float64 // in the unit
		err           string
	}{
		{"longest(22 mm)", "m", 0, 0, 9, ""},
		{"longest(2.8 cm)", "m", 0, 0, 18, ""},
		{"longest(od) × 2", "mm", 35, 0, 25000, ""},
		{"longest(od)", "m", 25, 0, 0, "there is no row for 25 mm; the rows are 22, 28 and 35 mm"},
		{"longest(od)", "m", 15, 0, 0, "no row for 15 mm"},
		{"longest(od)", "m", 22.001, 0, 0, "no row for 22.001 mm"},
		{"left(t)", "%", 0, 20, 90, ""},
		{"left(t)", "%", 0, 25, 95, ""},
		{"left(t)", "", 0, 45, 0.8125, ""},
		{"left(t)", "%", 0, 70, 50, ""},
		{"left(t)", "%", 0, 19.9, 0, "19.9 °C lies outside the table, which goes from 20 to 70 °C"},
		{"left(t)", "%", 0, 71, 0, "71 °C lies outside"},
	} {
		p, in := programOf(t, tabled(c.formula, c.unit), map[string]float64{"od": c.od / 1000, "t": c.t + 273.15})
		got, err := p.EvalIn(in)
		if c.err != "" {
			if err == nil || !strings.Contains(err.Error(), c.err) {
				t.Errorf("%s: got %v, %v, want %q", c.formula, got, err, c.err)
			}
			continue
		}
		if err != nil || math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("%s at %v mm, %v °C: got %v, %v, want %v", c.formula, c.od, c.t, got, err, c.want)
		}
	}
}

// Tables over ranges: an exact one only within a row, a straight one with its turns.
func TestTablesOverRanges(t *testing.T) {
	kelvin := func(a, b float64) formula.Interval { return formula.Interval{Lo: a + 273.15, Hi: b + 273.15} }
	for _, c := range []struct {
		formula, unit string
		in            formula.Interval
		lo, hi        float64 // SI; NaN where it cannot be worked out
	}{
		{"left(t)", "%", kelvin(25, 50), 0.75, 1},
		{"left(t)", "%", kelvin(20, 29), 0.9, 0.99},
		{"left(t)", "%", kelvin(20, 70), 0.5, 1},
		{"left(t)", "%", kelvin(60, 71), math.NaN(), 0},
		{"longest(od)", "m", formula.Interval{Lo: 0.028, Hi: 0.028}, 18, 18},
		{"longest(od)", "m", formula.Interval{Lo: 0.022, Hi: 0.028}, math.NaN(), 0},
		{"longest(od)", "m", formula.Interval{Lo: 0.022, Hi: 0.035}, math.NaN(), 0},
		{"longest(od)", "m", formula.Interval{Lo: 0.0279, Hi: 0.0281}, math.NaN(), 0},
	} {
		p, _ := programOf(t, tabled(c.formula, c.unit), nil)
		got, err := p.EvalInterval([]formula.Interval{c.in})
		if math.IsNaN(c.lo) {
			if err == nil {
				t.Errorf("%s over %v: got %v", c.formula, c.in, got)
			}
			continue
		}
		if err != nil || math.Abs(got.Lo-c.lo) > 1e-7 || math.Abs(got.Hi-c.hi) > 1e-7 {
			t.Errorf("%s over %v: got %v, %v, want %v to %v", c.formula, c.in, got, err, c.lo, c.hi)
		}
	}
}

// A straight table has its lines' slopes; an exact one has none.
func TestTablesHaveSlopes(t *testing.T) {
	for _, c := range []struct {
		formula, unit string
		at, want      float64 // SI
	}{{"left(t)", "%", 273.15 + 25, 0.01}, {"left(t)", "%", 273.15 + 50, -0.0125}, {"left(t)", "%", 273.15 + 70, -0.0125}, {"longest(od)", "m", 0.028, 0}} {
		p, _ := programOf(t, tabled(c.formula, c.unit), nil)
		slope := []float64{math.NaN()}
		if _, err := p.EvalGradient([]float64{c.at}, slope); err != nil || math.Abs(slope[0]-c.want) > 1e-8 {
			t.Errorf("%s at %v: got %v, %v, want %v", c.formula, c.at, slope[0], err, c.want)
		}
	}
}

// Whatever the table, its own rows come out, what lies between them lies between their values, and ranges hold every value.
func TestAnyTable(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "rows")
		b := tabled("left(t)", "%")
		tab := &b.Tables[1]
		tab.Rows = nil
		var at, is []float64
		x := rapid.IntRange(-40, 40).Draw(t, "first")
		for range n {
			y := rapid.IntRange(-500, 500).Draw(t, "is")
			at, is = append(at, float64(x)), append(is, float64(y))
			tab.Rows = append(tab.Rows, brief.TableRow{At: number(x), Is: number(y)})
			x += rapid.IntRange(1, 30).Draw(t, "gap")
		}
		c, ps := brief.Compile(b, functions())
		if ps.Err() != nil {
			t.Fatalf("problems:\n%v", ps)
		}
		f := c.Functions["left"]
		for i := range at {
			if got, err := f.Call([]float64{at[i] + 273.15}); err != nil || got != f.Result.ToSI(is[i]) {
				t.Fatalf("row %v: got %v, %v, want %v %%", at[i], got, err, is[i])
			}
		}
		lo := rapid.Float64Range(at[0], at[n-1]).Draw(t, "lo")
		hi := rapid.Float64Range(lo, at[n-1]).Draw(t, "hi")
		mid := rapid.Float64Range(lo, hi).Draw(t, "mid")
		i := slices.IndexFunc(c.Items, func(it brief.CompiledItem) bool { return it.Item.Key == "lift" })
		r, err := c.Items[i].Formula.Program.EvalInterval([]formula.Interval{{Lo: lo + 273.15, Hi: hi + 273.15}})
		got, err2 := f.Call([]float64{mid + 273.15})
		if err != nil || err2 != nil || !r.Has(got) {
			t.Fatalf("%v lies outside of %v (%v, %v)", got, r, err, err2)
		}
	})
}

func number(n int) string { return strconv.Itoa(n) }

// A table's own mistakes are told once, and not again at every formula that calls it.
func TestTableProblems(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*brief.Table)
		path   string
		says   string
	}{
		{"falling rows", func(t *brief.Table) { t.Rows[1].At = "20" }, "tables[0].rows[1].at", "Rows rise: 20 stands below 22"},
		{"doubled rows", func(t *brief.Table) { t.Rows[1].At = "22.0" }, "tables[0].rows[1].at", "Rows rise"},
		{"no rows", func(t *brief.Table) { t.Rows = nil }, "tables[0].rows", "two rows at least"},
		{"nothing about between", func(t *brief.Table) { t.Between = "" }, "tables[0].between", "what lies between its rows"},
		{"another between", func(t *brief.Table) { t.Between = "nearest" }, "tables[0].between", "exact or straight"},
		{"an unknown unit", func(t *brief.Table) { t.Of = "mmx" }, "tables[0].of", ""},
		{"a name of the formulas' own", func(t *brief.Table) { t.Name = "sqrt" }, "tables[0].name", "function of the formulas"},
		{"a name of the trade's", func(t *brief.Table) { t.Name = "rho" }, "tables[0].name", "function of the formulas"},
		{"a name of a given", func(t *brief.Table) { t.Name = "od" }, "tables[0].name", "is a name already"},
		{"a name with a dash", func(t *brief.Table) { t.Name = "d2-longest" }, "tables[0].name", "subtraction"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := tabled("longest(od)", "m")
			if ps := brief.Check(b, functions(), known); !onlyModel(ps) {
				t.Fatalf("before the change:\n%v", ps)
			}
			c.change(&b.Tables[0])
			if b.Tables[0].Name != "longest" {
				item(b, "lift").Figure.Formula = "od"
			}
			ps := brief.Check(b, functions(), known).Failures()
			if len(ps) != 1 || ps[0].Path != c.path || !strings.Contains(ps[0].Text, c.says) {
				t.Errorf("got %v, want “%s” at %s", ps, c.says, c.path)
			}
		})
	}
	b := tabled("longest(od)", "m")
	b.Tables[0].Between = "nearest"
	if c, ps := brief.Compile(b, functions()); c != nil || len(ps) != 1 {
		t.Errorf("compiled without a check, another between: %v", ps)
	}
	b = tabled("longest(t)", "m")
	if _, ps := brief.Compile(b, functions()); len(ps) != 1 || !strings.Contains(ps[0].Text, "longest") {
		t.Errorf("a temperature for a length: %v", ps)
	}
	b = tabled("longest(od, t)", "m")
	if _, ps := brief.Compile(b, functions()); len(ps) != 1 || !strings.Contains(ps[0].Text, "longest takes one value") {
		t.Errorf("two values: %v", ps)
	}
}

// onlyModel says whether nothing but warnings was found.
func onlyModel(ps brief.Problems) bool { return len(ps.Failures()) == 0 }

// The checker tries a table with every value that a trainee may be given.
func TestCheckerFindsGivensBesideATable(t *testing.T) {
	b := tabled("longest(od)", "m")
	b.Given[2].Step = "3 mm"
	ps := brief.Check(b, functions(), known).Failures()
	if len(ps) != 1 || !strings.Contains(ps[0].Text, "no row for 25 mm") || !strings.Contains(ps[0].Text, "od = 25 mm") {
		t.Errorf("got %v", ps)
	}
}
