package store_test

import (
	"encoding/json"
	"errors"
	"slices"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// Whatever was decided apart from the records of attempts has its entry with its row: each of these was written by fillAll.
func TestEveryDecisionIsLogged(t *testing.T) {
	b := newBench(t)
	b.fillAll(t)
	conflict, action, manager := newID(t), newID(t), b.newPerson(t, "Mo Manager", account.Manager)
	carl := b.newPerson(t, "Carl Colleague", account.Tutor)
	b.write(t, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddConflict(t.Context(), store.Conflict{ID: conflict, Person: carl, Other: b.bob, Words: "They are brothers.", DeclaredBy: b.tutor, DeclaredAt: monday}),
			tx.EndConflict(t.Context(), conflict, manager, monday, "Carl has left."),
			tx.AddAction(t.Context(), store.Action{ID: action, Source: store.ActionFromVisit, SourceID: newID(t), Words: "Label the rig.", Owner: carl, Due: date(2026, 4, 1), RaisedBy: manager, RaisedAt: monday}),
			tx.CloseAction(t.Context(), action, manager, monday, "It is labelled."))
	})
	of := map[string][]store.LogEntry{}
	for _, e := range wholeLog(t, b.Store, b.centre) {
		of[e.Kind] = append(of[e.Kind], e)
	}
	for _, kind := range []string{ledger.KindRuling, ledger.KindRulingLook, ledger.KindAction, ledger.KindActionClosed, ledger.KindStrike, ledger.KindConflict, ledger.KindConflictEnded, ledger.KindPrior, ledger.KindPriorLook} {
		if len(of[kind]) == 0 {
			t.Errorf("nothing in the log tells of a %s", kind)
			continue
		}
		leaf, err := ledger.ReadLeaf(of[kind][0].Leaf)
		if err != nil || leaf.Backfilled || leaf.At.IsZero() || len(leaf.Facts) > 0 {
			t.Errorf("the entry of a %s is %+v, %v", kind, leaf, err)
		}
		open := of[kind][0].Openings
		var said map[string]any
		if len(open) != 1 || open[0].Name != ledger.SecretStatement || json.Unmarshal(open[0].Value, &said) != nil || said["by"] == nil || !leaf.OpenedBy(open[0]) {
			t.Errorf("the entry of a %s opens to %+v", kind, open)
		}
	}
	if n, err := b.UnloggedRecords(t.Context(), b.centre); n != 0 || err != nil {
		t.Errorf("%d decisions have no entry (%v)", n, err)
	}
	if n, err := b.BackfillLog(t.Context(), b.centre); n != 0 || err != nil {
		t.Errorf("%d were appended late (%v), want none", n, err)
	}
}

// What opens an entry about a person goes with the person; the entry stays.
func TestStatementsAreForgotten(t *testing.T) {
	b := newBench(t)
	conflict := newID(t)
	b.write(t, func(tx *store.Tx) error {
		return tx.AddConflict(t.Context(), store.Conflict{ID: conflict, Person: b.ann, Other: b.bob, Words: "They share a house.", DeclaredBy: b.tutor, DeclaredAt: monday})
	})
	open := func() int {
		entries, err := b.LogEntriesOf(t.Context(), b.centre, conflict)
		if err != nil || len(entries) != 1 {
			t.Fatalf("%d entries, %v", len(entries), err)
		}
		return len(entries[0].Openings)
	}
	forget := func(item uuid.UUID) {
		b.write(t, func(tx *store.Tx) error { return store.ForgetStatements(tx, t.Context(), item) })
	}
	if forget(b.tutor); open() != 1 {
		t.Error("it went with somebody whom it is not about")
	}
	if forget(b.bob); open() != 0 {
		t.Error("it stays when one whom it is about is erased")
	}
	wholeLog(t, b.Store, b.centre)
	if n, err := b.BackfillLog(t.Context(), b.centre); n != 0 || err != nil {
		t.Errorf("%d were appended again (%v)", n, err)
	}
}

// A decision that was written before there was a log gets its entry at the next start, marked as late, with the same words.
func TestStatementsAreBackfilled(t *testing.T) {
	b := newBench(t)
	id := newID(t)
	if _, err := connect(t, b.urls.Super).Exec(t.Context(), `INSERT INTO conflict (centre_id, conflict_id, person_id, other_id, words, declared_by, declared_at)
		VALUES ($1, $2, $3, $4, 'They share a house.', $5, $6)`, b.centre, id, b.ann, b.bob, b.tutor, monday); err != nil {
		t.Fatal(err)
	}
	if n, err := b.UnloggedRecords(t.Context(), b.centre); n != 1 || err != nil {
		t.Errorf("%d have no entry (%v), want 1", n, err)
	}
	if n, err := b.BackfillLog(t.Context(), b.centre); n != 1 || err != nil {
		t.Errorf("%d were appended (%v), want 1", n, err)
	}
	entries, err := b.LogEntriesOf(t.Context(), b.centre, id)
	if err != nil || len(entries) != 1 {
		t.Fatalf("%d entries, %v", len(entries), err)
	}
	leaf, err := ledger.ReadLeaf(entries[0].Leaf)
	if err != nil || !leaf.Backfilled || leaf.Kind != ledger.KindConflict || !leaf.At.Equal(monday) {
		t.Errorf("%+v, %v", leaf, err)
	}
	if !slices.ContainsFunc(entries[0].Openings, func(o ledger.Opening) bool { return leaf.OpenedBy(o) }) {
		t.Error("nothing opens it")
	}
}
