package app

import (
	"context"
	"fmt"
	"strconv"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/store"
)

// planNext plans the attempt after this one, with the same given values, due by a date, unless the task gives no further one.
// What was met is carried over: its decisions, as
// records of the new attempt, and what was handed in for it, so that figures that build on it can be worked.
func (a *App) planNext(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, by time.Time) error {
	if noneLeft(l) {
		return nil
	}
	n, err := newAttempt(l.brief, l.Attempt.Task, l.Attempt.Trainee, l.Attempt.Number+1)
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
	met := map[string]bool{}
	for _, ref := range l.brief.CriterionRefs() {
		r := decision.Judged(l.Records, ref)
		if r == nil || r.Outcome != string(decision.Met) {
			continue
		}
		met[ref] = true
		if err := a.carryDecision(ctx, t, c, l, n, *r); err != nil {
			return err
		}
	}
	return a.carryItems(ctx, t, l, n, met)
}

// carryDecision appends a met criterion to the next attempt, by the person who sent the trainee on.
func (a *App) carryDecision(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, n store.NewAttempt, r decision.Record) error {
	id, err := newID()
	if err != nil {
		return err
	}
	r.Words = fmt.Sprintf("Carried over from attempt %d, where %s judged it met.", l.Attempt.Number, r.ByName)
	r.ID, r.Attempt, r.Value, r.Supersedes = id, n.ID, strconv.Itoa(l.Attempt.Number), [16]byte{}
	r.By, r.ByName, r.Role, r.At = c.Person, c.Name, string(account.Tutor), a.now().Truncate(time.Microsecond)
	return t.AppendRecord(ctx, r)
}

// carryItems copies what was handed in for items that bear on nothing but met criteria.
func (a *App) carryItems(ctx context.Context, t *store.Tx, l *loaded, n store.NewAttempt, met map[string]bool) error {
	carried := map[string]bool{}
	for _, st := range l.brief.Stages {
		whole := len(st.Items) > 0
		for i := range st.Items {
			carried[st.Items[i].Key] = allMet(l.brief, &st.Items[i], met)
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

// allMet says whether an item bears on criteria, and on nothing but met ones.
func allMet(b *brief.Brief, it *brief.Item, met map[string]bool) bool {
	for _, c := range it.Criteria {
		if !met[b.Ref(c)] {
			return false
		}
	}
	return len(it.Criteria) > 0
}
