package app

import (
	"context"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// SignOff closes an attempt whose criteria are all met. It asks for the caller's password again.
func (a *App) SignOff(ctx context.Context, c account.Caller, id uuid.UUID, revision int, password, words string) error {
	// The right to sign comes before the password: the answer to a wrong one would tell too much otherwise.
	j, err := a.db.JobSheet(ctx, c.Centre, id)
	l, err := a.load(c, j, err)
	if err != nil {
		return err
	}
	if err := l.may(c, account.SignOff); err != nil {
		return err
	}
	if err := a.confirmPassword(ctx, c, password); err != nil {
		return err
	}
	return a.judge(ctx, c, id, judged{account.SignOff, revision, func(l *loaded) (decision.Record, error) {
		decided, met := decision.AllDecided(l.brief, l.Records)
		switch {
		case !decided:
			return decision.Record{}, fault.Conflict("Not every criterion has a decision yet.")
		case !met:
			return decision.Record{}, fault.Conflict("A criterion is not yet met, so this attempt cannot be signed off. Ask for more instead.")
		}
		if err := closable(l); err != nil {
			return decision.Record{}, err
		}
		for _, ref := range l.brief.CriterionRefs() {
			if why := standing(l.brief, l.attempt).Blocked(ref); len(why) > 0 {
				return decision.Record{}, fault.Conflict("Criterion %s can no longer stand as met. %s", ref, strings.Join(why, " "))
			}
		}
		var err error
		l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventSignOff)
		l.Attempt.SignedOffAt = a.now()
		return decision.Record{Kind: decision.KindSignOff, Outcome: "signed off", Words: strings.TrimSpace(words)}, err
	}})
}

// AskForMore sends an attempt back: what was good, what is missing, what to do, and by when (a date). The next attempt is
// planned in the same transaction and carries over what is met, unless rework re-opens it.
func (a *App) AskForMore(ctx context.Context, c account.Caller, id uuid.UUID, revision int, m decision.More, by time.Time) error {
	return a.judge(ctx, c, id, judged{account.AskForMore, revision, func(l *loaded) (decision.Record, error) {
		decided, met := decision.AllDecided(l.brief, l.Records)
		switch {
		case !decided:
			return decision.Record{}, fault.Conflict("Decide every criterion first, so that the trainee knows where they stand.")
		case met:
			return decision.Record{}, fault.Conflict("Every criterion is met: sign off instead.")
		}
		if err := closable(l); err != nil {
			return decision.Record{}, err
		}
		if err := m.Check(by, a.today()); err != nil {
			return decision.Record{}, err
		}
		var err error
		l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventAskMore)
		return decision.Record{Kind: decision.KindMoreToDo, Outcome: "more to do", Words: m.Words(), Value: by.Format(time.DateOnly)}, err
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error { return a.planNext(ctx, t, c, l, by) })
}

// closable refuses an attempt whose trainee is still to be asked something, whose decisions nobody qualified stands behind, or of which a
// sampler disagrees with a decision that nobody has looked at again: met as it is, the next attempt would carry it over.
func closable(l *loaded) error {
	if err := decision.CheckReturned(l.Records); err != nil {
		return err
	}
	if err := decision.CheckAnswered(l.brief.CriterionRefs(), l.Records); err != nil {
		return err
	}
	return decision.CheckCountersigned(l.brief.CriterionRefs(), l.Records)
}
