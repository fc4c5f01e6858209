package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// CheckReading is the caller's own reading beside a safety-critical one, or their word that they saw the instrument.
type CheckReading struct {
	Item  string
	Phase brief.Phase
	Text  string // in the trainee's unit; "" where the instrument was seen
	// InPlace says why the caller does it where another tutor was named to observe.
	InPlace string
}

// EnterCheckReading records a check reading and has the marker look again, and what rested on it. It asks for the caller's
// password again: others rest on their name there, and a tablet lies about in a workshop.
func (a *App) EnterCheckReading(ctx context.Context, c account.Caller, id uuid.UUID, r CheckReading, password string) error {
	if err := a.mayOn(ctx, c, id, account.EnterCheck); err != nil {
		return err
	}
	if err := a.confirmPassword(ctx, c, password); err != nil {
		return err
	}
	err := a.judge(ctx, c, id, judged{account.EnterCheck, -1, func(l *loaded) (decision.Record, error) {
		it, _, ok := l.brief.Item(r.Item)
		if !ok || it.Reading == nil || len(it.Reading.Phases) > 0 && !slices.Contains(it.Reading.Phases, r.Phase) {
			return decision.Record{}, fault.Invalid("item", "The brief has no such reading.")
		}
		if err := mustBeWatched(l.Attempt); err != nil {
			return decision.Record{}, err
		}
		outcome := "checked"
		if r.Text = strings.TrimSpace(r.Text); r.Text == "" {
			outcome = "seen"
		}
		return inPlace(c, l, r.InPlace, decision.Record{
			Kind: decision.KindCheckReading, Subject: decision.Line(r.Item, "", string(r.Phase)), Outcome: outcome, Value: r.Text,
		})
	}}, a.remark)
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return a.spotsAfter(ctx, t, id) }) // one may have rested on it
}

// mayOn says whether the caller may do the action on an attempt. Where a password is asked for, the right comes before it: the
// answer to a wrong one would tell too much otherwise.
func (a *App) mayOn(ctx context.Context, c account.Caller, id uuid.UUID, act account.Action) error {
	j, err := a.db.SheetHead(ctx, c.Centre, id)
	if err != nil {
		return err
	}
	st := standings(c, j.Attempt)
	if err := hide(account.May(c, account.SeeAttempt, st...), "attempt"); err != nil {
		return err
	}
	return account.May(c, act, st...)
}

// mustBeWatched is Conflict where there is no work to watch, check or ask about: before it is started, and once it is closed.
func mustBeWatched(at store.Attempt) error {
	switch at.State {
	case decision.Open, decision.HandedOver, decision.Checked, decision.Decided:
		return nil
	}
	return fault.Conflict("This attempt is %s.", at.State.Words())
}

// inPlace is the record as it is kept: where another tutor was named to observe, with why the caller did it in their place.
func inPlace(c account.Caller, l *loaded, why string, r decision.Record) (decision.Record, error) {
	if named := insteadOf(c, l); named != "" {
		return r.InPlaceOf(named, why)
	}
	return r, nil
}

// insteadOf is the name of the tutor who was named to observe, where that is somebody else than the caller; "" where it is not.
func insteadOf(c account.Caller, l *loaded) string {
	if l.Task.Observer == uuid.Nil || l.Task.Observer == c.Person {
		return ""
	}
	return l.Task.ObserverName
}

// Observe notes what the caller saw of a piece of work.
func (a *App) Observe(ctx context.Context, c account.Caller, id uuid.UUID, o decision.Observation) error {
	return a.judge(ctx, c, id, judged{account.Observe, -1, func(l *loaded) (decision.Record, error) {
		if err := mustBeWatched(l.Attempt); err != nil {
			return decision.Record{}, err
		}
		r, err := o.Record(l.brief, l.Records)
		if err != nil {
			return decision.Record{}, err
		}
		return inPlace(c, l, o.InPlace, r)
	}})
}

// AskOrally keeps a question that the caller asked aloud, with the gist of the answer.
func (a *App) AskOrally(ctx context.Context, c account.Caller, id uuid.UUID, q decision.OralQuestion) error {
	return a.judge(ctx, c, id, judged{account.AskOrally, -1, func(l *loaded) (decision.Record, error) {
		if err := mustBeWatched(l.Attempt); err != nil {
			return decision.Record{}, err
		}
		r, err := q.Record(l.brief)
		if err != nil {
			return decision.Record{}, err
		}
		return inPlace(c, l, q.InPlace, r)
	}})
}
