package marking

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

const ruledBrief = `brief: 1
key: discharge
title: The discharge pipe
about: Choose it.
criteria: [{unit: H2, codes: ["1.1"]}]
given:
  - {name: od, is: outside diameter, from: 22 mm, to: 28 mm, step: 6 mm}
  - {name: cv, is: calorific value, rule: limits/cv}
tables:
  - {name: longest, is: longest straight pipe, rule: limits/longest}
stages:
  - key: work
    title: Work
    items:
      - key: R
        title: Continuity
        criteria: ["1.1"]
        reading: {is: resistance, unit: Ω, limit: {rule: limits/cpc}}
      - key: L
        title: Longest pipe
        criteria: ["1.1"]
        figure: {ask: longest pipe with two bends of 1 m, unit: m, formula: longest(od) − 2 × 1 m, tolerance: {absolute: 0.1 m}}
      - key: Q
        title: Heat
        criteria: ["1.1"]
        figure: {ask: heat of a cubic metre, unit: MJ, formula: cv × 1 m³, tolerance: {relative: 1 %}}
model-answer:
  - {item: R, text: "0.3"}
  - {item: L, text: "7"}
  - {item: Q, text: "39.2"}
`

// limits is an edition of the rule set that ruledBrief names.
func limits(edition, from, cpc, at22 string) brief.RuleSet {
	return brief.RuleSet{
		Key: "limits", Title: "Limits", Edition: edition, ValidFrom: brief.Day(from), Source: "invented", EnteredBy: "A", CheckedBy: "B",
		Rules: []brief.Rule{
			{Key: "cpc", AtMost: cpc}, {Key: "cv", Value: "39.2 MJ/m³"},
			{Key: "longest", Table: &brief.RuleTable{Of: "mm", Gives: "m", Between: brief.BetweenExact, Rows: []brief.TableRow{{At: "22", Is: at22}, {At: "28", Is: "18"}}}},
		},
	}
}

// The same sheet is marked by the limits of the day's edition, and the result names it.
func TestMarkUnderEditions(t *testing.T) {
	sets := []brief.RuleSet{limits("1", "2025-01-01", "0.5 Ω", "9"), limits("2", "2026-01-01", "0.2 Ω", "12")}
	b, err := brief.Read([]byte(ruledBrief))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		day, edition string
		R, L         Verdict
	}{{"2025-12-31", "1", WithinLimit, Correct}, {"2026-01-01", "2", OutsideLimit, Wrong}} {
		book, ps := brief.BookOn(sets, brief.Day(c.day))
		under, more := b.Under(book)
		compiled, problems := brief.Compile(under, functions())
		if err := slices.Concat(ps, more, problems).Err(); err != nil {
			t.Fatal(err)
		}
		if r := Mark(compiled, ModelSheet(compiled)); r.Findings[0].Verdict != c.R || r.Findings[1].Verdict != c.L || r.Findings[2].Verdict != Correct ||
			!slices.Equal(r.Rules, []brief.RuleEdition{{Set: "limits", Edition: c.edition}}) {
			t.Errorf("%s: %+v", c.day, r)
		} else if !strings.Contains(r.Findings[0].Limit, map[string]string{"1": "0.5\u2009Ω", "2": "0.2\u2009Ω"}[c.edition]) {
			t.Errorf("%s: the limit is %q", c.day, r.Findings[0].Limit)
		}
		for _, e := range ExplainAll(compiled, ModelSheet(compiled)) {
			if e.Given.Why != "" || len(e.Given.Lines) == 0 {
				t.Errorf("%s, %s is not explained: %s", c.day, e.Item, e.Given.Why)
			}
		}
	}
	// A size that has no row is told to the tutor, who reads the line.
	book, _ := brief.BookOn(sets, "2025-06-01")
	under, _ := b.Under(book)
	compiled, _ := brief.Compile(under, functions())
	sheet := ModelSheet(compiled)
	sheet.Given = map[string]string{"od": "25 mm"}
	if f := Mark(compiled, sheet).Findings[1]; f.Verdict != ToRead || len(f.Flags) != 1 || !strings.Contains(f.Flags[0].Text, "no row for 25 mm; the rows are 22 and 28 mm") {
		t.Errorf("a size without a row: %+v", f)
	}
}

// Working that reads the table's value off, or writes the call out, is followed.
func TestWorkingWithATable(t *testing.T) {
	b, err := brief.Read([]byte(ruledBrief))
	if err != nil {
		t.Fatal(err)
	}
	book, _ := brief.BookOn([]brief.RuleSet{limits("1", "2025-01-01", "0.5 Ω", "9")}, "2025-06-01")
	under, _ := b.Under(book)
	compiled, problems := brief.Compile(under, functions())
	if err := problems.Err(); err != nil {
		t.Fatal(err)
	}
	for working, flagged := range map[string]bool{"L = 9 − 2 × 1 = 7": false, "longest(22 mm) − 2 × 1 m = 7 m": false, "18 − 2 × 1 = 16": true} {
		sheet := ModelSheet(compiled)
		for i := range sheet.Entries {
			if sheet.Entries[i].Item == "L" {
				sheet.Entries[i].Working = working
			}
		}
		if f := Mark(compiled, sheet).Findings[1]; f.Verdict != Correct || len(f.Flags) > 0 != flagged {
			t.Errorf("%s: %+v", working, f)
		}
	}
}
