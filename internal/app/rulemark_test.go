package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// setRuled publishes the brief with rules, sets it to the cohort and gives the trainee's attempt. Rules have to be in force.
func (c *centre) setRuled(t *testing.T) uuid.UUID {
	t.Helper()
	return c.setBrief(t, ruledBrief())
}

// verdict is the marker's word on one line of an attempt, as the tutor sees it, and the limit that it names.
func (c *centre) verdict(t *testing.T, id uuid.UUID, item string) (marking.Verdict, string) {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == item && len(it.Lines) > 0 && it.Lines[0].Finding != nil {
				return it.Lines[0].Finding.Verdict, it.Lines[0].Finding.Limit
			}
		}
	}
	t.Fatalf("nothing is found on %s", item)
	return "", ""
}

// The edition in force on the day of handing over marks an attempt, whenever the marker comes round; an open one's page shows
// today's. What it was marked with stays with it.
func TestTheEditionOfTheDayItWasHandedOverMarks(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	c.do(t, id) // on 4 May
	c.enter(t, bay7("2", "2026-05-05", "", "0.1 Ω", "90 W"))
	c.now = morning.AddDate(0, 0, 3)
	s := c.mark(t, id)
	if len(s.Rules) != 1 || s.Rules[0].ID != first || len(s.Others) != 1 || s.Others[0].Edition != "2" {
		t.Fatalf("marked with %+v, the others are %+v; want edition 1 and 2", s.Rules, s.Others)
	}
	if v, limit := c.verdict(t, id, "continuity"); v != marking.WithinLimit || limit != "at most 0.5\u2009Ω" {
		t.Errorf("continuity: %s, %q; want within the limit of edition 1", v, limit)
	}
	if v, _ := c.verdict(t, id, "share"); v != marking.Correct {
		t.Errorf("share: %s, want correct with the pump of edition 1", v)
	}
	if i := slices.IndexFunc(s.Given, func(g app.GivenRow) bool { return g.Name == "pr" }); s.Given[i].Value != "45 W" || !strings.Contains(s.Given[i].Source, "edition 1") {
		t.Errorf("the given value is %+v", s.Given[i])
	}
	// A check reading has the marker look again, with the same edition.
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity", Text: "0.12"}, password))
	s = c.mark(t, id)
	if len(s.Rules) != 1 || s.Rules[0].ID != first {
		t.Errorf("looked at again it is marked with %+v, want edition 1", s.Rules)
	}
	if explanations(s) == 0 {
		t.Error("no figure is explained")
	}
}

