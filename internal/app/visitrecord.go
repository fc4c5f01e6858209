package app

import (
	"context"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// onVisit does fn on the caller's visit, held until it is done.
func (a *App) onVisit(ctx context.Context, c account.Caller, fn func(t *store.Tx, v store.Visit) error) error {
	if _, err := a.visit(ctx, c); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		v, err := t.LockVisit(ctx, c.Visit)
		if err != nil {
			return err
		}
		if err := a.running(v); err != nil {
			return err
		}
		return fn(t, v)
	})
}

// ChooseForVisit puts attempts that the visit can reach on its list.
func (a *App) ChooseForVisit(ctx context.Context, c account.Caller, attempts []uuid.UUID) error {
	if len(attempts) == 0 || len(attempts) > store.VisitPage {
		return fault.Invalid("attempts", "Choose at least one attempt, and at most a page of them at once.")
	}
	return a.onVisit(ctx, c, func(t *store.Tx, v store.Visit) error {
		for _, id := range attempts {
			if err := t.PickForVisit(ctx, v.ID, id, c.Person, a.now()); err != nil {
				return err
			}
		}
		return nil
	})
}

// DrawForVisit draws from what is not on the list yet, each as likely as the other, and puts it there. Its seed and the digest of
// what it was drawn from are kept, so that it can be drawn again.
func (a *App) DrawForVisit(ctx context.Context, c account.Caller, size int) error {
	seed, err := newSeed()
	if err != nil {
		return err
	}
	return a.onVisit(ctx, c, func(t *store.Tx, v store.Visit) error {
		ids, err := t.Undrawn(ctx, v.ID)
		if err != nil {
			return err
		}
		if len(ids) == 0 {
			return fault.Conflict("All that this visit can reach is on the list: there is nothing left to draw from.")
		}
		if size < 1 || size > len(ids) {
			return fault.Invalid("size", "Choose how many to draw: from 1 to %d.", len(ids))
		}
		list, err := drawList(ids)
		if err != nil {
			return err
		}
		d := store.VisitDraw{Seed: seed, Digest: list.Digest(), Listed: len(ids), Size: size, By: c.Person, At: a.now()}
		var drawn []uuid.UUID
		for _, i := range list.Draw(size, d.Seed, d.Digest) {
			drawn = append(drawn, list.Items()[i].Attempt)
		}
		return t.AddVisitDraw(ctx, v.ID, d, drawn)
	})
}

// drawList is attempts that are all as likely as one another, in one stratum.
func drawList(ids []uuid.UUID) (sampling.List, error) {
	items := make([]sampling.Item, len(ids))
	for i, id := range ids {
		items[i] = sampling.Item{Attempt: id, Risk: 1}
	}
	return sampling.NewList(items)
}

// NoteOnVisit keeps what the verifier found: of one attempt on the list, or of all where attempt is zero.
func (a *App) NoteOnVisit(ctx context.Context, c account.Caller, attempt uuid.UUID, finding store.VisitFinding, words string) error {
	words = strings.TrimSpace(words)
	switch {
	case finding != store.VisitConfirmed && finding != store.VisitNotConfirmed && finding != store.VisitRemark || attempt == uuid.Nil && finding != store.VisitRemark:
		return fault.Invalid("finding", "Say whether you confirm what the centre decided.")
	case words == "" && finding != store.VisitConfirmed:
		return fault.Invalid("words", "Say what you found, so that the centre can follow you.")
	case utf8.RuneCountInString(words) > textMost:
		return fault.Invalid("words", "That is longer than %d characters. Shorten it.", textMost)
	}
	if attempt != uuid.Nil {
		if err := a.onList(ctx, c, attempt); err != nil {
			return err
		}
	}
	id, err := newID()
	if err != nil {
		return err
	}
	return a.onVisit(ctx, c, func(t *store.Tx, v store.Visit) error {
		return t.AddVisitNote(ctx, v.ID, store.VisitNote{ID: id, Attempt: attempt, Finding: finding, Words: words, By: c.Person, At: a.now()})
	})
}

// ActOnVisit asks somebody at the centre to do something by a day: about one attempt on the list, or about all where it is zero.
func (a *App) ActOnVisit(ctx context.Context, c account.Caller, x store.Action) error {
	if _, err := a.visit(ctx, c); err != nil {
		return err
	}
	x.Words = strings.TrimSpace(x.Words)
	switch {
	case x.Words == "" || utf8.RuneCountInString(x.Words) > textMost:
		return fault.Invalid("words", "Say what is to be done.")
	case x.Due.Before(date(a.today())):
		return fault.Invalid("due", "Choose a day by which it is to be done, from today on.")
	}
	if x.Attempt != uuid.Nil {
		if err := a.onList(ctx, c, x.Attempt); err != nil {
			return err
		}
	}
	owner, err := a.db.Person(ctx, c.Centre, x.Owner)
	if err != nil || !owner.Caller().Has(account.Manager) && !owner.Caller().Has(account.QualityAssurer) && !owner.Caller().Has(account.Tutor) {
		return fault.Invalid("owner", "Choose who at the centre is to do it.")
	}
	if x.ID, err = newID(); err != nil {
		return err
	}
	x.Source, x.SourceID, x.RaisedBy, x.RaisedAt = store.ActionFromVisit, c.Visit, c.Person, a.now()
	return a.onVisit(ctx, c, func(t *store.Tx, _ store.Visit) error { return t.AddAction(ctx, x) })
}
