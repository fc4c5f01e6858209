package brief_test

import (
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// bookOf is the sample's rule set alone, in force.
func bookOf(t interface{ Fatalf(string, ...any) }, change ...func(*brief.RuleSet)) brief.Book {
	rs := sample.RuleSet()
	for _, f := range change {
		f(rs)
	}
	book, ps := brief.BookOn([]brief.RuleSet{*rs}, "2026-06-01")
	if len(ps) > 0 {
		t.Fatalf("the book has problems:\n%v", ps)
	}
	return book
}

// ruledSample is the sample with a limit, a given and a table from a rule set, all of which its figures use.
func ruledSample() *brief.Brief {
	b := sample.Brief()
	b.Given = append(b.Given, brief.Given{Name: "cv", Is: "calorific value", Rule: "bay-7-limits/cv"}, brief.Given{Name: "od", Is: "outside diameter", Value: "28 mm"})
	b.Tables = []brief.Table{{Name: "longest", Is: "longest discharge pipe", Rule: "bay-7-limits/longest"}}
	item(b, "tf").Reading.Limit = &brief.Limit{Rule: "bay-7-limits/flow"}
	item(b, "continuity").Reading.Limit = &brief.Limit{Rule: "bay-7-limits/continuity"}
	item(b, "lift").Figure.Formula += " + 0 kW × longest(od) / 1 m × cv / 1 MJ/m³"
	return b
}

const from = "Bay 7 limits, edition 2, 2026, Invented for tests"

// writtenOut is ruledSample with everything that its rules say written out by hand.
func writtenOut() *brief.Brief {
	b := ruledSample()
	b.Given[2].Rule, b.Given[2].Value, b.Given[2].Source = "", "39.2 MJ/m³", from
	b.Tables[0] = brief.Table{
		Name: "longest", Is: "longest discharge pipe", Of: "mm", Gives: "m", Between: "exact", Source: from,
		Rows: []brief.TableRow{{At: "22", Is: "9"}, {At: "28", Is: "18"}, {At: "35", Is: "27"}},
	}
	item(b, "tf").Reading.Limit = &brief.Limit{AtLeast: "60 °C", AtMost: "80 °C", Source: from}
	item(b, "continuity").Reading.Limit = &brief.Limit{AtMost: "0.5 Ω", Margin: true, Source: from}
	b.RuledBy = []brief.RuleEdition{{Set: "bay-7-limits", Edition: "2, 2026"}}
	return b
}

func TestUnder(t *testing.T) {
	b := ruledSample()
	if got := b.RuleSets(); !slices.Equal(got, []string{"bay-7-limits"}) {
		t.Errorf("the brief names %v", got)
	}
	got, ps := b.Under(bookOf(t))
	if len(ps) > 0 {
		t.Fatalf("problems:\n%v", ps)
	}
	if d := cmp.Diff(writtenOut(), got); d != "" {
		t.Errorf("(-want +got):\n%s", d)
	}
	if d := cmp.Diff(ruledSample(), b); d != "" {
		t.Errorf("the brief itself has changed (-want +got):\n%s", d)
	}
	if ps := brief.Check(got, functions(), known); len(ps) > 0 {
		t.Errorf("put under the book it has problems:\n%v", ps)
	}
	c, ps := brief.Compile(got, functions())
	if ps.Err() != nil || !slices.Equal(c.Rules, got.RuledBy) {
		t.Errorf("compiled: %v, rules %v", ps, c)
	}
	if again, ps := got.Under(brief.Book{}); len(ps) > 0 || len(again.RuledBy) > 0 {
		t.Errorf("a brief without rules under an empty book: %v, %v", again.RuledBy, ps)
	}
	if _, ok := functions()["longest"]; ok || functions()["longest"].Name != "" {
		t.Error("the caller's functions have changed")
	}
}

func TestUnderProblems(t *testing.T) {
	flow := func(ref string) func(*brief.Brief) {
		return func(b *brief.Brief) { item(b, "tf").Reading.Limit.Rule = ref }
	}
	table := func(change func(*brief.Table)) func(*brief.Brief) {
		return func(b *brief.Brief) { change(&b.Tables[0]) }
	}
	const tf, given = "stages[2].items[1].reading.limit.rule", "given[2].rule"
	for _, c := range []struct {
		name   string
		change func(*brief.Brief)
		path   string
		says   string
	}{
		{"an unknown set", flow("bay-7-limit/flow"), tf, "no rule set “bay-7-limit” here. Did you mean “bay-7-limits”?"},
		{"an unknown rule", flow("bay-7-limits/flaw"), tf, "“bay-7-limits” (edition 2, 2026) has no rule “flaw”. Did you mean “flow”?"},
		{"no set", flow("flow"), tf, "a rule set's key and a rule's"},
		{"more than a set and a rule", flow("bay-7-limits/flow/x"), tf, "a rule set's key and a rule's"},
		{"a value for a limit", flow("bay-7-limits/cv"), tf, "“bay-7-limits/cv” is a value, and a limit belongs here"},
		{"a table for a limit", flow("bay-7-limits/longest"), tf, "is a table, and a limit belongs here"},
		{"another dimension", flow("bay-7-limits/continuity"), tf, "“bay-7-limits/continuity” is 0.5 Ω, which does not fit here, where °C is asked"},
		{"at-most beside a rule", func(b *brief.Brief) { item(b, "tf").Reading.Limit.AtMost = "80 °C" }, tf, "take “at-most” out beside it"},
		{"all beside a rule", func(b *brief.Brief) {
			*item(b, "tf").Reading.Limit = brief.Limit{Rule: "bay-7-limits/flow", AtLeast: "1 °C", AtMost: "2 °C", Source: "x", Margin: true}
		}, tf, "“at-least”, “at-most”, “source” and “carries-margin”"},
		{"a value beside a rule", func(b *brief.Brief) { b.Given[2].Value = "1 MJ/m³" }, given, "“value”"},
		{"a limit with two ends for a given", func(b *brief.Brief) { b.Given[2].Rule = "bay-7-limits/flow" }, given, "is a limit, and a value belongs here"},
		{"a table for a given", func(b *brief.Brief) { b.Given[2].Rule = "bay-7-limits/longest" }, given, "is a table, and a value belongs here"},
		{"rows beside a rule", table(func(t *brief.Table) { t.Rows = []brief.TableRow{{At: "1", Is: "1"}} }), "tables[0].rule", "“rows”"},
		{"a limit for a table", table(func(t *brief.Table) { t.Rule = "bay-7-limits/flow" }), "tables[0].rule", "is a limit, and a table belongs here"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := ruledSample()
			c.change(b)
			got, ps := b.Under(bookOf(t))
			if len(ps) != 1 || ps[0].Path != c.path || !strings.Contains(ps[0].Text+" "+ps[0].Hint, c.says) {
				t.Errorf("got %v, want “%s” at %s", ps, c.says, c.path)
			}
			// Check has nothing to say of it at another place.
			if all := ps.And(brief.Check(got, functions(), known)); len(all) != 1 {
				t.Errorf("one mistake, %d problems:\n%v", len(all), all)
			}
		})
	}
	late, _ := brief.BookOn([]brief.RuleSet{*sample.RuleSet()}, "2027-01-01")
	_, ps := ruledSample().Under(late)
	if len(ps) != 1 || ps[0].Path != "tables[0].rule" || !strings.Contains(ps[0].Text, "No edition of the rule set “bay-7-limits” is in force on 1 January 2027") {
		t.Errorf("after the last day: %v", ps)
	}
}

