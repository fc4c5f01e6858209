package app

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// PurgeWait is how long what is proposed waits before another person can approve it (our own value; the database has it too).
const PurgeWait = 14 * 24 * time.Hour

// ProposePurge proposes to erase all whose time is up. Nothing happens to it before another person approves.
func (a *App) ProposePurge(ctx context.Context, c account.Caller) (id uuid.UUID, err error) {
	if err := account.May(c, account.Erase); err != nil {
		return uuid.Nil, err
	}
	if id, err = newID(); err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		items, err := a.timeUp(ctx, t, uuid.Nil, uuid.Nil)
		if err != nil {
			return err
		}
		if len(items) == 0 {
			return fault.Conflict("Nothing is old enough to be erased, or what is old enough is held.")
		}
		return t.AddPurge(ctx, store.Purge{ID: id, ProposedBy: c.Person, ProposedAt: a.now()}, items)
	})
}

// timeUp lists what has been kept for as long as the longest rule asks: attempts, and the details of people of whom nothing
// else is left. It is asked of everything, or of the task of one attempt, or of one person.
func (a *App) timeUp(ctx context.Context, t *store.Tx, attempt, person uuid.UUID) ([]store.PurgeItem, error) {
	own, err := t.RetentionRules(ctx)
	if err != nil {
		return nil, err
	}
	rules := inForce(own)
	overs, err := t.Overs(ctx, rules, a.now(), attempt)
	if err != nil {
		return nil, err
	}
	var items []store.PurgeItem
	for _, o := range overs {
		r := longest(rules, o.Units)
		for _, id := range o.Attempts {
			items = append(items, store.PurgeItem{Item: id, Person: o.Trainee, Attempt: id, Due: upOn(o.EndedAt, r.Months), Rule: ruleWords(r)})
		}
	}
	for _, r := range rules {
		if r.Kind != store.KeepDetails {
			continue
		}
		gones, err := t.Gones(ctx, a.now().AddDate(0, -r.Months, 0), person)
		if err != nil {
			return nil, err
		}
		for _, g := range gones {
			items = append(items, store.PurgeItem{Item: g.Person, Person: g.Person, Due: upOn(g.EndedAt, r.Months), Rule: ruleWords(r)})
		}
	}
	return items, nil
}

// PurgeList is what a purge names, a page of it.
type PurgeList struct {
	store.Purge
	Items   []store.PurgeItem
	From    time.Time // from then on another person can approve it
	Approve Leave     // whether the caller can, now
}

// PurgeList lists what a purge names; page counts from 0.
func (a *App) PurgeList(ctx context.Context, c account.Caller, id uuid.UUID, page int) (l PurgeList, err error) {
	if err := account.May(c, account.Erase); err != nil {
		return l, err
	}
	if l.Purge, err = a.db.Purge(ctx, c.Centre, id); err != nil {
		return l, err
	}
	l.From = l.ProposedAt.Add(PurgeWait)
	l.Approve = leave(a.approvable(c, l.Purge))
	l.Items, err = a.db.PurgeItems(ctx, c.Centre, id, page*store.VisitPage)
	return l, err
}

// approvable says whether the caller can approve a purge now.
func (a *App) approvable(c account.Caller, p store.Purge) error {
	switch from := p.ProposedAt.Add(PurgeWait); {
	case !p.ApprovedAt.IsZero():
		return fault.Conflict("%s has approved this.", p.ApprovedByName)
	case !p.DroppedAt.IsZero():
		return fault.Conflict("%s has dropped this.", p.DroppedByName)
	case p.ProposedBy == c.Person:
		return fault.Forbidden("You proposed this, so somebody else has to approve it.")
	case a.now().Before(from):
		return fault.Conflict("This waits until %s: then somebody else can approve it.", from.In(London()).Format("2 January 2006"))
	}
	return nil
}

// ApprovePurge has what another person proposed erased, in the background. What is held by then stays.
func (a *App) ApprovePurge(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if err := account.May(c, account.Erase); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.LockPurge(ctx, id)
		if err != nil {
			return err
		}
		if err := a.approvable(c, p); err != nil {
			return err
		}
		if err := t.ApprovePurge(ctx, id, c.Person, a.now()); err != nil {
			return err
		}
		return t.EnqueuePurge(ctx, id)
	})
}

// DropPurge gives up what was proposed.
func (a *App) DropPurge(ctx context.Context, c account.Caller, id uuid.UUID) error {
	if err := account.May(c, account.Erase); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.LockPurge(ctx, id)
		if err != nil {
			return err
		}
		if !p.ApprovedAt.IsZero() || !p.DroppedAt.IsZero() {
			return fault.Conflict("This is settled already.")
		}
		return t.DropPurge(ctx, id, c.Person, a.now())
	})
}

