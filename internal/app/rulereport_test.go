package app_test

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// changed is the report's changes, a line each.
func changed(r app.RuleReport) []string {
	var out []string
	for _, c := range r.Changes {
		out = append(out, c.Key+": "+plain(c.Was)+" → "+plain(c.Now))
	}
	return out
}

// What differs is a limit, a value or a table; another way of writing it is not.
func TestWhatAnEditionChanges(t *testing.T) {
	c := newCentre(t)
	const head = "rule-set: 1\nkey: bay7\ntitle: Bay 7 limits\nedition: "
	c.enter(t, head+`"1"
valid-from: 2026-01-01
source: Invented
rules:
  - {key: same, is: a limit, at-most: 500 mΩ}
  - {key: margin, is: a limit, at-most: 1 Ω}
  - {key: both, is: a limit, at-least: 19 mbar, at-most: 23 mbar}
  - {key: cv, is: a value, value: 39.2 MJ/m³}
  - {key: gone, is: a limit, at-least: 1 MΩ}
  - {key: pipe, is: a table, table: {of: mm, gives: m, between: exact, rows: [{at: "22", is: "9"}, {at: "28", is: "18"}, {at: "35", is: "27"}]}}
`)
	id := c.enter(t, head+`"2"
valid-from: 2026-05-01
source: Invented again
rules:
  - {key: fresh, is: a limit, at-least: 2 MΩ}
  - {key: same, is: the limit in other words, at-most: 0.5 Ω}
  - {key: margin, is: a limit, at-most: 1 Ω, carries-margin: true}
  - {key: both, is: a limit, at-least: 20 mbar, at-most: 23 mbar}
  - {key: cv, is: a value, value: 39.3 MJ/m³}
  - {key: pipe, is: a table, table: {of: mm, gives: m, between: exact, rows: [{at: "22", is: "9.0"}, {at: "28", is: "17"}]}}
`)
	r, err := c.RuleReport(t.Context(), c.tutor, id)
	must(t, err)
	want := []string{
		"fresh:  → at least 2 MΩ", "margin: at most 1 Ω → at most 1 Ω, its margin included", "both: at least 19 mbar, at most 23 mbar → at least 20 mbar, at most 23 mbar",
		"cv: 39.2 MJ/m³ → 39.3 MJ/m³", "pipe: 28 mm: 18 m; 35 mm: 27 m → 28 mm: 17 m", "gone: at least 1 MΩ → ",
	}
	if got := changed(r); !slices.Equal(got, want) {
		t.Errorf("changed is\n%q, want\n%q", got, want)
	}
	if r.Before == nil || r.Before.Edition != "1" {
		t.Errorf("it is held beside %+v", r.Before)
	}
}

// plain puts a plain space where the marker has a thin one.
func plain(s string) string { return strings.ReplaceAll(s, "\u2009", " ") }

// An edition that changes in the middle of the year: which briefs and attempts it concerns, and how.
func TestWhatAChangedEditionConcerns(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	c.do(t, id)
	c.mark(t, id)
	source := bay7("2", "2026-05-04", "", "0.1 Ω", "45 W")
	draft, err := c.SaveRules(ctx, c.tutor, source, "")
	must(t, err)
	for _, what := range []string{"a draft", "checked"} {
		r, err := c.RuleReport(ctx, c.tutor, draft)
		must(t, err)
		if len(r.Changes) != 1 || r.Changes[0].Key != "cpc" || len(r.Briefs) != 1 || r.Briefs[0].Brief != c.brief || len(r.Briefs[0].Changes) != 1 {
			t.Fatalf("%s: changes %+v, briefs %+v; want cpc and the brief", what, r.Changes, r.Briefs)
		}
		if len(r.Attempts) != 1 || r.Attempts[0].Attempt != id || !r.Attempts[0].HandedLate || r.Attempts[0].Under != "1" || r.Attempts[0].MayMark != (what == "checked") {
			t.Fatalf("%s: attempts %+v, want the one, handed over and marked under edition 1 since", what, r.Attempts)
		}
		want := []app.ConcernedLine{{Item: "Continuity of the protective conductor", Stated: "0.12 Ω", Was: "at most 0.5 Ω", Now: "at most 0.1 Ω",
			Verdict: marking.WithinLimit, Would: marking.OutsideLimit}}
		got := slices.Clone(r.Attempts[0].Lines)
		for i, l := range got {
			got[i].Stated, got[i].Was, got[i].Now = plain(l.Stated), plain(l.Was), plain(l.Now)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: lines %+v, want %+v", what, got, want)
		}
		if what == "a draft" {
			must(t, c.ConfirmRules(ctx, c.second, draft, brief.Digest([]byte(source)), true))
		}
	}
	r, err := c.RuleReport(ctx, c.other, draft)
	must(t, err)
	if len(r.Attempts) != 0 || r.Hidden != 1 {
		t.Errorf("a tutor of another cohort sees %+v, %d hidden", r.Attempts, r.Hidden)
	}
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	must(t, c.MarkAgain(ctx, c.tutor, id, s.Revision, draft, "Edition 2 held that day."))
	if r, err = c.RuleReport(ctx, c.tutor, draft); err != nil || len(r.Attempts) != 0 {
		t.Errorf("marked again under it, the attempt still is among %+v (%v)", r.Attempts, err)
	}
}

// A changed value moves the references of figures: what comes out otherwise is told with both.
func TestAChangedValueMovesReferences(t *testing.T) {
	c := newCentre(t)
	c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, cr := range s.Criteria {
		s = c.decide(t, id, cr.Ref, decision.Met)
	}
	edition := c.enter(t, bay7("2", "2026-06-01", "", "0.5 Ω", "90 W"))
	r, err := c.RuleReport(t.Context(), c.manager, edition)
	must(t, err)
	if len(r.Briefs) != 1 || len(r.Briefs[0].Problems) != 1 || !strings.Contains(r.Briefs[0].Problems[0], "The model answer for share does not mark itself full") {
		t.Errorf("of the brief it says %+v, want that its model answer is no longer right", r.Briefs)
	}
	if len(r.Attempts) != 1 || r.Attempts[0].Late || len(r.Attempts[0].Lines) != 1 {
		t.Fatalf("attempts %+v, want the one that is not signed off, with one line", r.Attempts)
	}
	if l := r.Attempts[0].Lines[0]; plain(l.Stated) != "0.28 %" || plain(l.Was) != "0.2850 %" || plain(l.Now) != "0.5700 %" || l.Verdict != marking.Correct || l.Would != marking.Wrong {
		t.Errorf("the line is %+v", l)
	}
	must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""))
	if r, err = c.RuleReport(t.Context(), c.manager, edition); err != nil || len(r.Attempts) != 0 {
		t.Errorf("signed off before its first day, the attempt still is among %+v (%v)", r.Attempts, err)
	}
	first := r.Before.ID
	if r, err = c.RuleReport(t.Context(), c.manager, first); err != nil || r.Before != nil || len(r.Changes)+len(r.Briefs)+len(r.Attempts) != 0 {
		t.Errorf("the first edition changes %+v (%v)", r, err)
	}
}