// A limit for a plain number has no unit, and one whose unit was forgotten is told where it is to be judged.
func TestUnderWithoutUnit(t *testing.T) {
	_, ps := ruledSample().Under(bookOf(t, func(rs *brief.RuleSet) { rs.Rules[1].AtMost = "0.5" }))
	if len(ps) != 1 || !strings.Contains(ps[0].Text, "“bay-7-limits/continuity” is 0.5, which does not fit here, where Ω is asked. The unit is missing") {
		t.Errorf("got %v", ps)
	}
}

// A given may be a limit's only end.
func TestGivenFromALimit(t *testing.T) {
	b := ruledSample()
	b.Given = append(b.Given, brief.Given{Name: "r_most", Is: "highest resistance", Rule: "bay-7-limits/continuity"})
	got, ps := b.Under(bookOf(t))
	if g := got.Given[4]; len(ps) > 0 || g.Value != "0.5 Ω" || g.Source != from {
		t.Errorf("got %+v, %v", g, ps)
	}
}

// A brief that nobody put under a book is a brief with problems, never a panic and never a brief without its limits.
func TestRulesThatWereNotPutIn(t *testing.T) {
	c, ps := brief.Compile(ruledSample(), functions())
	if c != nil || len(ps) != 1 || ps[0].Path != "tables[0].rule" || !strings.Contains(ps[0].Text, "“bay-7-limits/longest” is not filled in here") {
		t.Errorf("got %v, %v", c, ps)
	}
	if got := brief.Draw(ruledSample(), 1); got["cv"] != "" || got["pr"] == "" {
		t.Errorf("drawn: %v", got)
	}
}

