package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// HandOver gives an attempt to the tutor with what is here: what was typed last goes with it, everything required is there,
// and the trainee says that it is their own work.
func (a *App) HandOver(ctx context.Context, c account.Caller, id uuid.UUID, entries []NewEntry, ownWork bool) error {
	_, err := a.HandOverSealed(ctx, c, id, entries, ownWork, nil)
	return err
}

// HandOverSealed is HandOver with the list that was sealed on the phone; nil where there is none. Bytes on the list may still
// be on their way: then the marker waits for them, and nobody can tell yet what is missing. Otherwise the marker is set to
// work in the same transaction. The same list again gives the same answer.
func (a *App) HandOverSealed(ctx context.Context, c account.Caller, id uuid.UUID, entries []NewEntry, ownWork bool, s *NewSeal) (HandedOver, error) {
	var out HandedOver
	err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		l, err := a.lockWork(ctx, t, c, id)
		if err != nil {
			return err
		}
		if err := account.May(c, account.HandOver, l.standings...); err != nil {
			return err
		}
		out.State, out.Awaited = l.Attempt.State, len(l.Awaited)
		kept, err := keptBefore(l, entries)
		if err != nil {
			return err
		}
		if l.Seal != nil {
			return handedOverBefore(l, s, kept)
		}
		if !ownWork {
			return fault.Invalid("own_work", "Tick that this is your own work before you hand over.")
		}
		h, err := a.handOver(ctx, t, c, l, entries, s)
		if err != nil {
			return err
		}
		out.State, out.Awaited = decision.HandedOver, h.Awaiting
		return t.HandOver(h)
	})
	if err == nil && s != nil && len(entries) > 0 { // a release on the spot may have waited for them
		err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return a.spotsAfter(ctx, t, id) })
	}
	return out, err
}

// handedOverBefore is the answer to a hand-over that comes again, since the answer to the first sending got lost.
func handedOverBefore(l loaded, s *NewSeal, kept bool) error {
	switch {
	case s != nil && s.ID != l.Seal.ID:
		return fault.Conflict("This attempt was handed over before, from another page. What you sealed now did not go with it: it comes to your tutor as held, to be taken in.")
	case !kept:
		return fault.Conflict("This attempt was handed over before, and what you typed since did not go with it. Ask your tutor to send it back if it matters.")
	}
	return nil
}

// handOver is what is kept of a hand-over of an attempt that was not handed over before.
func (a *App) handOver(ctx context.Context, t *store.Tx, c account.Caller, l loaded, entries []NewEntry, s *NewSeal) (store.HandOver, error) {
	if err := mustBeOpen(l.Attempt); err != nil {
		return store.HandOver{}, err
	}
	rows, err := a.entryRows(c, l, entries)
	if err != nil {
		return store.HandOver{}, err
	}
	for i, e := range entries {
		l.attempt.Entries = append(l.attempt.Entries, portfolio.Entry{Entry: e.Entry})
		l.Entries = append(l.Entries, rows[i])
	}
	seal, err := a.sealed(l, s)
	if err != nil {
		return store.HandOver{}, err
	}
	awaited := seal.Awaited(l.has)
	gaps := handover(l.brief, l.attempt).Gaps()
	if len(gaps) > 0 && len(awaited) == 0 { // records, which tell what is shown in another way, are only read for that
		if l.attempt.Records, err = t.Records(ctx, l.Attempt.ID); err != nil {
			return store.HandOver{}, err
		}
		if gaps = handover(l.brief, l.attempt).Gaps(); len(gaps) > 0 {
			return store.HandOver{}, gapFault(gaps)
		}
	}
	return store.HandOver{
		Attempt: l.Attempt.ID, Trainee: c.Person, At: a.now(), Declaration: OwnWork, Entries: rows, Seal: seal, Awaiting: len(awaited),
	}, nil
}

// gapFault says what is still missing.
func gapFault(gaps []decision.Gap) error {
	fields := make([]fault.Field, len(gaps))
	for i, g := range gaps {
		fields[i] = fault.Field{Name: g.Item, Message: g.Text}
	}
	return fault.InvalidFields(fields)
}
