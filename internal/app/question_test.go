package app_test

import (
	"testing"
	"time"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// more is what a trainee is told here whose attempt is sent back.
var more = decision.More{Good: "Clean joints.", Missing: "The working.", ToDo: "Isolate again and show me."}

// A question is a note, no outcome: while it is open the attempt is neither signed off nor sent back, and the trainee learns no
// more than that they will be asked, and about what.
func TestQuestionTheTrainee(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	ctx, ref := t.Context(), s.Criteria[0].Ref
	for _, k := range s.Criteria {
		s = c.decide(t, id, k.Ref, decision.Met)
	}
	wantKind(t, "asking about nothing of the brief", c.AskTrainee(ctx, c.tutor, id, s.Revision, "H9/1.1", "Why?"), fault.KindNotFound)
	wantKind(t, "asking without words", c.AskTrainee(ctx, c.tutor, id, s.Revision, ref, " "), fault.KindInvalid)
	wantKind(t, "answering what nobody asked", c.AnswerQuestion(ctx, c.tutor, id, s.Revision, ref, "By its range."), fault.KindConflict)
	wantKind(t, "the trainee asking", c.AskTrainee(ctx, c.trainee, id, s.Revision, ref, "Why?"), fault.KindForbidden)
	wantKind(t, "another cohort's tutor asking", c.AskTrainee(ctx, c.other, id, s.Revision, ref, "Why?"), fault.KindNotFound)
	must(t, c.AskTrainee(ctx, c.tutor, id, s.Revision, ref, "How did you choose the meter?"))
	wantKind(t, "asking on a stale page", c.AskTrainee(ctx, c.second, id, s.Revision, ref, "Why?"), fault.KindConflict)

	own, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if q := decision.OpenQuestion(own.Records, ref); q == nil || q.Words != "" {
		t.Errorf("while it is judged the trainee reads %+v, want that they will be asked and not what", q)
	}
	s, err = c.Sheet(ctx, c.tutor, id)
	must(t, err)
	wantKind(t, "signing off with a question open", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	s = c.decide(t, id, s.Criteria[1].Ref, decision.NotYetMet)
	wantKind(t, "sending back with a question open", c.AskForMore(ctx, c.tutor, id, s.Revision, more, morning.AddDate(0, 0, 7)), fault.KindConflict)
	wantKind(t, "answering without words", c.AnswerQuestion(ctx, c.second, id, s.Revision, ref, ""), fault.KindInvalid)
	must(t, c.AnswerQuestion(ctx, c.second, id, s.Revision, ref, "By its range."))
	own, err = c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if decision.Latest(own.Records, decision.KindQuestion, ref) != nil {
		t.Error("while it is judged the trainee reads the answer as the tutor put it down")
	}

	s, err = c.Sheet(ctx, c.tutor, id)
	must(t, err)
	must(t, c.AskForMore(ctx, c.tutor, id, s.Revision, more, c.now.Add(7*24*time.Hour)))
	own, err = c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if r := decision.Latest(own.Records, decision.KindQuestion, ref); r == nil || r.Words != "By its range." || r.Value != "How did you choose the meter?" {
		t.Errorf("afterwards the trainee reads %+v, want the question with its answer", r)
	}
}