// A brief with any of its limits, values and tables moved into a rule set comes back as it was, whatever they hold.
func TestUnderIsWritingOut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rs := brief.RuleSet{Key: "set", Title: "T", Edition: "1", Source: "S", ValidFrom: "2026-01-01", EnteredBy: "a", CheckedBy: "b"}
		fill(t, reflect.ValueOf(&rs.Rules).Elem(), "rules", 0)
		want, named := sample.Brief(), sample.Brief()
		used := false
		add := func(r brief.Rule) string {
			used = true
			r.Key = "r" + strings.Repeat("x", len(rs.Rules))
			rs.Rules = append(rs.Rules, r)
			return "set/" + r.Key
		}
		for i := range want.Stages {
			for j := range want.Stages[i].Items {
				w, n := &want.Stages[i].Items[j], &named.Stages[i].Items[j]
				if w.Reading != nil && w.Reading.Limit != nil && rapid.Bool().Draw(t, "limit") {
					l := w.Reading.Limit
					l.Source, l.Margin = "T, edition 1, S", rapid.Bool().Draw(t, "margin")
					if rapid.Bool().Draw(t, "another") {
						l.AtLeast, l.AtMost = "", rapid.SampledFrom([]string{"75", "61.5", "1e3"}).Draw(t, "most")+" "+w.Reading.Unit
					}
					n.Reading.Limit = &brief.Limit{Rule: add(brief.Rule{AtLeast: l.AtLeast, AtMost: l.AtMost, Margin: l.Margin}), Guard: l.Guard}
				}
			}
		}
		if rapid.Bool().Draw(t, "given") {
			want.Given[1].Source = "T, edition 1, S"
			named.Given[1] = brief.Given{Name: "pr", Is: want.Given[1].Is, Rule: add(brief.Rule{Value: want.Given[1].Value})}
		}
		if rapid.Bool().Draw(t, "table") {
			rows := []brief.TableRow{{At: "1", Is: rapid.SampledFrom([]string{"2", "-7", "0.5"}).Draw(t, "is")}, {At: "2", Is: "3"}}
			between := rapid.SampledFrom([]string{"exact", "straight"}).Draw(t, "between")
			want.Tables = []brief.Table{{Name: "tab", Is: "a table", Of: "kW", Gives: "", Between: between, Rows: rows, Source: "T, edition 1, S"}}
			named.Tables = []brief.Table{{Name: "tab", Is: "a table", Rule: add(brief.Rule{Table: &brief.RuleTable{Of: "kW", Between: between, Rows: rows}})}}
		}
		if used {
			want.RuledBy = []brief.RuleEdition{{Set: "set", Edition: "1"}}
		}
		book, _ := brief.BookOn([]brief.RuleSet{rs}, "2026-06-01")
		got, ps := named.Under(book)
		if len(ps) > 0 {
			t.Fatalf("problems:\n%v", ps)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("(-want +got):\n%s", d)
		}
		if x, y := brief.Check(want, functions(), known).Error(), brief.Check(got, functions(), known).Error(); x != y {
			t.Fatalf("written out:\n%s\nunder the book:\n%s", x, y)
		}
	})
}
