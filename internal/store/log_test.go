package store_test

import (
	"bytes"
	"errors"
	"sync"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// wholeLog reads a centre's log and rebuilds its tree from the leaves alone: what is stored must be the same.
func wholeLog(t *testing.T, s *store.Store, centre int64) []store.LogEntry {
	t.Helper()
	entries, err := s.LogEntries(t.Context(), centre, 0, 100000)
	if err != nil {
		t.Fatal(err)
	}
	leaves := make([][]byte, len(entries))
	for i, e := range entries {
		if e.Index != int64(i) {
			t.Fatalf("entry %d stands in place %d: the log has a gap", e.Index, i)
		}
		leaves[i] = e.Leaf
	}
	want, err := ledger.Grow(0, leaves, ledger.Hashes{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.LogHashRows(t.Context(), centre, 0, 1000000)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != len(want) {
		t.Fatalf("%d hashes are stored, the leaves have %d", len(got), len(want))
	}
	for i := range want {
		if got[i] != want[i] {
			t.Fatalf("hash %d is not that of the leaves", i)
		}
	}
	return entries
}

// A record's entry opens to the record's own bytes and to what the decision rests on, and shows neither.
func TestRecordIsLogged(t *testing.T) {
	b := full(t)
	r := b.record(t, decision.KindCriterion, "U1/1.1", "met")
	r.Words = "Canary words"
	b.write(t, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), r) })
	before := wholeLog(t, b.Store, b.centre)
	b.write(t, func(tx *store.Tx) error { return tx.AppendRecord(t.Context(), r) }) // the same again
	entries := wholeLog(t, b.Store, b.centre)
	if len(entries) != len(before) {
		t.Errorf("the same record again has another entry")
	}
	e := entries[len(entries)-1]
	if e.Kind != "criterion_decision" || e.Record != r.ID || e.Subject != r.Attempt {
		t.Fatalf("got %+v", e)
	}
	s, err := ledger.ReadLeaf(e.Leaf)
	if err != nil {
		t.Fatal(err)
	}
	canonical, err := r.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	opened := map[string]string{}
	for _, o := range e.Openings {
		if !s.OpenedBy(o) {
			t.Errorf("%s does not open", o.Name)
		}
		opened[o.Name] = string(o.Value)
	}
	if opened["record"] != string(canonical) {
		t.Errorf("got the record %s, want %s", opened["record"], canonical)
	}
	if want := []byte("photo " + hexOf("jpeg")); !bytes.Contains([]byte(opened["basis"]), want) || !bytes.Contains([]byte(opened["basis"]), []byte(`"engine":"m1"`)) {
		t.Errorf("got the basis %s, want %s in it and the marker's edition", opened["basis"], want)
	}
	for _, tell := range []string{"Canary", "Tess", r.Attempt.String(), r.ID.String(), hexOf("jpeg")} {
		if bytes.Contains(e.Leaf, []byte(tell)) {
			t.Errorf("the leaf tells %s: %s", tell, e.Leaf)
		}
	}
}

// What is not committed is not in the log, and what is has its entry.
func TestLogGoesWithTheTransaction(t *testing.T) {
	b := newBench(t)
	no := errors.New("no")
	if err := b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
		tx.Log(t.Context(), ledger.Leaf{Kind: "ruling", Subject: newID(t), At: monday})
		return errors.Join(tx.AppendRecord(t.Context(), b.record(t, decision.KindHoldRelease, "s", "released")), no)
	}); !errors.Is(err, no) {
		t.Fatal(err)
	}
	if got := wholeLog(t, b.Store, b.centre); len(got) != 0 {
		t.Errorf("%d entries of what was undone", len(got))
	}
	subject := newID(t)
	b.write(t, func(tx *store.Tx) error {
		tx.Log(t.Context(), ledger.Leaf{Kind: "ruling", Subject: subject, At: monday, Facts: map[string]string{"criterion": "U1/1.1"}, Secrets: map[string]string{"words": "w"}})
		return tx.AppendRecord(t.Context(), b.record(t, decision.KindHoldRelease, "s", "released"))
	})
	wholeLog(t, b.Store, b.centre)
	entries, err := b.LogEntriesOf(t.Context(), b.centre, subject)
	if err != nil || len(entries) != 1 || len(entries[0].Openings) != 1 || string(entries[0].Openings[0].Value) != "w" {
		t.Errorf("got %+v, %v", entries, err)
	}
	b.write(t, func(tx *store.Tx) error { return tx.ForgetLogSecrets(t.Context(), subject) })
	entries, err = b.LogEntriesOf(t.Context(), b.centre, subject)
	if err != nil || len(entries) != 1 || len(entries[0].Openings) != 0 {
		t.Errorf("after erasing got %+v, %v", entries, err)
	}
	wholeLog(t, b.Store, b.centre)
}

