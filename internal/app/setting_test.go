package app_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// only is the one task of a trainee.
func (c *centre) only(t *testing.T, who account.Caller) store.TraineeTask {
	t.Helper()
	tasks, err := c.MyTasks(t.Context(), who)
	must(t, err)
	if len(tasks) != 1 {
		t.Fatalf("%s has %d tasks, want 1", who.Name, len(tasks))
	}
	return tasks[0]
}

func TestSettingABrief(t *testing.T) {
	c := newCentre(t)
	ctx, s := t.Context(), c.published(t, sample.Brief())
	late := c.person(t, "lou", account.Trainee)
	day := func(n int) time.Time { return morning.Truncate(24*time.Hour).AddDate(0, 0, n) }
	for name, spoil := range map[string]func(*app.SetBrief){
		"due_on":   func(s *app.SetBrief) { s.DueOn = day(-1) },
		"from_on":  func(s *app.SetBrief) { s.FromOn, s.DueOn = day(9), day(8) },
		"attempts": func(s *app.SetBrief) { s.Attempts = 21 },
		"observer": func(s *app.SetBrief) { s.Observer = c.other.Person },
		"trainees": func(s *app.SetBrief) { s.Trainees = []uuid.UUID{c.trainee.Person, late.Person} },
	} {
		wrong := s
		spoil(&wrong)
		_, err := c.SetBrief(ctx, c.tutor, wrong)
		if f, ok := fault.As(err); !ok || len(f.Fields) != 1 || f.Fields[0].Name != name {
			t.Errorf("a wrong %s: %v", name, err)
		}
	}
	must(t, c.AddMember(ctx, c.manager, c.cohort, late.Person, store.PartTrainee))
	s.Trainees, s.FromOn, s.DueOn, s.Attempts, s.Observer = []uuid.UUID{c.trainee.Person}, day(2), day(9), 2, c.second.Person
	task, err := c.SetBrief(ctx, c.tutor, s)
	must(t, err)
	mine := c.only(t, c.trainee)
	if !mine.FromOn.Equal(day(2)) || !mine.Due().Equal(day(9)) || mine.Attempts != 2 || mine.ObserverName != c.second.Name {
		t.Errorf("as it was set: %+v", mine.Task)
	}
	if tasks, err := c.MyTasks(ctx, late); err != nil || len(tasks) != 0 {
		t.Errorf("somebody it is not set to has %d tasks, %v", len(tasks), err)
	}

	wantKind(t, "starting early", c.OpenAttempt(ctx, c.trainee, mine.Attempt, true, true), fault.KindConflict)
	c.now = c.now.AddDate(0, 0, 2)
	must(t, c.OpenAttempt(ctx, c.trainee, mine.Attempt, true, true))

	wantKind(t, "another cohort's tutor", c.SetTo(ctx, c.other, task, []uuid.UUID{late.Person}), fault.KindNotFound)
	wantKind(t, "nobody", c.SetTo(ctx, c.tutor, task, nil), fault.KindInvalid)
	wantKind(t, "somebody who has it", c.SetTo(ctx, c.tutor, task, []uuid.UUID{c.trainee.Person}), fault.KindConflict)
	must(t, c.SetTo(ctx, c.tutor, task, []uuid.UUID{late.Person}))
	if got := c.only(t, late); got.Number != 1 || got.State != decision.Planned {
		t.Errorf("the late joiner's attempt: %+v", got)
	}
	b, err := c.Board(ctx, c.tutor, c.cohort)
	must(t, err)
	if len(b.Tasks) != 1 || len(b.Tasks[0].Rows) != 2 || len(b.Tasks[0].Unset) != 0 {
		t.Errorf("the board: %+v", b.Tasks)
	}
}

