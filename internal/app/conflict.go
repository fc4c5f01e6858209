package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// saidMost is how long a remark on a person may be, in characters.
const saidMost = 2000

// said tidies words that have to be there.
func said(field, words, empty string) (string, error) {
	words = strings.TrimSpace(words)
	switch {
	case words == "":
		return "", fault.Invalid(field, "%s", empty)
	case len([]rune(words)) > saidMost:
		return "", fault.Invalid(field, "Shorten this to %d letters.", saidMost)
	}
	return words, nil
}

// Conflicts is a page of conflicts of interest.
type Conflicts struct {
	Rows []store.Conflict
	All  int // on every page
	Page Page
}

// Conflicts lists the conflicts of interest that the caller may know of: a manager and a quality assurer all, a tutor those that
// concern them. Page counts from 1; one after the last is empty.
func (a *App) Conflicts(ctx context.Context, c account.Caller, page int) (l Conflicts, err error) {
	if err := account.May(c, account.DeclareConflict); err != nil {
		return l, err
	}
	mine := c.Person
	if c.Has(account.Manager) || c.Has(account.QualityAssurer) {
		mine = uuid.Nil
	}
	l.Rows, l.All, err = a.db.Conflicts(ctx, c.Centre, mine, spanOf(page))
	l.Page, _ = pageOf(page, listPage, l.All)
	return l, err
}

// DeclareConflict keeps that a person has a conflict of interest with another: from then on neither judges the other's work nor
// samples the other's decisions. Anybody who judges declares their own; a manager declares anybody's.
func (a *App) DeclareConflict(ctx context.Context, c account.Caller, person, other uuid.UUID, words string) (uuid.UUID, error) {
	if err := account.May(c, account.DeclareConflict); err != nil {
		return uuid.Nil, err
	}
	if person != c.Person && !c.Has(account.Manager) {
		return uuid.Nil, fault.Forbidden("You declare your own conflicts of interest. A manager declares those of others.")
	}
	if person == other {
		return uuid.Nil, fault.Invalid("other", "Choose somebody else than the person whom it concerns.")
	}
	words, err := said("words", words, "Say what it is: a relation, a firm that both have part in.")
	if err != nil {
		return uuid.Nil, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		for _, p := range []uuid.UUID{person, other} {
			if _, err := t.Person(ctx, p); err != nil {
				return err
			}
		}
		return t.AddConflict(ctx, store.Conflict{ID: id, Person: person, Other: other, Words: words, DeclaredBy: c.Person, DeclaredAt: a.now()})
	})
}

// EndConflict ends a conflict of interest, with a reason, by a manager whom it does not concern.
func (a *App) EndConflict(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	if err := account.May(c, account.EndConflict); err != nil {
		return err
	}
	words, err := said("words", words, "Say why it keeps them apart no longer.")
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.EndConflict(ctx, id, c.Person, a.now(), words) })
}
