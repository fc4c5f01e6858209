package app_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

// bay7 is the text of an edition with invented limits: the protective conductor's, and the pump's power as a value.
func bay7(edition, from, to, cpc, pump string) string {
	if to != "" {
		to = "valid-to: " + to + "\n"
	}
	return fmt.Sprintf(`rule-set: 1
key: bay7
title: Bay 7 limits
edition: "%s"
valid-from: %s
%ssource: Invented for these tests
rules:
  - key: cpc
    is: resistance of the protective conductor
    at-most: %s
  - key: pump
    is: electrical power of the pump
    value: %s
`, edition, from, to, cpc, pump)
}

// ruledBrief is the sample brief with a limit and a given value of the centre's own.
func ruledBrief() *brief.Brief {
	b := sample.Brief()
	b.Given[1] = brief.Given{Name: "pr", Is: "pump electrical power", Rule: "bay7/pump"}
	for i := range b.Stages[0].Items {
		if it := &b.Stages[0].Items[i]; it.Key == "continuity" {
			it.Reading.Limit = &brief.Limit{Rule: "bay7/cpc"}
		}
	}
	return b
}

// enter saves an edition as the tutor and has the second tutor check it.
func (c *centre) enter(t *testing.T, source string) uuid.UUID {
	t.Helper()
	id, err := c.SaveRules(t.Context(), c.tutor, source, "")
	must(t, err)
	must(t, c.ConfirmRules(t.Context(), c.second, id, brief.Digest([]byte(source)), true))
	return id
}

// says fails unless err is a fault of the kind whose message, or one of its fields', holds the words.
func says(t *testing.T, what string, err error, kind fault.Kind, field, words string) {
	t.Helper()
	f, ok := fault.As(err)
	if !ok || f.Kind != kind {
		t.Errorf("%s: got %v, want kind %d", what, err, kind)
		return
	}
	text, at := f.Message, field == ""
	for _, x := range f.Fields {
		text, at = text+"\n"+x.Message, at || x.Name == field
	}
	if !at || !strings.Contains(text, words) {
		t.Errorf("%s: got %q in %+v, want %q at %q", what, f.Message, f.Fields, words, field)
	}
}

func TestEditionCountsOnceAnotherPersonHasCheckedIt(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	source := bay7("1, 2026", "2026-01-01", "", "0.5 Ω", "45 W")
	id, err := c.SaveRules(ctx, c.tutor, source, "")
	must(t, err)
	own, err := c.Rules(ctx, c.tutor, id)
	must(t, err)
	if !own.Ready() || own.MayCheck || !strings.Contains(own.WhyNot, "somebody else") || own.InForce(morning) {
		t.Errorf("to who entered it: ready %v (%v), may check %v, %q", own.Ready(), own.Problems, own.MayCheck, own.WhyNot)
	}
	digest := brief.Digest([]byte(source))
	says(t, "checking one's own", c.ConfirmRules(ctx, c.tutor, id, digest, false), fault.KindForbidden, "", "somebody else")
	says(t, "checking another text", c.ConfirmRules(ctx, c.second, id, brief.Digest([]byte("x")), false), fault.KindConflict, "", "saved this edition")
	must(t, c.ConfirmRules(ctx, c.second, id, digest, false))
	says(t, "checking it twice", c.ConfirmRules(ctx, c.manager, id, digest, false), fault.KindConflict, "", "has checked this edition already")
	e, err := c.Rules(ctx, c.manager, id)
	must(t, err)
	if !e.InForce(morning) || e.CheckerName != "Person ruben" || e.EntererName != "Person tess" || e.MayCheck {
		t.Errorf("checked, it is %+v", e.RuleEdition)
	}
	says(t, "saving over it", saved(c.SaveRules(ctx, c.tutor, strings.Replace(source, "0.5", "0.6", 1), digest)), fault.KindConflict, "", "stays as it is")
	for name, who := range map[string]account.Caller{"a trainee": c.trainee} {
		_, err := c.Rules(ctx, who, id)
		says(t, name, err, fault.KindForbidden, "", "a tutor")
		says(t, name+" saving", saved(c.SaveRules(ctx, who, source, "")), fault.KindForbidden, "", "a tutor")
	}
}

func saved(_ uuid.UUID, err error) error { return err }

