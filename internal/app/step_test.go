package app_test

import (
	"strings"
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// tick keeps one step of the isolation, as done at so many seconds past ten by the phone.
func (c *centre) tick(t *testing.T, at *[]app.NewEntry, step string, seconds int) {
	t.Helper()
	for i := range *at {
		if e := &(*at)[i]; e.Item == "isolation" && e.Part == step {
			e.CapturedAt = time.Date(2026, 5, 4, 9, 0, seconds, 0, time.UTC)
			return
		}
	}
	t.Fatalf("the model answer has no step %s", step)
}

// isolation is what the marker says of the isolation to a caller, "" where it says nothing to them.
func (c *centre) isolation(t *testing.T, who account.Caller, s app.Sheet) *marking.Finding {
	t.Helper()
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == "isolation" {
				return it.Lines[len(it.Lines)-1].Finding
			}
		}
	}
	t.Fatal("there is no isolation")
	return nil
}

// The phone's times of the steps reach the marker, on the clock that people read; a hold point that needs the sequence stays
// shut while they do not fit, and the latest tick counts.
func TestStepsAreJudgedByThePhonesTimes(t *testing.T) {
	c := newCentre(t)
	id, ctx := c.set(t), t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	entries := c.model(t, id)
	c.tick(t, &entries, "prove", 100)
	c.tick(t, &entries, "test", 40)
	c.tick(t, &entries, "prove-again", 200)
	must(t, c.RecordEntries(ctx, c.trainee, id, entries))
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	err := c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen.")
	if err == nil || !strings.Contains(err.Error(), "“Prove the tester on the proving unit” (10:01:40) comes before “Test every pair of conductors dead” (10:00:40)") {
		t.Fatalf("with steps out of order the hold point says: %v", err)
	}
	again := c.model(t, id)
	c.tick(t, &again, "test", 130)
	var only []app.NewEntry
	for _, e := range again {
		if e.Item == "isolation" && e.Part == "test" {
			only = append(only, e)
		}
	}
	must(t, c.RecordEntries(ctx, c.trainee, id, only))
	must(t, c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen."))
	c.photos(t, id)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	if f := c.isolation(t, c.tutor, c.mark(t, id)); f == nil || f.Verdict != marking.Correct || len(f.Flags) > 0 {
		t.Errorf("done again in order it is %+v", f)
	}
}

// What a wrong grid points at and what the tutor asks are the tutor's until the decision; then the trainee reads the first.
func TestDiagnosesAndQuestionsWaitForTheDecision(t *testing.T) {
	c := newCentre(t)
	b := sample.Brief()
	id, ctx := c.setBrief(t, b), t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	entries := c.model(t, id)
	fault := b.Stages[1].Items[0].Test.Faults[0]
	seen := map[string]string{"heat/pump": "stands", "heat/valve": "mid", "none/valve": "hot water"}
	for i := range entries {
		if word, ok := seen[entries[i].Part]; ok {
			entries[i].Text = word
		}
	}
	must(t, c.RecordEntries(ctx, c.trainee, id, entries))
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	must(t, c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen."))
	c.photos(t, id)
	look := func(when string, who account.Caller, questions, points bool) {
		t.Helper()
		s, err := c.Sheet(ctx, who, id)
		must(t, err)
		if got := len(s.Stages[0].Questions) > 0; got != questions {
			t.Errorf("%s %s sees questions: %v", when, who.Name, got)
		}
		d := s.Stages[1].Items[0].Diagnosis
		if got := d != nil && len(d.Likely) == 1 && d.Likely[0].Key == fault.Key; got != points {
			t.Errorf("%s %s sees what the grid points at: %+v", when, who.Name, d)
		}
	}
	look("while it is done", c.trainee, false, false)
	look("while it is done", c.tutor, true, false)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	c.mark(t, id)
	look("marked", c.trainee, false, false)
	look("marked", c.tutor, true, true)
	for _, ref := range b.CriterionRefs() {
		c.decide(t, id, ref, decision.NotYetMet)
	}
	look("decided", c.trainee, false, false)
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	must(t, c.AskForMore(ctx, c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
	look("sent back", c.trainee, true, true)
}
