package app

import (
	"context"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// NewRuling says how a criterion is to be read from a day on.
type NewRuling struct {
	Standardisation uuid.UUID // that led to it; zero for none
	Criterion       string    // UNIT/code
	Words           string
	Doubts          store.Doubts
	EffectiveOn     time.Time // a date
	Since           time.Time // a date; zero for all that came before
}

// Rulings lists the centre's rulings, the newest first, two hundred at most.
func (a *App) Rulings(ctx context.Context, c account.Caller) ([]store.Ruling, error) {
	if err := account.May(c, account.SeeStandard); err != nil {
		return nil, err
	}
	return a.db.Rulings(ctx, c.Centre)
}

// RulingsInForce is the ruling by which each criterion is read today, by UNIT/code; none for those who see no rulings.
func (a *App) RulingsInForce(ctx context.Context, c account.Caller, criteria []string) (map[string]store.Ruling, error) {
	if account.May(c, account.SeeStandard) != nil {
		return nil, nil
	}
	rulings, err := a.db.RulingsOn(ctx, c.Centre, criteria)
	in, today := map[string]store.Ruling{}, date(a.today())
	for _, g := range rulings { // the newest first
		if _, ok := in[g.Criterion]; !ok && !g.EffectiveOn.After(today) {
			in[g.Criterion] = g
		}
	}
	return in, err
}

// MakeRuling keeps a ruling. It changes no decision: those that it puts in question are listed for somebody to look at.
func (a *App) MakeRuling(ctx context.Context, c account.Caller, n NewRuling) (uuid.UUID, error) {
	if err := account.May(c, account.Rule); err != nil {
		return uuid.Nil, err
	}
	if n.Standardisation != uuid.Nil {
		if _, err := a.standardisationFor(ctx, c, n.Standardisation); err != nil {
			return uuid.Nil, err
		}
	}
	n.Words, n.Criterion = strings.TrimSpace(n.Words), strings.TrimSpace(n.Criterion)
	known, err := a.knowsCriterion(ctx, c, n.Criterion)
	switch {
	case err != nil:
		return uuid.Nil, err
	case !known:
		return uuid.Nil, fault.Invalid("criterion", "The centre has no criterion %s. Choose one of its units'.", n.Criterion)
	case n.Words == "" || len([]rune(n.Words)) > textMost:
		return uuid.Nil, fault.Invalid("words", "Say in plain words how the criterion is to be read, in at most %d letters.", textMost)
	case n.Doubts != store.DoubtsMet && n.Doubts != store.DoubtsNotYet && n.Doubts != store.DoubtsBoth && n.Doubts != store.DoubtsNone:
		return uuid.Nil, fault.Invalid("doubts", "Say which earlier decisions it puts in question.")
	case n.EffectiveOn.IsZero():
		return uuid.Nil, fault.Invalid("effective_on", "Say from which day on it holds.")
	case !n.Since.IsZero() && !n.Since.Before(n.EffectiveOn):
		return uuid.Nil, fault.Invalid("since", "Choose a day before the one from which it holds, or leave it empty.")
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	g := store.Ruling{
		ID: id, Standardisation: n.Standardisation, Criterion: n.Criterion, Words: n.Words, Doubts: n.Doubts, EffectiveOn: n.EffectiveOn, Since: n.Since,
		By: c.Person, At: a.now(),
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddRuling(ctx, g) })
}

// knowsCriterion says whether a unit of the centre has the criterion.
func (a *App) knowsCriterion(ctx context.Context, c account.Caller, ref string) (bool, error) {
	unit, code, _ := strings.Cut(ref, "/")
	u, err := a.db.UnitOn(ctx, c.Centre, unit, date(a.today()))
	if fault.KindOf(err) == fault.KindNotFound {
		return false, nil
	} else if err != nil {
		return false, err
	}
	for _, o := range u.Outcomes {
		for _, k := range o.Criteria {
			if k.Code == code {
				return true, nil
			}
		}
	}
	return false, nil
}

// Ruling is a ruling with a page of the earlier decisions that it puts in question.
type Ruling struct {
	store.RulingSheet
	More    bool        // there are more
	Next    store.After // where they go on
	MayLook bool        // the caller may say what they found of those that they had no part in
	Actions []store.Action
	Owners  []store.BlindJudge // whom the caller may ask to do something; none where they may not
}

// Ruling reads one with what it puts in question from after on, a hundred at once, the earliest first. Whoever may not see every attempt
// has those of the cohorts that they teach, and of the actions about an attempt those that are theirs to do.
func (a *App) Ruling(ctx context.Context, c account.Caller, id uuid.UUID, after store.After) (Ruling, error) {
	if err := account.May(c, account.SeeStandard); err != nil {
		return Ruling{}, err
	}
	tutor := uuid.Nil
	if account.May(c, account.SeeAttempt) != nil {
		tutor = c.Person
	}
	sheet, err := a.db.RulingSheet(ctx, c.Centre, id, tutor, after)
	if err != nil {
		return Ruling{}, err
	}
	r := Ruling{RulingSheet: sheet, MayLook: account.May(c, account.LookUnderRuling) == nil}
	if len(r.Rows) > store.QuestionedPage {
		r.Rows, r.More = r.Rows[:store.QuestionedPage], true
		last := r.Rows[len(r.Rows)-1]
		r.Next = store.After{At: last.At, Record: last.Record}
	}
	if r.Actions, err = a.db.ActionsOf(ctx, c.Centre, store.ActionFromRuling, id); tutor != uuid.Nil {
		r.Actions = slices.DeleteFunc(r.Actions, func(x store.Action) bool { return x.Attempt != uuid.Nil && x.Owner != tutor })
	}
	if err == nil && account.May(c, account.RaiseAction) == nil {
		r.Owners, err = a.db.Assessors(ctx, c.Centre)
	}
	return r, err
}

// RulingLook is what somebody found of an earlier decision that a ruling puts in question.
type RulingLook struct {
	Ruling  uuid.UUID
	Record  uuid.UUID
	Outcome string // store.LookStands or store.LookAfresh
	Words   string
	Due     time.Time // a date: by when it is decided afresh; only with LookAfresh
}

// LookUnderRuling keeps what the caller found of a decision in which they had no part. Nothing is undone by it: where it is to be
// decided afresh, whoever decided it is asked to, by a day.
func (a *App) LookUnderRuling(ctx context.Context, c account.Caller, l RulingLook) error {
	l.Words = strings.TrimSpace(l.Words)
	if err := account.May(c, account.SeeStandard); err != nil {
		return err
	}
	if err := account.May(c, account.LookUnderRuling); err != nil {
		return err
	}
	switch {
	case l.Outcome != store.LookStands && l.Outcome != store.LookAfresh:
		return fault.Invalid("outcome", "Say whether it stands, or is to be decided afresh.")
	case len([]rune(l.Words)) > textMost:
		return fault.Invalid("words", "This is longer than %d characters. Say it more shortly.", textMost)
	case l.Outcome == store.LookAfresh && l.Words == "":
		return fault.Invalid("words", "Say what is to be looked at afresh, and why.")
	case l.Outcome == store.LookAfresh && (l.Due.IsZero() || dayText(l.Due) < a.today()):
		return fault.Invalid("due", "Say by when, today or later.")
	}
	id, err := newID()
	if err != nil {
		return err
	}
	action, err := newID()
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		seen, err := t.LookUnderRuling(ctx, store.Look{ID: id, Ruling: l.Ruling, Record: l.Record, Outcome: l.Outcome, Words: l.Words, By: c.Person, At: a.now()})
		if err != nil || l.Outcome != store.LookAfresh {
			return err
		}
		return t.AddAction(ctx, store.Action{
			ID: action, Source: store.ActionFromRuling, SourceID: l.Ruling, Attempt: seen.Attempt, Words: l.Words, Owner: seen.By, Due: l.Due,
			RaisedBy: c.Person, RaisedAt: a.now(),
		})
	})
}