// WorkPurge erases what an approved purge names: the job's work. Done again it goes on where it stopped.
func (a *App) WorkPurge(ctx context.Context, centre int64, id uuid.UUID) error {
	var items []store.PurgeItem
	var p store.Purge
	err := a.db.Write(ctx, centre, func(t *store.Tx) (err error) {
		if p, err = t.LockPurge(ctx, id); err != nil {
			return err
		}
		if p.ApprovedAt.IsZero() || !p.DoneAt.IsZero() {
			items = nil
			return nil
		}
		items, err = t.ToErase(ctx, id, store.PurgeMost)
		return err
	})
	if err != nil || p.ApprovedAt.IsZero() || !p.DoneAt.IsZero() {
		return err
	}
	for _, i := range items {
		if err := a.eraseItem(ctx, centre, p, i); err != nil {
			return err
		}
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error { return t.EndPurge(ctx, id, a.now()) })
}

// eraseItem erases one thing. That it is to go is on record, and noted outside the database, before it does. What somebody
// held or took up again since it was proposed stays; one that is held once it is destroyed is proposed again when it is let go.
func (a *App) eraseItem(ctx context.Context, centre int64, p store.Purge, i store.PurgeItem) error {
	if i.Attempt != uuid.Nil {
		err := a.db.Write(ctx, centre, func(t *store.Tx) error { return a.destroy(ctx, t, p, i) })
		if fault.KindOf(err) == fault.KindConflict {
			return nil
		} else if err != nil {
			return err
		}
	}
	e := store.Erasure{Centre: centre, Item: i.Item, Person: i.Person, Attempt: i.Attempt, Purge: p.ID, Rule: i.Rule, Approved: p.ApprovedBy, At: a.now()}
	line, err := json.Marshal(e)
	if err != nil {
		return fmt.Errorf("note an erasure: %w", err)
	}
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		if err := unheld(ctx, t, i); err != nil {
			return err
		}
		if i.Attempt == uuid.Nil { // of an attempt it was asked before it was destroyed
			if err := a.stillUp(ctx, t, i); err != nil {
				return err
			}
		}
		if err := a.blobs.NoteErasure(line); err != nil {
			return err
		}
		digests, err := t.Erase(ctx, p.ID, i, e.At)
		if err != nil {
			return err
		}
		t.Log(ctx, ledger.Leaf{Kind: ledger.KindErasure, Subject: i.Item, At: e.At, Facts: map[string]string{"rule": i.Rule}, Secrets: map[string]string{"by": p.ApprovedByName, "words": ""}})
		return forget(ctx, t, digests...)
	})
	if fault.KindOf(err) == fault.KindConflict {
		return nil
	}
	return err
}

// unheld refuses what is held, and keeps it from being held until the transaction ends.
func unheld(ctx context.Context, t *store.Tx, i store.PurgeItem) error {
	held, err := t.Held(ctx, i.Person, i.Attempt)
	if err == nil && held {
		err = fault.Conflict("This is held, or under an inquiry, so it is not erased.")
	}
	return err
}

// stillUp is Conflict where the time of something is not up any more: since it was proposed a rule asks for longer, or something happened.
func (a *App) stillUp(ctx context.Context, t *store.Tx, i store.PurgeItem) error {
	items, err := a.timeUp(ctx, t, i.Attempt, i.Person)
	if err == nil && !slices.ContainsFunc(items, func(x store.PurgeItem) bool { return x.Item == i.Item }) {
		err = fault.Conflict("Its time is not up any more, so it is not erased.")
	}
	return err
}

// destroy moves an attempt to the end of its states, on record under the name of who approved it.
func (a *App) destroy(ctx context.Context, t *store.Tx, p store.Purge, i store.PurgeItem) error {
	at, err := t.LockAttempt(ctx, i.Attempt)
	if err != nil || at.State == decision.Destroyed {
		return err
	}
	if err := unheld(ctx, t, i); err != nil {
		return err
	}
	if err := a.stillUp(ctx, t, i); err != nil {
		return err
	}
	steps := []struct {
		event decision.Event
		kind  decision.Kind
	}{{decision.EventArchive, decision.KindArchive}, {decision.EventDestroy, decision.KindDestroy}}
	if at.State == decision.Archived {
		steps = steps[1:]
	}
	for _, s := range steps {
		if at.State, err = decision.Next(at.State, s.event); err != nil {
			return err
		}
		r := decision.Record{Centre: t.Centre(), Attempt: at.ID, Kind: s.kind, Value: i.Rule, By: p.ApprovedBy, ByName: p.ApprovedByName, At: a.now().Truncate(time.Microsecond)}
		if r.ID, err = newID(); err != nil {
			return err
		}
		if err := t.AppendRecord(ctx, r); err != nil {
			return err
		}
	}
	_, err = t.SaveAttempt(ctx, at)
	return err
}

// EraseAgain erases, in a database that was restored from a backup, what the list beside the evidence says was erased, with the bytes
// behind it. owner is the address of the owner of the tables. It says how much was there to erase, and how many lines say nothing.
func (a *App) EraseAgain(ctx context.Context, owner string) (n, torn int, err error) {
	lines, err := a.blobs.Erasures()
	if err != nil {
		return 0, 0, err
	}
	list, torn := store.ReadErasures(lines)
	n, digests, err := store.ReapplyErasures(ctx, owner, list)
	if err != nil {
		return n, torn, err
	}
	for centre, ds := range digests {
		if err := a.ForgetBytes(ctx, centre, ds); err != nil {
			return n, torn, err
		}
	}
	return n, torn, nil
}
