package brief_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// edition is an edition of the set a, checked unless it is named with a question mark.
func edition(name, from, to string) brief.RuleSet {
	rs := *sample.RuleSet()
	rs.Key, rs.Edition, rs.ValidFrom, rs.ValidTo = "a", name, brief.Day(from), brief.Day(to)
	if strings.HasSuffix(name, "?") {
		rs.CheckedBy = ""
	}
	return rs
}

func TestBookOn(t *testing.T) {
	year := edition("1", "2025-01-01", "2025-12-31")
	next := edition("2", "2026-01-01", "")
	for _, c := range []struct {
		name string
		sets []brief.RuleSet
		day  string
		in   string // the edition in force; "" for none
		path string // of the only problem; "" for none
		says string
	}{
		{"the first day", []brief.RuleSet{next, year}, "2025-01-01", "1", "", ""},
		{"the last day", []brief.RuleSet{next, year}, "2025-12-31", "1", "", ""},
		{"the day after", []brief.RuleSet{next, year}, "2026-01-01", "2", "", ""},
		{"long after, with no last day", []brief.RuleSet{next, year}, "2031-05-05", "2", "", ""},
		{"before all", []brief.RuleSet{next, year}, "2024-12-31", "", "", ""},
		{"an open one ends where the next starts", []brief.RuleSet{edition("1", "2025-01-01", ""), next}, "2025-12-31", "1", "", ""},
		{"and not later", []brief.RuleSet{edition("1", "2025-01-01", ""), next}, "2026-01-01", "2", "", ""},
		{"an open one does not come back", []brief.RuleSet{edition("1", "2025-01-01", ""), edition("2", "2026-01-01", "2026-06-30")}, "2026-07-01", "", "", ""},
		{"a gap, seen from before it", []brief.RuleSet{year, edition("2", "2026-02-01", "")}, "2025-06-01", "1", "sets[1].valid-from", "No edition of “a” is in force from 1 January 2026 to 31 January 2026, between “1” and “2”"},
		{"a gap of a day, seen from within", []brief.RuleSet{year, edition("2", "2026-01-02", "")}, "2026-01-01", "", "sets[1].valid-from", "in force on 1 January 2026, between"},
		{"an overlap, seen from before it", []brief.RuleSet{year, edition("2", "2025-12-01", "")}, "2025-11-30", "1", "sets[1].valid-from", "Two editions of “a” are in force from 1 December 2025 to 31 December 2025: “1” and “2”"},
		{"an overlap, seen from within", []brief.RuleSet{year, edition("2", "2025-12-01", "")}, "2025-12-31", "", "sets[1].valid-from", "Two editions"},
		{"an overlap, seen from after it", []brief.RuleSet{year, edition("2", "2025-12-01", "")}, "2026-01-01", "2", "sets[1].valid-from", "Two editions"},
		{"one within another", []brief.RuleSet{year, edition("2", "2025-03-01", "2025-03-01")}, "2025-03-02", "1", "sets[1].valid-from", "in force on 1 March 2025: “1” and “2”"},
		{"a long one over two others is told twice only where it overlaps", []brief.RuleSet{year, edition("2", "2025-03-01", "2025-04-01"), edition("3", "2026-01-01", "")}, "2026-01-01", "3", "sets[1].valid-from", "Two editions"},
		{"two open ones from one day", []brief.RuleSet{edition("1", "2025-01-01", ""), edition("2", "2025-01-01", "")}, "2025-06-01", "", "sets[1].valid-from", "both start on 1 January 2025"},
		{"unchecked", []brief.RuleSet{edition("1?", "2025-01-01", "")}, "2025-06-01", "", "sets[0].checked-by", "Edition “1?” of “a” would be in force on 1 June 2025, but nobody has checked it"},
		{"unchecked, and not due", []brief.RuleSet{year, edition("2?", "2026-01-01", "")}, "2025-06-01", "1", "", ""},
		{"unchecked over a checked one", []brief.RuleSet{year, edition("2?", "2025-06-01", "")}, "2025-06-01", "1", "", ""},
		{"a name twice", []brief.RuleSet{year, edition("1", "2026-01-01", "")}, "2025-06-01", "1", "sets[1].edition", "has an edition “1” already"},
		{"days that are none", []brief.RuleSet{edition("1", "2025-02-30", ""), edition("2", "2025-01-01", "soon")}, "2025-06-01", "", "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			book, ps := brief.BookOn(c.sets, brief.Day(c.day))
			got := ""
			if rs, ok := book.Edition("a"); ok {
				got = rs.Edition
			}
			if got != c.in {
				t.Errorf("got edition %q, want %q", got, c.in)
			}
			switch {
			case c.path == "" && len(ps) == 0:
			case len(ps) != 1 || ps[0].Path != c.path || !strings.Contains(ps[0].Text, c.says) || ps.Err() == nil:
				t.Errorf("problems %v, want “%s” at %s", ps, c.says, c.path)
			}
		})
	}
	same := edition("1", "2025-01-01", "")
	same.CheckedBy = "ADA  Quill "
	if _, ps := brief.BookOn([]brief.RuleSet{same}, "2025-06-01"); len(ps) != 1 || !strings.Contains(ps[0].Text, "the person who entered it has checked it as well") {
		t.Errorf("checked by who entered it: %v", ps)
	}
}

