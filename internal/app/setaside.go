package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// SetAside has an attempt count for nothing from now on, with the reason, by somebody who had no part in it: it was done before the
// trainee was registered, or an inquiry found against it. Nothing of it is removed. Where again is asked for, an attempt is
// planned in its place, with values of its own, which carries nothing over.
func (a *App) SetAside(ctx context.Context, c account.Caller, id uuid.UUID, revision int, words string, again bool) error {
	words = strings.TrimSpace(words)
	return a.judge(ctx, c, id, judged{account.SetAside, revision, func(l *loaded) (decision.Record, error) {
		switch {
		case l.Attempt.Trainee == c.Person || l.HadPart(c.Person):
			return decision.Record{}, fault.Forbidden("You had part in this attempt, or it is your own, so somebody else sets it aside.")
		case words == "":
			return decision.Record{}, fault.Invalid("words", "Say why it is set aside, so that whoever reads this later can follow you.")
		}
		var err error
		l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventSetAside)
		return decision.Record{Kind: decision.KindSetAside, Outcome: "set aside", Words: words}, err
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		if !again {
			return nil
		}
		return planInPlace(ctx, t, l)
	})
}

// planInPlace plans an attempt in place of one that was set aside, unless there is a later one already, or the trainee was withdrawn from the cohort.
func planInPlace(ctx context.Context, t *store.Tx, l *loaded) error {
	if left, err := hasLeft(ctx, t, l.Attempt); err != nil || left {
		return err
	}
	later, err := t.LaterAttempts(ctx, l.Attempt)
	if err != nil {
		return err
	}
	number := l.Attempt.Number + 1
	for _, other := range later {
		if other.State != decision.Withdrawn && other.State != decision.SetAside {
			return nil
		}
		number = other.Number + 1
	}
	n, err := newAttempt(l.brief, l.Attempt.Task, l.Attempt.Trainee, number)
	if err != nil {
		return err
	}
	return t.AddAttempts(ctx, []store.NewAttempt{n})
}

// maySetAside says whether the caller may set the attempt aside now.
func (l *loaded) maySetAside(c account.Caller) bool {
	_, err := decision.Next(l.Attempt.State, decision.EventSetAside)
	return err == nil && l.may(c, account.SetAside) == nil && l.Attempt.Trainee != c.Person && !l.HadPart(c.Person)
}
