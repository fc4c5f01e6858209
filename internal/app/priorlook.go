package app

import (
	"context"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// LookPrior is what an internal quality assurer found of recognised criteria.
type LookPrior struct {
	Criteria []string // UNIT/code
	Outcome  decision.SampleOutcome
	Words    string
	// Of the action, for AgreeWithAction.
	Action string
	Owner  uuid.UUID
	Due    time.Time // a date
}

// Unseen are the criteria that were recognised and that nobody has looked at; none where the unit is claimed already.
func (p Prior) Unseen() (refs []string) {
	if p.Claimed {
		return nil
	}
	for _, d := range p.Decisions {
		if d.Unseen() {
			refs = append(refs, d.Criterion)
		}
	}
	return refs
}

// mayLookAtPrior says whether the caller may look at what was recognised of a claim.
func mayLookAtPrior(c account.Caller, p store.PriorSheet) error {
	if err := account.May(c, account.LookAtPrior); err != nil {
		return err
	}
	return decision.CheckPriorLooker(p.HadPart(c.Person), slices.Contains(p.Apart, c.Person) || slices.Contains(p.ApartFrom, c.Person))
}

// LookAtPrior keeps what an internal quality assurer found of recognised criteria: of each once. What they disagree with is out of use from
// then on, and counts as met no more; nothing of the decision is changed.
func (a *App) LookAtPrior(ctx context.Context, c account.Caller, id uuid.UUID, l LookPrior) error {
	if err := account.May(c, account.LookAtPrior); err != nil {
		return err
	}
	words, err := sayable("words", l.Words, "")
	if err != nil {
		return err
	}
	if words, err = decision.PriorLook(l.Outcome, words); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.PriorSheet(ctx, id)
		if err != nil {
			return err
		}
		if err := mayLookAtPrior(c, p); err != nil {
			return err
		}
		slices.Sort(l.Criteria)
		if l.Criteria = slices.Compact(l.Criteria); len(l.Criteria) == 0 {
			return fault.Invalid("criteria", "Choose what you looked at.")
		}
		for _, ref := range l.Criteria {
			if err := t.LookAtPrior(ctx, id, store.PriorLook{Criterion: ref, Outcome: l.Outcome, Words: words, By: c.Person, At: a.now()}); err != nil {
				return err
			}
		}
		if l.Outcome != decision.AgreeWithAction {
			return nil
		}
		if !p.Teaches(l.Owner) {
			return fault.Invalid("owner", "Choose a tutor of the trainee to do it.")
		}
		return a.addAction(ctx, t, c, store.Action{Source: store.ActionFromPrior, SourceID: id, Words: l.Action, Owner: l.Owner, Due: l.Due})
	})
}