func TestDraftsOfRulesAreSavedOver(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := bay7("1, 2026", "2026-01-01", "", "0.5 Ω", "45 W")
	id, err := c.SaveRules(ctx, c.tutor, first, "")
	must(t, err)
	says(t, "starting it afresh", saved(c.SaveRules(ctx, c.second, first, "")), fault.KindConflict, "", "Person tess")
	second := strings.Replace(first, "0.5", "0.6", 1)
	again, err := c.SaveRules(ctx, c.second, second, brief.Digest([]byte(first)))
	must(t, err)
	if again != id {
		t.Errorf("saved over, the draft is %v, want %v as before", again, id)
	}
	says(t, "a stale save", saved(c.SaveRules(ctx, c.tutor, first, brief.Digest([]byte(first)))), fault.KindConflict, "", "saved it since")
	// Who saved last entered it: the one who wrote it first may check what the other made of it.
	must(t, c.ConfirmRules(ctx, c.tutor, id, brief.Digest([]byte(second)), false))
	next, err := c.SaveRules(ctx, c.tutor, bay7("2", "2026-07-01", "", "0.4 Ω", "45 W"), brief.Digest([]byte(second)))
	must(t, err)
	if next == id {
		t.Error("the next edition took the place of a checked one")
	}
}

// Days that cannot be are refused where they stand; the rest of a text is kept with its problems.
func TestDaysOfAnEditionThatCannotBe(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	for _, test := range []struct{ name, source, field, words string }{
		{"ends before it begins", bay7("1", "2026-07-01", "2026-06-30", "0.5 Ω", "45 W"), "valid-to", "ends on 30 June 2026, before it starts on 1 July 2026"},
		{"no such day", bay7("1", "2026-02-30", "", "0.5 Ω", "45 W"), "valid-from", "no such day as 2026-02-30"},
		{"not a rule set", "rule-set: 1\nkey: bay7\n", "title", "title"},
	} {
		says(t, test.name, saved(c.SaveRules(ctx, c.tutor, test.source, "")), fault.KindInvalid, test.field, test.words)
		_, problems, err := c.CheckRules(ctx, c.tutor, test.source, "")
		if must(t, err); problems.Err() == nil {
			t.Errorf("%s: the check says nothing", test.name)
		}
	}
	odd := bay7("1", "2026-01-01", "", "half an ohm", "45 W")
	id, err := c.SaveRules(ctx, c.tutor, odd, "")
	must(t, err)
	e, err := c.Rules(ctx, c.second, id)
	must(t, err)
	if e.Ready() || e.MayCheck || e.Problems.Failures()[0].Line == 0 {
		t.Errorf("an edition with an odd limit is ready: %v, %v", e.Ready(), e.Problems)
	}
	says(t, "checking it", c.ConfirmRules(ctx, c.second, id, brief.Digest([]byte(odd)), false), fault.KindConflict, "", "mend what the list")
}

// Editions follow one another without gap or overlap. Each case starts with editions in force and tries one more.
func TestEditionsFollowOneAnother(t *testing.T) {
	type days struct{ name, from, to string }
	for _, test := range []struct {
		name       string
		there      []days
		next       days
		field      string // of the problem; "" where there is none
		words      string
		cut        bool // has to be said
		wantedEnds string
	}{
		{"after an open one", []days{{"1", "2026-01-01", ""}}, days{"2", "2026-07-01", ""}, "", "", false, "1 to 2026-06-30, 2 to "},
		{"after a closed one", []days{{"1", "2026-01-01", "2026-06-30"}}, days{"2", "2026-07-01", ""}, "", "", false, "1 to 2026-06-30, 2 to "},
		{"in the middle of its days", []days{{"1", "2026-01-01", "2026-12-31"}}, days{"2", "2026-07-01", ""}, "", "", true, "1 to 2026-06-30, 2 to "},
		{"from the same day", []days{{"1", "2026-01-01", ""}}, days{"1b", "2026-01-01", ""}, "", "", true, "1 to 2025-12-31, 1b to "},
		{"before it", []days{{"1", "2026-01-01", ""}}, days{"0", "2025-01-01", ""}, "", "", false, "0 to 2025-12-31, 1 to "},
		{"between two", []days{{"1", "2026-01-01", "2026-03-31"}, {"3", "2026-04-01", ""}}, days{"2", "2026-03-01", "2026-03-31"}, "", "", true, "1 to 2026-02-28, 2 to 2026-03-31, 3 to "},
		{"gap", []days{{"1", "2026-01-01", "2026-06-30"}}, days{"2", "2026-07-15", ""}, "valid-from", "from 1 July 2026 to 14 July 2026", false, ""},
		{"gap behind it", []days{{"1", "2026-01-01", ""}}, days{"0", "2025-01-01", "2025-11-30"}, "valid-to", "from 1 December 2025 to 31 December 2025", false, ""},
		{"overlap with the next", []days{{"1", "2026-01-01", ""}}, days{"0", "2025-01-01", "2026-01-31"}, "valid-to", "from 1 January 2026 to 31 January 2026", false, ""},
	} {
		t.Run(test.name, func(t *testing.T) {
			c := newCentre(t)
			ctx := t.Context()
			for _, d := range test.there {
				c.enter(t, bay7(d.name, d.from, d.to, "0.5 Ω", "45 W"))
			}
			source := bay7(test.next.name, test.next.from, test.next.to, "0.4 Ω", "45 W")
			_, problems, err := c.CheckRules(ctx, c.tutor, source, "")
			must(t, err)
			if found := problems.Failures(); test.field != "" && (len(found) != 1 || found[0].Path != test.field || !strings.Contains(found[0].Text, test.words) || found[0].Line == 0) ||
				test.field == "" && len(found) > 0 {
				t.Fatalf("the check says %+v, want %q at %q", found, test.words, test.field)
			}
			id, err := c.SaveRules(ctx, c.tutor, source, "")
			must(t, err)
			digest := brief.Digest([]byte(source))
			if test.field != "" {
				says(t, "checking it", c.ConfirmRules(ctx, c.second, id, digest, true), fault.KindConflict, "", "mend what the list")
				return
			}
			if test.cut {
				says(t, "checking it without a word", c.ConfirmRules(ctx, c.second, id, digest, false), fault.KindInvalid, "cut", "Tick that this is meant")
			}
			must(t, c.ConfirmRules(ctx, c.second, id, digest, test.cut))
			es, err := c.RuleSets(ctx, c.tutor)
			must(t, err)
			var got []string
			for _, e := range slices.Backward(es) {
				to := ""
				if !e.LastDay.IsZero() {
					to = e.LastDay.Format("2006-01-02")
				}
				got = append(got, e.Edition+" to "+to)
			}
			if s := strings.Join(got, ", "); s != test.wantedEnds {
				t.Errorf("editions are in force %q, want %q", s, test.wantedEnds)
			}
		})
	}
}

