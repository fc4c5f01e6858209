package brief_test

import (
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

func TestAccuracies(t *testing.T) {
	for _, c := range []struct {
		unit               string // of the reading; °C where it is ""
		text               string
		absolute, relative float64
		problem            string
	}{
		// Ratios: common practice of analysers' data sheets, no source.
		{unit: "ppm", text: "2 ppm", absolute: 2},
		{unit: "ppm", text: "5 %", relative: 0.05},
		{unit: "ppm", text: "5 % + 2 ppm", absolute: 2, relative: 0.05},
		{unit: "ppm", text: "5 % + 2 %", problem: "a share of the reading and an amount"},
		{unit: "%", text: "0.2 %", absolute: 0.2},
		{unit: "%", text: "500 ppm", absolute: 0.05},
		{unit: "%", text: "5 % + 0.2 %", problem: "a share of the reading and an amount"},
		{unit: "", text: "0.5 K", absolute: 0.5},
		{text: "2 %", relative: 0.02},
		{text: "2 % + 0.3 K", absolute: 0.3, relative: 0.02},
		{text: "0.3 K + 2 %", absolute: 0.3, relative: 0.02},
		{text: "0.3 K + 0.1 K", problem: "a share of the reading and an amount"},
		{text: "2 % + 1 %", problem: "a share of the reading and an amount"},
		{text: "2 % + 0 K", problem: "more than nothing"},
		{text: "2 % + 0.3 bar", problem: "bar"},
	} {
		b := sample.Brief()
		r := item(b, "tf").Reading
		if r.Accuracy = c.text; c.unit != "" { // nothing else of the sample is a ratio
			*r = brief.Reading{Is: r.Is, Unit: c.unit, Accuracy: c.text}
			item(b, "dt").Figure.Formula, item(b, "dt").Figure.Slips, b.CrossChecks = "tr − tr", nil, nil
		}
		got, ps := brief.Compile(b, functions())
		if c.problem != "" {
			if len(ps) != 1 || !strings.Contains(ps[0].Text, c.problem) {
				t.Errorf("%s: problems %v, want …%s…", c.text, ps, c.problem)
			}
			continue
		}
		if got == nil {
			t.Errorf("%s: %v", c.text, ps)
			continue
		}
		if a := compiledItem(t, got, "tf").Accuracy; a == nil || a.Absolute != c.absolute || a.Relative != c.relative {
			t.Errorf("%s: got %+v, want %v and %v", c.text, a, c.absolute, c.relative)
		}
	}
}

func compiledItem(t *testing.T, c *brief.Compiled, key string) *brief.CompiledItem {
	t.Helper()
	for i := range c.Items {
		if c.Items[i].Item.Key == key {
			return &c.Items[i]
		}
	}
	t.Fatalf("there is no item %s", key)
	return nil
}

func TestGuardBands(t *testing.T) {
	c, ps := brief.Compile(sample.Brief(), functions())
	if c == nil {
		t.Fatal(ps)
	}
	if g := compiledItem(t, c, "tf").Guard; g == nil || !g.ThreeState || g.Share != 1 || g.Amount != 0 {
		t.Errorf("tf: got %+v, want three states at 100 %%", g)
	}
	if g := compiledItem(t, c, "lift").Guard; g == nil || g.ThreeState || g.Amount != 0.5 || g.Because == "" {
		t.Errorf("lift: got %+v, want guarded by 0.5 kW with a reason", g)
	}
	if it := compiledItem(t, c, "continuity"); !it.Margin || it.Guard != nil {
		t.Errorf("continuity: got %+v %v, want a limit that carries its margin", it.Guard, it.Margin)
	}
	limit := func(key string, f func(*brief.Limit)) func(*brief.Brief) {
		return func(b *brief.Brief) {
			it := item(b, key)
			if it.Reading != nil {
				f(it.Reading.Limit)
				return
			}
			if it.Figure.Limit == nil {
				it.Figure.Limit = &brief.Limit{AtMost: "1 MW", Source: "invented"}
			}
			f(it.Figure.Limit)
		}
	}
	for _, row := range []struct {
		name   string
		change func(*brief.Brief)
		where  string // "" where it is in order
		text   string
	}{
		{"on top of a margin", limit("tf", func(l *brief.Limit) { l.Margin = true }), "guard-band", "carries its margin already"},
		{"neither share nor amount", limit("tf", func(l *brief.Limit) { l.Guard.Share = "" }), "guard-band", "one of"},
		{"share and amount", limit("tf", func(l *brief.Limit) { l.Guard.Amount = "1 K" }), "guard-band", "one of"},
		{"a share of no accuracy", func(b *brief.Brief) { item(b, "tf").Reading.Accuracy = "" }, "guard-band.share", "no uncertainty"},
		{"a share of nothing", limit("tf", func(l *brief.Limit) { l.Guard.Share = "0 %" }), "guard-band.share", "more than nothing"},
		{"a share beyond reason", limit("tf", func(l *brief.Limit) { l.Guard.Share = "400 %" }), "guard-band.share", "300 %"},
		{"an amount in another unit", limit("tf", func(l *brief.Limit) { l.Guard.Share, l.Guard.Amount = "", "1 bar" }), "guard-band.amount", "bar"},
		{"wider than the limit", limit("tf", func(l *brief.Limit) { l.Guard.Share, l.Guard.Amount = "", "11 K" }), "guard-band.amount", "Nothing keeps"},
		{"as wide as the limit", limit("tf", func(l *brief.Limit) { l.Guard.Share, l.Guard.Amount = "", "10 K" }), "", ""},
		{"a figure over readings with an accuracy", limit("heat", func(l *brief.Limit) {
			l.Guard = &brief.GuardBand{Rule: brief.RuleGuarded, Share: "100 %", Because: "taught"}
		}), "", ""},
		{"a figure over givens alone", limit("lift", func(l *brief.Limit) { l.Guard.Amount, l.Guard.Share = "", "100 %" }), "guard-band.share", "no uncertainty"},
	} {
		b := sample.Brief()
		row.change(b)
		_, ps := brief.Compile(b, functions())
		switch {
		case row.where == "" && len(ps) > 0:
			t.Errorf("%s: %v", row.name, ps)
		case row.where != "" && (len(ps) != 1 || !strings.HasSuffix(ps[0].Path, row.where) || !strings.Contains(ps[0].Text, row.text)):
			t.Errorf("%s: got %v, want …%s: …%s…", row.name, ps, row.where, row.text)
		}
	}
	b := sample.Brief()
	item(b, "tf").Reading.Limit.Guard.Rule = "strict"
	if ps := brief.Check(b, functions(), nil); len(ps.Failures()) != 1 {
		t.Errorf("an unknown rule: %v", ps)
	}
}
