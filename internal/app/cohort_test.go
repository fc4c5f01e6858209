package app_test

import (
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Nobody is trainee and tutor of one cohort, and whoever was its trainee judges none of what they did then.
func TestNobodyIsTheirOwnTutor(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		return tx.SetRoles(ctx, c.trainee.Person, []account.Role{account.Trainee, account.Tutor})
	}))
	var err error
	c.trainee, err = c.Caller(ctx, c.id, c.trainee.Person)
	must(t, err)
	must(t, c.AddMember(ctx, c.manager, c.cohort, c.trainee.Person, store.PartTrainee)) // once more has no effect
	wantKind(t, "the tutor's part beside the trainee's", c.AddMember(ctx, c.manager, c.cohort, c.trainee.Person, store.PartTutor), fault.KindInvalid)
	c.do(t, id)
	s := c.mark(t, id)

	must(t, c.RemoveMember(ctx, c.manager, c.cohort, c.trainee.Person, store.PartTrainee))
	must(t, c.AddMember(ctx, c.manager, c.cohort, c.trainee.Person, store.PartTutor))
	met := decision.Judgement{Criterion: "H2/1.1", Outcome: decision.Met}
	wantKind(t, "deciding on what they did as a trainee", c.Decide(ctx, c.trainee, id, s.Revision, met), fault.KindForbidden)
	wantKind(t, "observing it", c.Observe(ctx, c.trainee, id, decision.Observation{Subject: "continuity", Outcome: decision.Seen}), fault.KindForbidden)
	own, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if own.Judge || len(own.Flags) > 0 || own.Available > 0 {
		t.Errorf("their own sheet shows what the marker found, or lets them judge: %+v", own)
	}
	_, err = c.Priors(ctx, c.tutor, 1)
	must(t, err)
	_, err = c.UnitsToClaim(ctx, c.tutor)
	must(t, err)
}