// What hangs on a rule set is told with it.
func TestBriefsThatNameARuleSet(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	source, err := brief.Print(ruledBrief())
	must(t, err)
	bid, version, err := c.SaveBrief(ctx, c.tutor, string(source), "")
	must(t, err)
	e, err := c.Rules(ctx, c.tutor, id)
	must(t, err)
	if len(e.Briefs) != 1 || e.Briefs[0].Brief != bid {
		t.Errorf("the set touches %+v, want the one brief", e.Briefs)
	}
	text, err := c.Brief(ctx, c.tutor, bid, version)
	must(t, err)
	if len(text.Sets) != 1 || text.Sets[0].Edition == nil || text.Sets[0].Edition.ID != id {
		t.Errorf("the brief's sets are %+v", text.Sets)
	}
	if it, _, ok := text.Brief.Item("continuity"); !ok || it.Reading.Limit.AtMost != "0.5 Ω" || !strings.Contains(it.Reading.Limit.Source, "Bay 7 limits, edition 1") {
		t.Errorf("the brief is shown with the limit %+v", it.Reading.Limit)
	}
}

// A brief can be written before its rules are there, and published once they are in force.
func TestBriefIsPublishedOnceItsRulesAreInForce(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	source, err := brief.Print(ruledBrief())
	must(t, err)
	digest := brief.Digest(source)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(source), "")
	must(t, err)
	publish := func(what, words string) {
		t.Helper()
		text, err := c.Brief(ctx, c.tutor, id, version)
		must(t, err)
		if found := text.Problems.Failures(); len(found) == 0 || found[0].Line == 0 || !strings.Contains(found[0].Text, words) {
			t.Errorf("%s: the page says %+v, want %q at a line", what, found, words)
		}
		says(t, what, c.PublishBrief(ctx, c.second, id, version, digest), fault.KindConflict, "", "cannot be published yet")
	}
	publish("no such set", "There is no rule set “bay7” here")
	rules := bay7("1", "2026-06-01", "", "0.5 Ω", "45 W")
	rid, err := c.SaveRules(ctx, c.tutor, rules, "")
	must(t, err)
	publish("not in force", "No edition of the rule set “bay7” is in force on 4 May 2026")
	c.now = c.now.AddDate(0, 2, 0)
	publish("not checked", "nobody else has checked edition “1” yet")
	must(t, c.ConfirmRules(ctx, c.second, rid, brief.Digest([]byte(rules)), false))
	must(t, c.AskForCheck(ctx, c.tutor, id, version, digest, ""))
	must(t, c.PublishBrief(ctx, c.second, id, version, digest))
}

// An edition that states another kind of quantity than the one before it, by a mistyped unit perhaps, is asked about.
func TestAnotherKindOfQuantityIsAskedAbout(t *testing.T) {
	c := newCentre(t)
	c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	for pump, want := range map[string]int{"0.05 kW": 0, "45 N": 1, "45": 1} {
		_, problems, err := c.CheckRules(t.Context(), c.tutor, bay7("2", "2026-07-01", "", "0.5 Ω", pump), "")
		if must(t, err); len(problems) != want || problems.Err() != nil {
			t.Errorf("%s for 45 W: got %v, want %d warnings", pump, problems, want)
		}
		if want > 0 && (problems[0].Line == 0 || !strings.Contains(problems[0].Text, "another kind of quantity")) {
			t.Errorf("%s for 45 W: got %+v", pump, problems[0])
		}
	}
}
