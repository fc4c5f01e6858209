package app

import (
	"context"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Action is something that somebody is to do by a day.
type Action = store.Action

// The sources of actions.
const (
	ActionFromSample          = store.ActionFromSample
	ActionFromVisit           = store.ActionFromVisit
	ActionFromStandardisation = store.ActionFromStandardisation
	ActionFromRuling          = store.ActionFromRuling
	ActionFromPrior           = store.ActionFromPrior
)

// ActionRow is an open action with what the caller may do about it.
type ActionRow struct {
	Action
	Late bool
	May  bool // close it
}

// actionsPage is how many actions a page of them has (our own value).
const actionsPage = 50

// ActionList is a page of what is still to be done.
type ActionList struct {
	Rows []ActionRow
	All  int // on every page
	Page Page
}

// OpenActions lists what is still to be done, the earliest day first: a tutor's own, and everybody's for those who close them. Page
// counts from 1; one after the last is empty.
func (a *App) OpenActions(ctx context.Context, c account.Caller, page int) (ActionList, error) {
	if err := account.May(c, account.SeeActions); err != nil {
		return ActionList{}, err
	}
	closes, whose := account.As(c, account.CloseAction) != "", c.Person
	if closes {
		whose = uuid.Nil
	}
	_, offset := pageOf(page, actionsPage, 0)
	actions, in, err := a.db.OpenActions(ctx, c.Centre, whose, offset, actionsPage)
	l := ActionList{Rows: make([]ActionRow, len(actions)), All: in}
	l.Page, _ = pageOf(page, actionsPage, in)
	for i, x := range actions {
		l.Rows[i] = ActionRow{x, x.Late(date(a.today())), closes && x.Owner != c.Person}
	}
	return l, err
}

// CloseAction says that an action is done, by somebody other than its owner.
func (a *App) CloseAction(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	if err := account.May(c, account.CloseAction); err != nil {
		return err
	}
	words, err := sayable("words", words, "Say what was done, and how you know.")
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		x, err := t.LockAction(ctx, id)
		switch {
		case err != nil:
			return err
		case !x.Open():
			return fault.Conflict("%s has closed this action.", x.ClosedByName)
		case x.Owner == c.Person:
			return fault.Forbidden("This action is yours to do, so somebody else has to look at it and close it.")
		}
		return t.CloseAction(ctx, id, c.Person, a.now(), words)
	})
}

// ActOnStandardisation asks one of the judges, or who decided at the time, to do something by a day: about one of the attempts, which it
// then keeps from being claimed, or about none. Of x the attempt, words, owner and day are taken.
func (a *App) ActOnStandardisation(ctx context.Context, c account.Caller, id uuid.UUID, x Action) error {
	s, err := a.standardisationFor(ctx, c, id)
	if err != nil {
		return err
	}
	if err := account.May(c, account.RaiseAction); err != nil {
		return err
	}
	about := func(b store.BlindAttempt) bool { return b.Attempt == x.Attempt }
	switch {
	case !s.Shown():
		return fault.Conflict("Not all have judged yet. Close it, or wait until they have, before anything follows from it.")
	case x.Attempt != uuid.Nil && !slices.ContainsFunc(s.Attempts, about):
		return fault.Invalid("attempt", "Choose one of the pieces of work that were judged, or none.")
	case !slices.ContainsFunc(owners(s), func(j store.BlindJudge) bool { return j.Person == x.Owner }):
		return fault.Invalid("owner", "Choose one of those who judged here, or who decided at the time.")
	}
	x.Source, x.SourceID = store.ActionFromStandardisation, id
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return a.addAction(ctx, t, c, x) })
}

// owners are who may be asked to do something because of a standardisation: who judged there, then who decided at the time.
func owners(s store.StandardisationSheet) []store.BlindJudge {
	all := slices.Clone(s.Judges)
	for _, r := range s.Standing {
		if !slices.ContainsFunc(all, func(j store.BlindJudge) bool { return j.Person == r.By }) {
			all = append(all, store.BlindJudge{Person: r.By, Name: r.ByName})
		}
	}
	return all
}

// ActOnRuling asks a tutor or quality assurer of the centre to do something by a day because of a ruling. Of x the words, owner and day
// are taken: what is about one decision is said where that is looked at.
func (a *App) ActOnRuling(ctx context.Context, c account.Caller, id uuid.UUID, x Action) error {
	if err := account.May(c, account.RaiseAction); err != nil {
		return err
	}
	if _, err := a.db.Ruling(ctx, c.Centre, id); err != nil {
		return err
	}
	assessors, err := a.db.Assessors(ctx, c.Centre)
	if err != nil {
		return err
	}
	if !slices.ContainsFunc(assessors, func(j store.BlindJudge) bool { return j.Person == x.Owner }) {
		return fault.Invalid("owner", "Choose a tutor or quality assurer of the centre.")
	}
	x.Source, x.SourceID, x.Attempt = store.ActionFromRuling, id, uuid.Nil
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return a.addAction(ctx, t, c, x) })
}

// addAction checks and keeps an action that the caller asks for: words, owner and due are looked at; the rest is filled in.
func (a *App) addAction(ctx context.Context, t *store.Tx, c account.Caller, x store.Action) (err error) {
	x.Words = strings.TrimSpace(x.Words)
	switch {
	case x.Words == "" || utf8.RuneCountInString(x.Words) > wordsMost:
		return fault.Invalid("action", "Say what is to be done, in at most %d letters.", wordsMost)
	case x.Owner == uuid.Nil:
		return fault.Invalid("owner", "Choose who is to do it.")
	case x.Due.IsZero():
		return fault.Invalid("due", "Say by when.")
	case brief.Day(x.Due.Format(time.DateOnly)) < a.today():
		return fault.Invalid("due", "That day is past. Choose a later one.")
	}
	if x.ID, err = newID(); err != nil {
		return err
	}
	x.RaisedBy, x.RaisedAt = c.Person, a.now()
	return t.AddAction(ctx, x)
}