// Of editions in any order, with any days, no day has an edition that does not cover it, and a day that exactly one checked
// edition covers, each with a last day, has that one.
func TestBookOnAnyDay(t *testing.T) {
	day := rapid.Custom(func(t *rapid.T) brief.Day {
		return brief.Day(fmt.Sprintf("2026-%02d-%02d", rapid.IntRange(1, 12).Draw(t, "month"), rapid.IntRange(1, 28).Draw(t, "day")))
	})
	rapid.Check(t, func(t *rapid.T) {
		var sets []brief.RuleSet
		for i := range rapid.IntRange(0, 5).Draw(t, "editions") {
			from, to := day.Draw(t, "from"), day.Draw(t, "to")
			sets = append(sets, edition(fmt.Sprint(i), string(min(from, to)), string(max(from, to))))
		}
		on := day.Draw(t, "on")
		book, ps := brief.BookOn(sets, on)
		var cover []string
		for _, rs := range sets {
			if rs.ValidFrom <= on && on <= rs.ValidTo {
				cover = append(cover, rs.Edition)
			}
		}
		rs, ok := book.Edition("a")
		if ok != (len(cover) == 1) || ok && rs.Edition != cover[0] {
			t.Fatalf("got %v, %v; %v cover %s", rs, ok, cover, on)
		}
		if len(cover) > 1 && ps.Err() == nil {
			t.Fatalf("%v overlap, and nothing is said", cover)
		}
	})
}

func TestBookOf(t *testing.T) {
	sets := []brief.RuleSet{edition("1", "2025-01-01", ""), edition("2?", "2025-01-01", "")}
	book, ps := brief.BookOf(sets, []brief.RuleEdition{{Set: "a", Edition: "2?"}})
	if rs, ok := book.Edition("a"); !ok || rs.Edition != "2?" || len(ps) > 0 {
		t.Errorf("got %v, %v", rs, ps)
	}
	book, ps = brief.BookOf(sets, []brief.RuleEdition{{Set: "a", Edition: "3"}})
	if _, ok := book.Edition("a"); ok || len(ps) != 1 || !strings.Contains(ps[0].Text, "Edition “3” of the rule set “a” is not there") {
		t.Errorf("an edition that is gone: %v", ps)
	}
}

func TestDay(t *testing.T) {
	for d, real := range map[brief.Day]bool{
		"2026-01-31": true, "2028-02-29": true, "2026-02-29": false, "1900-02-29": false, "2026-1-1": false, "26-01-01": false, "": false,
		"10000-01-01": false, "2026-00-10": false, "2026-04-31": false, "2026-01-01T00:00:00Z": false, " 2026-01-01": false,
	} {
		if d.Real() != real {
			t.Errorf("%q: got %v", d, !real)
		}
	}
	if got := brief.Day("2026-07-01").Words(); got != "1 July 2026" {
		t.Errorf("got %q", got)
	}
	if got := brief.Day("soon").Words(); got != "soon" {
		t.Errorf("got %q", got)
	}
}
