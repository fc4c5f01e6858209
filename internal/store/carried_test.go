package store_test

import (
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// A decision that says that it was carried over asks for no award of whoever sends the trainee on: it is taken only where the attempt
// before shows the criterion as met, and before anything else was decided on it.
func TestTheDatabaseHoldsWhatIsCarriedAgainstTheAttemptBefore(t *testing.T) {
	b := newBench(t)
	ctx, second, none := t.Context(), newID(t), newID(t)
	met, not := b.unit+"/1.1", b.unit+"/1.2"
	was := b.byAt(t, b.annDoes, b.tutor, decision.KindCriterion, met, string(decision.Met))
	back := b.byAt(t, b.annDoes, b.tutor, decision.KindCriterion, met, decision.TakenBack)
	back.Supersedes = was.ID
	b.write(t, func(tx *store.Tx) error {
		if err := tx.AddPerson(ctx, store.Person{ID: none, Name: "No Award", SignInName: none.String(), Roles: []account.Role{account.Tutor}, CreatedAt: monday}); err != nil {
			return err
		}
		if err := tx.AppendRecord(ctx, was); err != nil {
			return err
		}
		if err := tx.AppendRecord(ctx, b.byAt(t, b.annDoes, b.tutor, decision.KindCriterion, not, string(decision.NotYetMet))); err != nil {
			return err
		}
		return tx.AddAttempts(ctx, []store.NewAttempt{{ID: second, Task: b.task, Trainee: b.ann, Number: 2, State: decision.Planned, CarriedFrom: b.annDoes}})
	})
	carried := func(subject string, outcome decision.Outcome) error {
		r := b.byAt(t, second, none, decision.KindCriterion, subject, string(outcome))
		r.Value = "1"
		return b.appended(t, r)
	}
	kind(t, "what was not yet met, as met", carried(not, decision.Met), fault.KindConflict)
	kind(t, "what nobody decided", carried(b.unit+"/1.9", decision.Met), fault.KindConflict)
	kind(t, "as not yet met", carried(met, decision.NotYetMet), fault.KindConflict)
	if err := carried(met, decision.Met); err != nil {
		t.Errorf("what was met: %v", err)
	}
	kind(t, "the same again", carried(met, decision.Met), fault.KindConflict)
	third := newID(t)
	b.write(t, func(tx *store.Tx) error {
		if err := tx.AppendRecord(ctx, back); err != nil {
			return err
		}
		return tx.AddAttempts(ctx, []store.NewAttempt{{ID: third, Task: b.task, Trainee: b.ann, Number: 3, State: decision.Planned, CarriedFrom: b.annDoes}})
	})
	second = third
	kind(t, "what was taken back", carried(met, decision.Met), fault.KindConflict)
}
