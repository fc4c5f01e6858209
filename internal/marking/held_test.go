package marking

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

// heldTest is a grid of one column whose word for holding is "held".
func heldTest(expect ...string) brief.FunctionalTest {
	test := brief.FunctionalTest{
		Demands: []string{"state"}, Ordered: true,
		Checks: []brief.Column{{Key: "valve", Title: "valve", Options: []string{"A", "B", "mid", "held"}, Held: "held"}},
	}
	for i, want := range expect {
		key := string(rune('a' + i))
		test.Rows = append(test.Rows, brief.TestRow{Key: key, Set: []string{key}, Expect: []string{want}})
	}
	return test
}

// The position that the row before showed counts as held, and held counts as that position; what cannot be told is for the
// tutor to read.
func TestHeldPositions(t *testing.T) {
	for _, c := range []struct{ name, expect, see, verdicts, codes string }{
		{"as the brief says", "A held mid", "A held mid", "correct correct correct", "as_expected as_expected as_expected"},
		{"the position for held", "A held held", "A A A", "correct correct correct", "as_expected held held"},
		{"held for the position", "A A", "A held", "correct correct", "as_expected held"},
		{"held twice, then where it was", "A held held", "A held A", "correct correct correct", "as_expected as_expected held"},
		{"another position for held", "A held", "A B", "correct wrong", "as_expected not_as_expected"},
		{"held for another position", "A B", "A held", "correct wrong", "as_expected not_as_expected"},
		{"held where it went wrong before", "A held", "mid mid", "wrong correct", "not_as_expected held"},
		{"the right place, which the row before did not show", "A held", "mid A", "wrong wrong", "not_as_expected not_as_expected"},
		{"held from an empty row", "A held", "- A", "not_attempted to_read", "blank row_before_open"},
		{"held from a row that nobody reads", "A held", "up A", "to_read to_read", "not_an_option row_before_open"},
		{"held from an empty row, as the brief says", "A held", "- held", "not_attempted correct", "blank as_expected"},
		{"held through an empty row", "A held held", "A - A", "correct not_attempted to_read", "as_expected blank row_before_open"},
		{"held in the first row", "A held", "held A", "to_read to_read", "row_before_open row_before_open"},
		{"in other letters", "A held", "a a", "correct correct", "as_expected held"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := compiledGrid(t, heldTest(strings.Fields(c.expect)...))
			var s Sheet
			for i, see := range strings.Fields(c.see) {
				if see != "-" {
					s.Entries = append(s.Entries, Entry{Item: "grid", Part: string(rune('a'+i)) + "/valve", Text: see})
				}
			}
			var verdicts, codes []string
			for _, f := range Mark(b, s).Findings {
				verdicts, codes = append(verdicts, string(f.Verdict)), append(codes, f.Code)
				if f.Trainee == "" || f.Tutor == "" {
					t.Errorf("%s has no sentence", f.Line())
				}
			}
			if got := strings.Join(verdicts, " "); got != c.verdicts {
				t.Errorf("got %s\nwant %s", got, c.verdicts)
			}
			if got := strings.Join(codes, " "); got != c.codes {
				t.Errorf("got %s\nwant %s", got, c.codes)
			}
		})
	}
}

// A column without a word for holding is compared as it stands.
func TestNothingIsHeldWithoutTheWord(t *testing.T) {
	test := heldTest("A", "held")
	test.Checks[0].Held = ""
	s := Sheet{Entries: []Entry{{Item: "grid", Part: "a/valve", Text: "A"}, {Item: "grid", Part: "b/valve", Text: "A"}}}
	if r := Mark(compiledGrid(t, test), s); r.Findings[1].Verdict != Wrong {
		t.Errorf("got %s", r.Findings[1].Verdict)
	}
}

// With the table's word for holding declared, a trainee who writes positions all the way down is as right as one who writes
// that they were held, and each of the seven faults is still named alone.
func TestFaultsAreNamedWherePositionsAreWritten(t *testing.T) {
	rows, faults := table(t, "functional_grid.csv"), table(t, "functional_grid_faults.csv")[1:]
	c := faultyGridBrief(t, rows, faults)
	valve := &c.Items[0].Item.Test.Checks[2]
	valve.Held = "held at last position"
	if !slices.Contains(valve.Options, valve.Held) {
		t.Fatalf("the table has other words: %v", valve.Options)
	}
	for _, of := range append([][]string{{""}}, faults...) {
		s := observed(rows, circuit{of[0]})
		last := ""
		for i := range s.Entries {
			if e := &s.Entries[i]; strings.HasSuffix(e.Part, "/c2") {
				if e.Text == valve.Held && last != "" {
					e.Text = last
				}
				last = e.Text
			}
		}
		r := Mark(c, s)
		switch {
		case of[0] == "" && r.count(Correct) != len(r.Findings):
			t.Errorf("a good circuit: %d of %d right", r.count(Correct), len(r.Findings))
		case of[0] != "":
			if d := diagnosisOf(t, r); !slices.Equal(keysOf(d), of[:1]) || !d.Likely[0].Whole() {
				t.Errorf("%s is read as %v: %s", of[0], keysOf(d), d.Tutor)
			}
		}
	}
}

// A brief that Check would refuse is marked without a crash: rows too short, faults in rows and checks that are not there.
func TestRaggedGrids(t *testing.T) {
	test := heldTest("A", "held", "mid")
	test.Rows[1].Expect = nil
	test.Rows[2].Set = nil
	test.Faults = []brief.GridFault{
		{Key: "nowhere", Shows: []brief.FaultRow{{Row: "z", Cells: []string{"B"}}}},
		{Key: "wide", Shows: []brief.FaultRow{{Row: "a", Cells: []string{"B", "B", "B"}}, {Row: "b", Cells: []string{"B"}}}},
	}
	s := Sheet{Entries: []Entry{{Item: "grid", Part: "a/valve", Text: "B"}, {Item: "grid", Part: "b/valve", Text: "held"}, {Item: "grid", Part: "c/valve", Text: "held"}}}
	if d := diagnosisOf(t, Mark(compiledGrid(t, test), s)); len(d.Likely) != 1 || d.Likely[0].Key != "wide" {
		t.Errorf("got %+v", d)
	}
}
