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

// HandOver gives an attempt to the tutor: what was typed last goes with it, everything required is there, and the trainee
// says that it is their own work. The marker is set to work in the same transaction.
func (a *App) HandOver(ctx context.Context, c account.Caller, id uuid.UUID, entries []NewEntry, ownWork bool) error {
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		l, err := a.lockWork(ctx, t, c, id)
		if err != nil {
			return err
		}
		if err := account.May(c, account.HandOver, l.standings...); err != nil {
			return err
		}
		kept, err := keptBefore(l, entries)
		if err != nil {
			return err
		}
		if !l.Attempt.HandedOverAt.IsZero() && l.Attempt.State != decision.Open {
			if !kept {
				return fault.Conflict("This attempt was handed over before, and what you typed since did not go with it. Ask your tutor to send it back if it matters.")
			}
			return nil // the answer to the first sending got lost
		}
		if !ownWork {
			return fault.Invalid("own_work", "Tick that this is your own work before you hand over.")
		}
		rows, err := a.entryRows(c, l, entries)
		if err != nil {
			return err
		}
		for _, e := range entries {
			l.attempt.Entries = append(l.attempt.Entries, portfolio.Entry{Entry: e.Entry})
		}
		if gaps := handover(l.brief, l.attempt).Gaps(); len(gaps) > 0 {
			return gapFault(gaps)
		}
		t.HandOver(store.HandOver{Attempt: id, Trainee: c.Person, At: a.now(), Declaration: OwnWork, Entries: rows})
		return nil
	})
}

// gapFault says what is still missing.
func gapFault(gaps []decision.Gap) error {
	fields := make([]fault.Field, len(gaps))
	for i, g := range gaps {
		fields[i] = fault.Field{Name: g.Item, Message: g.Text}
	}
	return fault.InvalidFields(fields)
}