// What is agreed with one trainee moves their own day and nobody else's, and an item that is shown in another way may be handed
// over without, and is still asked for before it is met.
func TestAdjustments(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	extra := decision.Adjustment{What: decision.ExtraTime, Until: morning.Truncate(24*time.Hour).AddDate(0, 0, 20), Words: "Reads slowly."}
	wantKind(t, "by the trainee", c.Adjust(ctx, c.trainee, id, extra), fault.KindForbidden)
	wantKind(t, "by a stranger", c.Adjust(ctx, c.other, id, extra), fault.KindNotFound)
	must(t, c.Adjust(ctx, c.tutor, id, extra))
	must(t, c.Adjust(ctx, c.tutor, id, decision.Adjustment{What: decision.OtherEvidence, Item: "why", Instead: "Told aloud.", Words: "Dyslexia."}))
	if got := c.only(t, c.trainee); !got.Due().Equal(extra.Until) || !got.DueOn.IsZero() {
		t.Errorf("due %v, the task %v; want the trainee's own day alone", got.Due(), got.DueOn)
	}
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	var entries []app.NewEntry
	for _, e := range c.model(t, id) {
		if e.Item != "why" {
			entries = append(entries, e)
		}
	}
	c.typed(t, id, entries)
	c.photos(t, id)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	blocked := func(s app.Sheet) int {
		n := 0
		for _, k := range s.Criteria {
			for _, why := range k.Blocked {
				if why == "What you would tell the customer: nothing has been handed in." {
					n++
				}
			}
		}
		return n
	}
	if n := blocked(c.mark(t, id)); n == 0 {
		t.Error("with nothing shown in the other way, nothing stands against met")
	}
	must(t, c.AskOrally(ctx, c.tutor, id, decision.OralQuestion{Subject: "why", Asked: "What would you tell them?", Gist: "That the pump was dead.", Outcome: decision.Understood}))
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if n := blocked(s); n != 0 {
		t.Errorf("heard aloud, as was agreed, and still %d against it", n)
	}
	wantKind(t, "after handing over", c.Adjust(ctx, c.tutor, id, extra), fault.KindConflict)
	own, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	for _, r := range own.Records {
		if r.Kind == decision.KindOral {
			t.Error("the trainee reads what was noted of their answer before it is decided")
		}
	}
	if len(own.Adjusted) != 2 {
		t.Errorf("the trainee reads %d adjustments, want 2", len(own.Adjusted))
	}
}

// After the last attempt that was set none is planned, until a tutor grants one with a reason.
func TestAttemptsAllowed(t *testing.T) {
	c := newCentre(t)
	ctx, s := t.Context(), c.published(t, sample.Brief())
	s.Attempts = 1
	_, err := c.SetBrief(ctx, c.tutor, s)
	must(t, err)
	id := c.only(t, c.trainee).Attempt
	must(t, c.Adjust(ctx, c.tutor, id, decision.Adjustment{What: decision.OtherEvidence, Item: "why", Instead: "Told aloud.", Words: "Dyslexia."}))
	wantKind(t, "before it was sent back", c.GrantAttempt(ctx, c.tutor, id, "Ill.", time.Time{}), fault.KindConflict)
	c.do(t, id)
	sheet := c.mark(t, id)
	for i, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
		j := decision.Judgement{Criterion: ref, Outcome: decision.Met}
		if i == 2 {
			j = decision.Judgement{Criterion: ref, Outcome: decision.NotYetMet, Reason: "sufficient", Words: "Show the working."}
		}
		must(t, c.Decide(ctx, c.tutor, id, sheet.Revision+i, j))
	}
	by := morning.Truncate(24*time.Hour).AddDate(0, 0, 14)
	must(t, c.AskForMore(ctx, c.tutor, id, sheet.Revision+4, decision.More{Good: "Neat.", Missing: "The working.", ToDo: "Show it."}, by))
	if got := c.only(t, c.trainee); got.Attempt != id || got.State != decision.MoreToDo {
		t.Fatalf("after the only attempt another is planned: %+v", got)
	}
	back, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if !back.MayGrant {
		t.Error("the tutor is shown no way on")
	}
	wantKind(t, "without a reason", c.GrantAttempt(ctx, c.tutor, id, " ", time.Time{}), fault.KindInvalid)
	wantKind(t, "by the trainee", c.GrantAttempt(ctx, c.trainee, id, "Please.", time.Time{}), fault.KindForbidden)
	must(t, c.GrantAttempt(ctx, c.tutor, id, "The meter was out of order.", time.Time{}))
	next := c.only(t, c.trainee)
	if next.Number != 2 || next.State != decision.Planned || !next.Due().Equal(by) {
		t.Errorf("the attempt that was granted: number %d, %s, due %v; want 2, planned, %v", next.Number, next.State, next.Due(), by)
	}
	again, err := c.Sheet(ctx, c.tutor, next.Attempt)
	must(t, err)
	if len(again.Adjusted) != 1 || again.Adjusted[0].Value != "Told aloud." {
		t.Errorf("what was agreed did not go on: %+v", again.Adjusted)
	}
	wantKind(t, "twice", c.GrantAttempt(ctx, c.tutor, id, "And another.", time.Time{}), fault.KindConflict)
}
