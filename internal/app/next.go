package app

import (
	"context"
	"fmt"
	"maps"
	"strconv"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// planNext plans the attempt after this one, with the same given values, to be handed over by a date (zero for the task's), where
// the task gives another or a tutor has granted one. What was met is carried over unless rework re-opens it: its decisions, as
// records of the new attempt, and what was handed in for it, so that figures that build on it can be worked. Where the trainee has
// gone on to a later attempt already, or was withdrawn from the cohort, none is planned.
func (a *App) planNext(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, by time.Time) error {
	if noneLeft(l) {
		return nil
	}
	if left, err := hasLeft(ctx, t, l.Attempt); err != nil || left {
		return err
	}
	later, err := t.LaterAttempts(ctx, l.Attempt)
	if err != nil {
		return err
	}
	number := l.Attempt.Number + 1
	for _, other := range later {
		if other.State != decision.Withdrawn {
			return nil
		}
		number = other.Number + 1
	}
	n, err := newAttempt(l.brief, l.Attempt.Task, l.Attempt.Trainee, number)
	if err != nil {
		return err
	}
	n.Seed, n.Given, n.CarriedFrom, n.DueOn = l.Attempt.Seed, l.Attempt.Given, l.Attempt.ID, by
	if err := t.AddAttempts(ctx, []store.NewAttempt{n}); err != nil {
		return err
	}
	if err := a.carryAdjustments(ctx, t, l, n); err != nil {
		return err
	}
	carry := decision.CarryOver(l.brief, l.Records)
	for _, ref := range carry.Met {
		if err := a.carryDecision(ctx, t, c, l, n, ref, ""); err != nil {
			return err
		}
	}
	for _, x := range carry.Lapsed {
		if err := a.carryDecision(ctx, t, c, l, n, x.Criterion, x.Why); err != nil {
			return err
		}
	}
	return a.carryItems(ctx, t, l, n, carry.Items)
}

// carryDecision appends a criterion that was met to the next attempt, by the person who sent the trainee on: as met, or as open
// again where lapsed says why.
func (a *App) carryDecision(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, n store.NewAttempt, ref, lapsed string) error {
	id, err := newID()
	if err != nil {
		return err
	}
	r := *decision.Judged(l.Records, ref)
	r.Words = fmt.Sprintf("Carried over from attempt %d, where %s judged it met.", l.Attempt.Number, r.ByName)
	if lapsed != "" {
		r.Outcome, r.Words = decision.TakenBack, fmt.Sprintf("Met in attempt %d, and to be shown again. %s", l.Attempt.Number, lapsed)
	}
	r.ID, r.Attempt, r.Value, r.Supersedes = id, n.ID, strconv.Itoa(l.Attempt.Number), [16]byte{}
	r.By, r.ByName, r.At = c.Person, c.Name, a.now().Truncate(time.Microsecond)
	r.Role = string(account.As(c, account.AskForMore, l.standings...))
	return t.AppendRecord(ctx, r)
}

// carryItems copies what was handed in for the items that are carried, and who helped at a stage all of which is.
func (a *App) carryItems(ctx context.Context, t *store.Tx, l *loaded, n store.NewAttempt, carried map[string]bool) error {
	carried = maps.Clone(carried)
	for _, st := range l.brief.Stages {
		whole := len(st.Items) > 0
		for i := range st.Items {
			whole = whole && carried[st.Items[i].Key]
		}
		carried[decision.HelpItem(st.Key)] = whole
	}
	var entries []store.Entry
	for _, e := range l.Latest() {
		if !carried[e.Item] {
			continue
		}
		id, err := newID()
		if err != nil {
			return err
		}
		e.ID, e.Attempt = id, n.ID
		entries = append(entries, e)
	}
	label, err := a.carryInstruments(ctx, t, l, n.ID, entries)
	if err != nil {
		return err
	}
	if _, err := t.AddEntries(ctx, n.ID, entries); err != nil {
		return err
	}
	for _, f := range l.Evidence {
		if item, ok := label[f.Item]; ok {
			f.Item = item
		} else if !carried[f.Item] {
			continue
		}
		if err := a.carryFile(ctx, t, f, n, withdrawal(l.Records, f)); err != nil {
			return err
		}
	}
	return nil
}

// carryFile copies a file's row with what was made of it, and the record of who withdrew its original.
func (a *App) carryFile(ctx context.Context, t *store.Tx, f store.Evidence, n store.NewAttempt, withdrawn *decision.Record) error {
	id, err := newID()
	if err != nil {
		return err
	}
	f.ID, f.Attempt = id, n.ID
	if _, err := t.AddEvidence(ctx, f); err != nil {
		return err
	}
	if withdrawn != nil {
		r := *withdrawn
		if r.ID, err = newID(); err != nil {
			return err
		}
		r.Attempt, r.Subject, r.Supersedes = n.ID, id.String(), [16]byte{}
		if err := t.AppendRecord(ctx, r); err != nil {
			return err
		}
	}
	switch {
	case f.PreviewDigest != "":
		return t.SetPreview(ctx, id, f.PreviewDigest, f.PHash, f.DHash)
	case a.previewed(f) && withdrawn == nil:
		return t.EnqueuePreview(ctx, id)
	}
	return nil
}