// Sixteen write at once, in two centres: no place is taken twice or left empty, and each earlier state is a beginning of the last.
func TestSixteenAppendAtOnce(t *testing.T) {
	b := newBench(t)
	other := addBench(t, b.Store, b.urls, "-2")
	const writers, each = 16, 8
	sizes := make(chan int64, writers*each)
	var all sync.WaitGroup
	for w := range writers {
		all.Go(func() {
			at := b
			if w%4 == 3 {
				at = other
			}
			for range each {
				if err := at.Write(t.Context(), at.centre, func(tx *store.Tx) error {
					return tx.AppendRecord(t.Context(), at.record(t, decision.KindHoldRelease, uuid.NewString(), "released"))
				}); err != nil {
					t.Error(err)
				}
				if w%4 != 3 {
					st, err := b.LogState(t.Context(), b.centre)
					if err != nil {
						t.Error(err)
					}
					sizes <- st.Size
				}
			}
		})
	}
	all.Wait()
	close(sizes)
	entries := wholeLog(t, b.Store, b.centre)
	if len(entries) != writers*each*3/4 || len(wholeLog(t, b.Store, other.centre)) != writers*each/4 {
		t.Fatalf("%d entries, want %d", len(entries), writers*each*3/4)
	}
	hashes := b.LogHashes(t.Context(), b.centre)
	last := int64(len(entries))
	root, err := ledger.Root(last, hashes)
	if err != nil {
		t.Fatal(err)
	}
	for size := range sizes {
		old, err := ledger.Root(size, hashes)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := ledger.Continues(ledger.Checkpoint{Size: size, Root: old}, last, root, hashes); err != nil {
			t.Error(err)
		}
	}
}

// Records from before there was a log are appended once, marked as late.
func TestBackfill(t *testing.T) {
	b := newBench(t)
	b.write(t, func(tx *store.Tx) error {
		return tx.AppendRecord(t.Context(), b.record(t, decision.KindHoldRelease, "now", "released"))
	})
	super := connect(t, b.urls.Super)
	run(t, super, `INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		SELECT centre_id, gen_random_uuid(), attempt_id, kind, 'n' || n, outcome, reason, words, value, evidence, by_id, by_name, role, at, convert_to(n::text, 'UTF8')
		FROM record, generate_series(1, 2500) n`)
	var all sync.WaitGroup
	total := make(chan int, 2)
	for range 2 {
		all.Go(func() {
			n, err := b.BackfillLog(t.Context(), b.centre)
			if err != nil {
				t.Error(err)
			}
			total <- n
		})
	}
	all.Wait()
	if got := <-total + <-total; got != 2500 {
		t.Errorf("%d appended, want 2500", got)
	}
	entries := wholeLog(t, b.Store, b.centre)
	if len(entries) != 2501 {
		t.Fatalf("%d entries, want 2501", len(entries))
	}
	for i, e := range entries {
		s, err := ledger.ReadLeaf(e.Leaf)
		if err != nil || s.Backfilled != (i > 0) {
			t.Fatalf("entry %d: marked late: %v, %v", i, s.Backfilled, err)
		}
	}
	if n, err := b.BackfillLog(t.Context(), b.centre); n != 0 || err != nil {
		t.Errorf("again: %d, %v", n, err)
	}
}

func TestCentresAreListed(t *testing.T) {
	b := newBench(t)
	other := addBench(t, b.Store, b.urls, "-2")
	got, err := b.Centres(t.Context())
	if err != nil || len(got) != 2 || got[0] != b.centre || got[1] != other.centre {
		t.Errorf("got %v, %v", got, err)
	}
}

// fillLog gives the log a key, a signed state and a witness's signature under it.
func (b bench) fillLog(t *testing.T) {
	t.Helper()
	b.write(t, func(tx *store.Tx) error {
		tx.Log(t.Context(), ledger.Leaf{Kind: "ruling", Subject: newID(t), At: monday, Secrets: map[string]string{"words": "w"}})
		return errors.Join(
			tx.AddLogKey(t.Context(), store.LogKey{ID: "0123abcd", Text: "c/log+0123abcd+key", MadeAt: monday}, monday),
			tx.AddLogCheckpoint(t.Context(), store.LogCheckpoint{Size: 1, Root: sum("root"), Note: "c/log\n1\n", CreatedAt: monday}),
			tx.AddCosignature(t.Context(), 1, "body/verifier", "key", "line\n", monday))
	})
}
