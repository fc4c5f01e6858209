package brief_test

import (
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// known are the criteria of the sample's units.
var known = map[string][]string{"H2": {"1.1", "1.2", "2.1", "2.2"}, "H3": {"1.10"}}

func TestCheckSample(t *testing.T) {
	if ps := brief.Check(sample.Brief(), functions(), known); len(ps) > 0 {
		t.Errorf("the sample has problems:\n%v", ps)
	}
	if ps := brief.Check(sample.Brief(), functions(), nil); len(ps) > 0 {
		t.Errorf("without known criteria:\n%v", ps)
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name    string
		change  func(*brief.Brief)
		path    string
		text    string
		warning bool
	}{
		{"another edition", func(b *brief.Brief) { b.Edition = 2 }, "brief", "is 1 here", false},
		{"no title", func(b *brief.Brief) { b.Title = " " }, "title", "is empty", false},
		{"long title", func(b *brief.Brief) { b.Title = strings.Repeat("ä", 121) }, "title", "121 characters", false},
		{"title of two lines", func(b *brief.Brief) { b.Title = "a\nb" }, "title", "single line", false},
		{"text that turns round", func(b *brief.Brief) { b.About = "a\u202eb" }, "about", "U+202E", false},
		{"key in capitals", func(b *brief.Brief) { b.Key = "Bay" }, "key", "small letters", false},
		{"no stages", func(b *brief.Brief) {
			b.Stages = nil
			b.CrossChecks, b.Model, b.Criteria[0].Codes, b.Criteria = nil, nil, nil, nil
		}, "criteria", "no entry yet", false},
		{"empty caution", func(b *brief.Brief) { b.Cautions = []string{""} }, "cautions[0]", "is empty", false},
		{"entitlement", func(b *brief.Brief) { b.Stages[1].Hold.Entitlement = "electric" }, "stages[1].hold.entitlement", "gas, electrical or unvented", false},
		{"criterion twice", func(b *brief.Brief) { b.Criteria[0].Codes = append(b.Criteria[0].Codes, "1.1") }, "criteria[0].codes[3]", "second time", false},
		{"unit nobody has", func(b *brief.Brief) { b.Criteria[1].Unit = "H33" }, "criteria[1].unit", "no qualification unit “H33”", false},
		{"criterion nobody has", func(b *brief.Brief) { b.Criteria[0].Codes = append(b.Criteria[0].Codes, "9.9") }, "criteria[0].codes[3]", "no criterion 9.9", false},
		{"criterion without evidence", func(b *brief.Brief) { b.Criteria[0].Codes = append(b.Criteria[0].Codes, "2.2") }, "criteria[0].codes[3]", "Nothing in the brief shows H2/2.2", false},
		{"criterion with optional evidence", func(b *brief.Brief) {
			b.Criteria[0].Codes = append(b.Criteria[0].Codes, "2.2")
			item(b, "sheet").Criteria = []string{"H2/2.2"}
		}, "criteria[0].codes[3]", "may be left out", true},
		{"item's criterion unknown", func(b *brief.Brief) { item(b, "why").Criteria = append(item(b, "why").Criteria, "H2/2.3") }, "stages[3].items[6].criteria[1]", "does not cover “H2/2.3”", false},
		{"item's criterion without unit", func(b *brief.Brief) { item(b, "why").Criteria = append(item(b, "why").Criteria, "2.1") }, "stages[3].items[6].criteria[1]", "write which one", false},
		{"same key", func(b *brief.Brief) { item(b, "sheet").Key = "before" }, "stages[0].items[4].key", "stages[0].items[0].key", false},
		{"item called as a stage", func(b *brief.Brief) { item(b, "sheet").Key = "measure" }, "stages[2].key", "a name already", false},
		{"given called as an item", func(b *brief.Brief) { b.Given[1].Name = "why"; item(b, "share").Figure.Formula = "45 W / heat" }, "stages[3].items[6].key", "a name already", false},
		{"dash in a figure's key", func(b *brief.Brief) { b.Given = append(b.Given, brief.Given{Name: "a-b", Is: "x", Value: "1 m"}) }, "given[2].name", "subtraction", false},
		{"function's name", func(b *brief.Brief) { b.Given = append(b.Given, brief.Given{Name: "rho", Is: "x", Value: "1 m"}) }, "given[2].name", "function", false},
		{"notation's function", func(b *brief.Brief) { b.Given = append(b.Given, brief.Given{Name: "min", Is: "x", Value: "1 m"}) }, "given[2].name", "function", false},
		{"notation's word", func(b *brief.Brief) { b.Given = append(b.Given, brief.Given{Name: "pi", Is: "x", Value: "1 m"}) }, "given[2].name", "meaning of its own", false},
		{"key that YAML reads as nothing", func(b *brief.Brief) { item(b, "sheet").Key = "null" }, "stages[0].items[4].key", "“null” is read as nothing", true},
		{"key that YAML reads as a switch", func(b *brief.Brief) { item(b, "sheet").Key = "True" }, "stages[0].items[4].key", "“True” is read as a switch", true},
		{"key that YAML reads as a number", func(b *brief.Brief) { item(b, "sheet").Key = "12" }, "stages[0].items[4].key", "a letter first", false},
		{"key that is YAML's mark for nothing", func(b *brief.Brief) { item(b, "sheet").Key = "~" }, "stages[0].items[4].key", "a letter first", false},
		{"no form", func(b *brief.Brief) { item(b, "sheet").Document = nil }, "stages[0].items[4]", "does not say what is to be shown", false},
		{"two forms", func(b *brief.Brief) { item(b, "sheet").Confirm = &brief.Confirm{Text: "x"} }, "stages[0].items[4]", "confirm and document at once", false},
		{"hold needs what comes after", func(b *brief.Brief) { b.Stages[1].Hold.Needs = []string{"noise"} }, "stages[1].hold.needs[0]", "could never be released", false},
		{"hold needs nothing known", func(b *brief.Brief) { b.Stages[1].Hold.Needs = []string{"continuty"} }, "stages[1].hold.needs[0]", "No item", false},
		{"hold needs a photo", func(b *brief.Brief) { b.Stages[1].Hold.Needs = []string{"before"} }, "stages[1].hold.needs[0]", "no right or wrong", false},
		{"re-opened by nothing known", func(b *brief.Brief) { item(b, "demand").ReopenedBy = []string{"wires"} }, "stages[1].items[0].reopened-by[0]", "No item or stage", false},
		{"live without a hold", func(b *brief.Brief) { b.Stages[1].Hold = nil }, "stages[1].items[0].functional-test.live", "live before", false},
		{"unflagged reading behind mains", func(b *brief.Brief) {
			b.Stages[1].Items = append(b.Stages[1].Items, brief.Item{Key: "zs", Title: "Zs", Reading: &brief.Reading{Is: "loop impedance", Unit: "Ω"}})
			b.Model = append(b.Model, brief.ModelAnswer{Item: "zs", Text: "0.4"})
		}, "stages[1].items[2]", "mains electrical work", true},
		{"unflagged need of a hold", func(b *brief.Brief) { r := item(b, "continuity").Reading; r.Safety, r.CheckWithin = false, "" }, "stages[0].items[2]", "decides whether a hold point", true},
		{"safety-critical without a check", func(b *brief.Brief) { item(b, "continuity").Reading.CheckWithin = "" }, "stages[0].items[2].reading", "check-within", true},
		{"limit from nowhere", func(b *brief.Brief) { item(b, "tf").Reading.Limit.Source = "" }, "stages[2].items[1].reading.limit", "source", true},
		{"phases backwards", func(b *brief.Brief) { item(b, "tf").Reading.Phases = []brief.Phase{brief.AsLeft, brief.AsFound} }, "stages[2].items[1].reading.phases", "before it is taken as left", false},
		{"row too short", func(b *brief.Brief) { item(b, "demand").Test.Rows[1].Set = []string{"calls"} }, "stages[1].items[0].functional-test.rows[1].set", "2 demands", false},
		{"row expects too little", func(b *brief.Brief) { item(b, "demand").Test.Rows[1].Expect = []string{"runs"} }, "stages[1].items[0].functional-test.rows[1].expect", "2 checks", false},
		{"expects none of the options", func(b *brief.Brief) { item(b, "demand").Test.Rows[1].Expect[1] = "middle" }, "stages[1].items[0].functional-test.rows[1].expect[1]", "none of the options of “valve”", false},
		{"rows of one name", func(b *brief.Brief) { item(b, "demand").Test.Rows[1].Key = "heat" }, "stages[1].items[0].functional-test.rows[1].key", "second time", false},
		{"observation expects another", func(b *brief.Brief) { item(b, "noise").Observation.Expect = "silent" }, "stages[1].items[1].observation.expect", "none of the options", false},
		{"safety without an expectation", func(b *brief.Brief) { item(b, "noise").Observation.Expect = "" }, "stages[1].items[1].observation", "right answer", false},
		{"figure without tolerance", func(b *brief.Brief) { item(b, "dt").Figure.Tolerance = nil }, "stages[3].items[0].figure", "no tolerance", false},
		{"choice of nothing", func(b *brief.Brief) {
			c := item(b, "enough").Choice
			c.Options, c.Slips = nil, nil
			b.Model[11].Text = "x"
		}, "stages[3].items[4].choice", "A choice has options", false},
		{"option that always holds on top", func(b *brief.Brief) { item(b, "enough").Choice.Options[0].When = "" }, "stages[3].items[4].choice.options[0]", "always right", false},
		{"slip to no option", func(b *brief.Brief) { item(b, "enough").Choice.Slips[0].Option = "it gives the lod" }, "stages[3].items[4].choice.slips[0].option", "none of what can be chosen", false},
		{"slip to no size", func(b *brief.Brief) { item(b, "tube").Choice.Slips[0] = brief.Slip{Key: "up", Is: "x", Option: "15"} }, "stages[3].items[5].choice.slips[0].option", "none of what can be chosen", false},
		{"slip to the right size", func(b *brief.Brief) {
			item(b, "tube").Choice.Slips[0] = brief.Slip{Key: "up", Is: "x", Option: "13.6"}
			item(b, "qv").Reading.Believable = nil
		}, "stages[3].items[5].choice.slips[0]", "“up” gives the right answer, within its tolerance, whatever is given", false},
		{"slip with an option in a figure", func(b *brief.Brief) { s := &item(b, "heat").Figure.Slips[0]; s.Formula, s.Option = "", "1" }, "stages[3].items[1].figure.slips[0].option", "belongs to a choice", false},
		{"slip with both", func(b *brief.Brief) { item(b, "tube").Choice.Slips[0].Option = "10" }, "stages[3].items[5].choice.slips[0]", "leads to one thing", false},
		{"slip with a formula among options", func(b *brief.Brief) { s := &item(b, "enough").Choice.Slips[0]; s.Formula, s.Option = "1", "" }, "stages[3].items[4].choice.slips[0].formula", "names the option", false},
		{"slip that leads nowhere", func(b *brief.Brief) { item(b, "heat").Figure.Slips[0].Formula = "" }, "stages[3].items[1].figure.slips[0]", "does not say where", false},
		{"slip within the tolerance", func(b *brief.Brief) { item(b, "heat").Figure.Slips[0].Formula = "qv × 1 kg/L × 4.2 kJ/(kg·K) × dt" }, "stages[3].items[1].figure.slips[0]", "16.06\u2009kW, and 15.79\u2009kW is right: 1.7 % off", false},
		{"slip that is always the size", func(b *brief.Brief) {
			item(b, "tube").Choice.Slips[0].Formula = "13.5 mm"
			item(b, "qv").Reading.Believable = nil
		}, "stages[3].items[5].choice.slips[0]", "With the model answer’s values both lead to 13.6 mm", false},
		{"figure that needs itself", func(b *brief.Brief) { item(b, "heat").Figure.Formula = "heat × 2" }, "stages[3].items[1].figure.formula", "“heat” needs itself", false},
		{"two figures in a circle", func(b *brief.Brief) { item(b, "dt").Figure.Formula = "tf − tr + 0 K × (heat / 1 kW)" }, "stages[3].items[0].figure.formula", "“dt” needs “heat”, which needs “dt”: these figures go round in a circle", false},
		{"three figures in a circle", func(b *brief.Brief) { item(b, "dt").Figure.Formula = "tf − tr + 1 K × share" }, "stages[3].items[0].figure.formula", "“dt” needs “share”, which needs “heat”, which needs “dt”:", false},
		{"reading of a criterion of mains work", func(b *brief.Brief) {
			for _, key := range []string{"qv", "tf"} {
				item(b, key).Criteria = []string{"H2/2.1"}
			}
		}, "stages[2].items[2]", "“tr” bears on H2/1.2, a criterion of mains electrical work,", true},
		{"figure that can hurt by its name", func(b *brief.Brief) {
			item(b, "lift").Figure.Safety, item(b, "lift").Title = false, "Set pressure of the relief valve"
		}, "stages[3].items[3]", "can hurt (“relief”)", true},
		{"reading of a loop", func(b *brief.Brief) { item(b, "qv").Reading.Is = "Zs at the far socket" }, "stages[2].items[0]", "can hurt (“Zs”)", true},
		{"slip that is right for some", func(b *brief.Brief) {
			item(b, "lift").Figure.Tolerance = &brief.Tolerance{Relative: "1 %"}
			item(b, "lift").Figure.Slips = []brief.Slip{{Key: "fixed", Is: "x", Formula: "1.1 × load + 0.3 kW"}}
		}, "stages[3].items[3].figure.slips[0]", "With load = 18.0 kW it gives 20.10\u2009kW, and 20.00\u2009kW is right: 0.5 % off", true},
		{"slip that is the same calculation", func(b *brief.Brief) {
			item(b, "lift").Figure.Tolerance = &brief.Tolerance{Relative: "1 %"}
			item(b, "lift").Figure.Slips = []brief.Slip{{Key: "turned", Is: "x", Formula: "2 kW + load"}}
		}, "stages[3].items[3].figure.slips[0]", "it is the same calculation", false},
		{"slip that leads nowhere", func(b *brief.Brief) { item(b, "heat").Figure.Slips[0].Formula = "qv × 1 kJ/L × 1 K / (dt − dt)" }, "stages[3].items[1].figure.slips[0]", "has no value anywhere", true},
		{"slips that are the same", func(b *brief.Brief) {
			f := item(b, "heat").Figure
			f.Slips = append(f.Slips, brief.Slip{Key: "sixty", Is: "x", Formula: "(" + f.Slips[0].Formula + ") × 1"})
		}, "stages[3].items[1].figure.slips[1]", "“per-second” and “sixty” cannot be told apart", true},
		{"no model answer", func(b *brief.Brief) { b.Model = b.Model[1:] }, "stages[0].items[2]", "nothing for “continuity”", false},
		{"model answer lacks a repeat", func(b *brief.Brief) { b.Model = append(b.Model[:2:2], b.Model[3:]...) }, "stages[2].items[0]", "2 of 3", false},
		{"model answer for nothing", func(b *brief.Brief) { b.Model[12].Item, b.Model[12].Text = "tub", "x"; item(b, "tube").Optional = true }, "model-answer[12].item", "No item is called “tub”", false},
		{"model answer twice", func(b *brief.Brief) { b.Model = append(b.Model, b.Model[0]) }, "model-answer[13]", "answered twice", false},
		{"model answer to a part that is not there", func(b *brief.Brief) { b.Model = append(b.Model, brief.ModelAnswer{Item: "qv", Part: "4", Text: "1"}) }, "model-answer[13]", "1, 2 or 3", false},
		{"model answer none of the options", func(b *brief.Brief) { b.Model[11].Text = "it gives plenty" }, "model-answer[11].text", "none of what can be chosen", false},
		{"no answer at a corner", func(b *brief.Brief) { item(b, "lift").Figure.Formula = "load × 1 kW / (load − 18 kW)" }, "stages[3].items[3].figure.formula", "With load = 18.0 kW this cannot be worked out", false},
		{"no answer at a drawn value", func(b *brief.Brief) { item(b, "lift").Figure.Formula = "load × 1 kW / (load − 13 kW)" }, "stages[3].items[3].figure.formula", "With load = 13.0 kW", false},
		{"function out of its range", func(b *brief.Brief) {
			item(b, "lift").Figure.Formula = "load × rho(20 °C + load × 10 K/kW) / 1000 kg × 1 m³"
		}, "stages[3].items[3].figure.formula", "this cannot be worked out: rho", false},
		{"no option is right", func(b *brief.Brief) { item(b, "enough").Choice.Options[1].When = "heat < 10 kW" }, "stages[3].items[4].choice.options", "none of the options is right", false},
		{"no size is large enough", func(b *brief.Brief) { s := item(b, "tube").Choice.Size; s.Formula = "load / 13 kW × 20 mm" }, "stages[3].items[5].choice.size.sizes", "With load = 18.0 kW no size is large enough", false},
		{"model breaks a cross-check", func(b *brief.Brief) { b.CrossChecks[0].When = "tr > tf" }, "cross-checks[0].holds", "model answer itself", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := sample.Brief()
			c.change(b)
			ps := brief.Check(b, functions(), known)
			found := false
			for _, p := range ps {
				found = found || p.Path == c.path && strings.Contains(p.Text+" "+p.Hint, c.text) && p.Warning == c.warning
			}
			if !found {
				t.Errorf("no problem (warning %v) at %s with %q; got:\n%v", c.warning, c.path, c.text, ps)
			}
			if len(ps) > 4 {
				t.Errorf("one mistake, %d problems:\n%v", len(ps), ps)
			}
		})
	}
}
