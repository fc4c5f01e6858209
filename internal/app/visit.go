package app

import (
	"context"
	"encoding/hex"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// purposeVisit is the purpose of a link that opens a verifier's visit. It can be used for as long as the visit lasts.
const purposeVisit = "visit"

// VisitDays is how long a visit can last (our own value).
const VisitDays = 30

// NewVisit is a visit to be arranged.
type NewVisit struct {
	Verifier uuid.UUID // somebody who came before; zero where Name is somebody new
	Name     string
	Email    string // may be empty
	Unit     string
	Cohort   uuid.UUID // zero for every cohort
	Words    string    // what it is for
	EndsOn   time.Time // its last day
	Listed   bool      // all of it is on the list at once; else the verifier chooses and draws
}

// check tidies the fields and refuses what cannot be kept.
func (n *NewVisit) check(today time.Time) error {
	n.Name, n.Words = strings.TrimSpace(n.Name), strings.TrimSpace(n.Words)
	var fields []fault.Field
	add := func(name, message string) { fields = append(fields, fault.Field{Name: name, Message: message}) }
	if (n.Verifier == uuid.Nil) == (n.Name == "") {
		add("name", "Choose a verifier who came before, or name a new one; not both.")
	}
	if n.Words == "" || utf8.RuneCountInString(n.Words) > textMost {
		add("words", "Say what the visit is for.")
	}
	if last := today.AddDate(0, 0, VisitDays-1); n.EndsOn.Before(today) || n.EndsOn.After(last) {
		add("ends_on", fmt.Sprintf("Choose its last day, from today to %s.", last.Format("2 January 2006")))
	}
	if len(fields) > 0 {
		return fault.InvalidFields(fields)
	}
	return nil
}

// endOf is the midnight in London after a day.
func endOf(day time.Time) time.Time {
	return time.Date(day.Year(), day.Month(), day.Day()+1, 0, 0, 0, 0, London())
}

// Visits lists the centre's visits, the newest first.
func (a *App) Visits(ctx context.Context, c account.Caller) ([]store.Visit, error) {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return nil, err
	}
	return a.db.Visits(ctx, c.Centre)
}

// VisitChoices is what a visit is arranged from.
type VisitChoices struct {
	Verifiers []store.Named // who came before
	Units     []store.Unit
	Cohorts   []store.Cohort
}

// VisitChoices lists what a visit is arranged from.
func (a *App) VisitChoices(ctx context.Context, c account.Caller) (v VisitChoices, err error) {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return v, err
	}
	if v.Verifiers, err = a.db.WhoHas(ctx, c.Centre, account.ExternalVerifier); err != nil {
		return v, err
	}
	if v.Units, err = a.db.UnitsOn(ctx, c.Centre, date(a.today())); err != nil {
		return v, err
	}
	v.Cohorts, err = a.db.Cohorts(ctx, c.Centre)
	return v, err
}

// ArrangeVisit arranges a visit and makes the link that opens it, which is told only now.
func (a *App) ArrangeVisit(ctx context.Context, c account.Caller, n NewVisit) (uuid.UUID, Invitation, error) {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return uuid.Nil, Invitation{}, err
	}
	if err := n.check(date(a.today())); err != nil {
		return uuid.Nil, Invitation{}, err
	}
	if _, err := a.db.UnitOn(ctx, c.Centre, n.Unit, date(a.today())); err != nil {
		return uuid.Nil, Invitation{}, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, Invitation{}, err
	}
	inv := Invitation{Name: n.Name, Expires: endOf(n.EndsOn)}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		v := store.Visit{ID: id, Verifier: n.Verifier, Unit: n.Unit, Words: n.Words, ArrangedBy: c.Person, ArrangedAt: a.now(), EndsAt: inv.Expires}
		if v.Verifier == uuid.Nil {
			if v.Verifier, err = a.addVerifier(ctx, t, n); err != nil {
				return err
			}
		}
		if v.Link, inv.Token, err = newLink(ctx, t, purposeVisit, v.Verifier, v.EndsAt); err != nil {
			return err
		}
		reach, err := t.AddVisit(ctx, v, n.Cohort, n.Listed)
		if err == nil && reach == 0 {
			return fault.Conflict("No attempt at unit %s has been signed off or sent back there yet, so there is nothing to show a verifier.", n.Unit)
		}
		return err
	})
	if err != nil || n.Name != "" {
		return id, inv, err
	}
	p, err := a.db.Person(ctx, c.Centre, n.Verifier)
	inv.Name = p.Name
	return id, inv, err
}

// addVerifier adds somebody who comes by a link alone: the name that they would sign in with is told to nobody.
func (a *App) addVerifier(ctx context.Context, t *store.Tx, n NewVisit) (uuid.UUID, error) {
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	p := NewPerson{Name: n.Name, SignInName: "verifier-" + hex.EncodeToString(id[10:]), Email: n.Email, Roles: []account.Role{account.ExternalVerifier}}
	if err := p.check(); err != nil {
		return uuid.Nil, err
	}
	return id, t.AddPerson(ctx, store.Person{ID: id, Name: p.Name, SignInName: p.SignInName, Email: p.Email, Roles: p.Roles, CreatedAt: a.now()})
}

// RelinkVisit makes another link for a visit that is under way; the one before opens nothing any more.
func (a *App) RelinkVisit(ctx context.Context, c account.Caller, id uuid.UUID) (inv Invitation, err error) {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return inv, err
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		v, err := t.LockVisit(ctx, id)
		if err != nil {
			return err
		}
		if !v.Runs(a.now()) {
			return fault.Conflict("This visit is over. Arrange another one.")
		}
		inv.Name, inv.Expires = v.VerifierName, v.EndsAt
		if v.Link, inv.Token, err = newLink(ctx, t, purposeVisit, v.Verifier, v.EndsAt); err != nil {
			return err
		}
		return t.RelinkVisit(ctx, id, v.Link)
	})
	return inv, err
}

// EndVisit ends a visit before its time: from the next request on the verifier sees nothing.
func (a *App) EndVisit(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		v, err := t.LockVisit(ctx, id)
		if err != nil {
			return err
		}
		if !v.Runs(a.now()) {
			return fault.Conflict("This visit is over already.")
		}
		return t.EndVisit(ctx, id, c.Person, a.now())
	})
}

// VisitReport is all that is kept of a visit, for the centre.
type VisitReport struct {
	store.Visit
	Over    bool
	Draws   []store.VisitDraw
	Notes   []store.VisitNote
	Actions []store.Action
	Looked  []store.VisitView    // the last first
	Sets    []store.PortfolioSet // the portfolios of its list that were asked for last; none or one
}

// VisitReport gives all that is kept of a visit.
func (a *App) VisitReport(ctx context.Context, c account.Caller, id uuid.UUID) (r VisitReport, err error) {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return r, err
	}
	if r.Visit, err = a.db.Visit(ctx, c.Centre, id); err != nil {
		return r, err
	}
	r.Over = !r.Runs(a.now())
	if r.Draws, err = a.db.VisitDraws(ctx, c.Centre, id); err != nil {
		return r, err
	}
	if r.Notes, err = a.db.VisitNotes(ctx, c.Centre, id); err != nil {
		return r, err
	}
	if r.Actions, err = a.db.ActionsOf(ctx, c.Centre, store.ActionFromVisit, id); err != nil {
		return r, err
	}
	if r.Sets, err = a.db.VisitSet(ctx, c.Centre, id); err != nil {
		return r, err
	}
	r.Looked, err = a.db.VisitViews(ctx, c.Centre, id)
	return r, err
}