// An open attempt's page shows what holds today; handing over later, it is marked with what holds then.
func TestAnOpenAttemptShowsTodaysEdition(t *testing.T) {
	c := newCentre(t)
	c.enter(t, bay7("1", "2026-01-01", "2026-05-04", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	c.enter(t, bay7("2", "2026-05-05", "", "0.1 Ω", "45 W"))
	shown := func() string {
		s, err := c.Sheet(t.Context(), c.trainee, id)
		must(t, err)
		it := s.Stages[0].Items[slices.IndexFunc(s.Stages[0].Items, func(it app.SheetItem) bool { return it.Key == "continuity" })]
		return it.Reading.Limit.AtMost
	}
	// London's clock is an hour ahead in May: 4 May ends at 23:00 UTC.
	for at, want := range map[time.Time]string{morning: "0.5 Ω", time.Date(2026, 5, 4, 22, 59, 0, 0, time.UTC): "0.5 Ω", time.Date(2026, 5, 4, 23, 0, 0, 0, time.UTC): "0.1 Ω"} {
		c.now = at
		if got := shown(); got != want {
			t.Errorf("at %v the limit is %s, want %s", at, got, want)
		}
	}
	c.now = time.Date(2026, 5, 5, 8, 0, 0, 0, time.UTC)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	must(t, c.RecordEntries(t.Context(), c.trainee, id, c.model(t, id)))
	must(t, c.EnterCheckReading(t.Context(), c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	// The conductor reads 0.12 Ω: under today's edition the hold point is not to be released.
	says(t, "releasing", c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), fault.KindConflict, "", "0.1")
}

// Where no edition is in force nothing that a trainee sends is refused; the marker waits and says why, and goes on by itself
// when an edition comes.
func TestTheMarkerWaitsForARule(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.enter(t, bay7("1", "2026-01-01", "2026-05-04", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	entries := c.model(t, id)
	must(t, c.RecordEntries(ctx, c.trainee, id, entries[1:]))
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	c.now = time.Date(2026, 5, 6, 8, 0, 0, 0, time.UTC)
	c.photos(t, id)
	says(t, "releasing a hold point that rests on the rule", c.ReleaseHold(ctx, c.tutor, id, "wire", ""), fault.KindConflict, "", "in force on 6 May 2026")
	must(t, c.HandOver(ctx, c.trainee, id, entries[:1], true))
	s := c.mark(t, id)
	if s.State != decision.HandedOver || len(s.Lacking) == 0 || !strings.Contains(s.Lacking[0], "No edition of the rule set “bay7” is in force on 6 May 2026") {
		t.Fatalf("without a rule the attempt is %s, lacking %q", s.State, s.Lacking)
	}
	source := bay7("2", "2026-05-05", "", "0.5 Ω", "45 W")
	c.enter(t, source)
	s = c.mark(t, id)
	if s.State != decision.Checked || len(s.Lacking) > 0 || s.Rules[0].Edition != "2" {
		t.Errorf("with a rule the attempt is %s, marked with %+v", s.State, s.Rules)
	}
}

// Marking again under another edition is asked for, with a reason, and keeps the old result.
func TestMarkingAgainKeepsTheOldResult(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := c.enter(t, bay7("1", "2026-01-01", "", "0.5 Ω", "45 W"))
	id := c.setRuled(t)
	c.do(t, id)
	c.mark(t, id)
	second := c.enter(t, bay7("2", "2026-05-01", "", "0.1 Ω", "45 W")) // entered late: it held already
	s := c.decide(t, id, "H3/1.10", decision.Met)
	again := func(revision int, edition uuid.UUID, words string) error {
		return c.MarkAgain(ctx, c.tutor, id, revision, edition, words)
	}
	says(t, "without a reason", again(s.Revision, second, " "), fault.KindInvalid, "words", "Say why")
	says(t, "the same edition", again(s.Revision, first, "x"), fault.KindInvalid, "edition", "it was not marked with")
	says(t, "from a stale page", again(s.Revision-1, second, "x"), fault.KindConflict, "", "changed this attempt")
	says(t, "by another cohort's tutor", c.MarkAgain(ctx, c.other, id, s.Revision, second, "x"), fault.KindNotFound, "", "")
	must(t, again(s.Revision, second, "Edition 2 held from 1 May."))
	if v, _ := c.verdict(t, id, "continuity"); v != marking.OutsideLimit {
		t.Errorf("under edition 2 continuity is %s, want outside its limit", v)
	}
	all, err := c.db.Markings(ctx, c.id, id)
	must(t, err)
	if len(all) != 2 || !slices.Equal(all[0].Result.Rules, []brief.RuleEdition{{Set: "bay7", Edition: "2"}}) || !slices.Equal(all[1].Result.Rules, []brief.RuleEdition{{Set: "bay7", Edition: "1"}}) {
		t.Errorf("results are kept under %v and %v", all[0].Result.Rules, all[len(all)-1].Result.Rules)
	}
	s, err = c.Sheet(ctx, c.tutor, id)
	must(t, err)
	r := decision.Latest(s.Records, decision.KindMarkAgain, "bay7")
	if own, err := c.Sheet(ctx, c.trainee, id); err != nil || decision.Latest(own.Records, decision.KindMarkAgain, "bay7") != nil {
		t.Errorf("the trainee reads of it while it is judged (%v)", err)
	}
	if r == nil || r.Outcome != "2" || r.Value != "1" || r.Words != "Edition 2 held from 1 May." || s.State != decision.Decided && s.State != decision.Checked {
		t.Errorf("recorded is %+v, the attempt is %s", r, s.State)
	}
	for _, cr := range s.Criteria {
		if cr.Ref == "H3/1.10" && len(cr.Blocked) == 0 {
			t.Error("what the new result says against a met criterion blocks nothing")
		}
	}
	// A later look keeps the edition that was asked for, and going back is possible as well.
	s = c.mark(t, id)
	if s.Rules[0].ID != second {
		t.Errorf("looked at again it is marked with %s, want 2", s.Rules[0].Edition)
	}
	must(t, again(s.Revision, first, "It did not: the notice was withdrawn."))
	if v, _ := c.verdict(t, id, "continuity"); v != marking.WithinLimit {
		t.Errorf("back under edition 1 continuity is %s", v)
	}
	c.portfolio(t)
}
