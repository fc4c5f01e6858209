package app_test

import (
	"bytes"
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// What is carried over to the next attempt keeps its covers, its copies and its withdrawal.
func TestCarriedOverWithCoversAndWithdrawal(t *testing.T) {
	c := newCentre(t)
	id, e, _ := c.onSite(t)
	ctx := t.Context()
	_, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg", Covers: []store.Cover{{W: 0.5, H: 0.5}}}, bytes.NewReader(picture(t, 2)))
	must(t, err)
	c.now = c.now.Add(time.Hour)
	c.typed(t, id, c.model(t, id))
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	must(t, c.MakePreview(ctx, c.id, e.ID))
	must(t, c.WithdrawFile(ctx, c.tutor, e.ID, "A face is in it."))
	s := c.mark(t, id)
	for i, k := range s.Criteria {
		o := decision.Met
		if i == len(s.Criteria)-1 {
			o = decision.NotYetMet
		}
		s = c.decide(t, id, k.Ref, o)
	}
	must(t, c.AskForMore(ctx, c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
	tasks, err := c.MyTasks(ctx, c.trainee)
	must(t, err)
	next, err := c.Sheet(ctx, c.tutor, tasks[0].Attempt)
	must(t, err)
	if next.Number != 2 {
		t.Fatalf("the newest attempt is %d; want the second", next.Number)
	}
	files := next.Stages[0].Items[0].Files
	if len(files) != 2 {
		t.Fatalf("%d files are carried over; want 2", len(files))
	}
	w := files[0].Withdrawn
	if w == nil || w.Words != "A face is in it." || w.Subject != files[0].ID.String() || !files[0].Copy || files[0].Covers != 1 || !files[0].Preview {
		t.Errorf("carried over as %+v, withdrawn %+v", files[0], w)
	}
	if files[1].Withdrawn != nil || files[1].Covers != 1 {
		t.Errorf("the other is carried over as %+v", files[1])
	}
}

// Whoever stood behind what is carried over has part in the next attempt, though its records name whoever sent the trainee on.
func TestWhoJudgedWhatIsCarriedOverDoesNotSampleIt(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	iris, noor := c.person(t, "iris", account.QualityAssurer), c.person(t, "noor", account.QualityAssurer)
	c.tutor = c.inTraining(t, c.tutor)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for i, k := range s.Criteria {
		o := decision.Met
		if i == len(s.Criteria)-1 {
			o = decision.NotYetMet
		}
		s = c.decide(t, id, k.Ref, o)
	}
	must(t, c.Countersign(ctx, iris, id, s.Revision, password, ""))
	must(t, c.AskForMore(ctx, c.tutor, id, c.seenBy(t, c.tutor, id).Revision, more, c.now.AddDate(0, 0, 7)))
	tasks, err := c.MyTasks(ctx, c.trainee)
	must(t, err)
	next := tasks[0].Attempt
	c.do(t, next)
	c.mark(t, next)
	sample := c.drawn(t, noor, c.planned(t, noor, app.Interim), 1)
	at, err := c.SampledAttempt(ctx, iris, sample, next)
	if err != nil || at.Say.May || !at.Drawn.HadPart {
		t.Errorf("in front of who countersigned: %+v, %v", at.Say, err)
	}
	say := func(who account.Caller) error {
		return c.SayOutcome(ctx, who, sample, next, c.seenBy(t, noor, next).Revision, app.SayOutcome{Outcome: decision.Agree})
	}
	wantKind(t, "sampled by who countersigned the first", say(iris), fault.KindForbidden)
	must(t, say(noor))
}
