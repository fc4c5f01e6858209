package store_test

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Held sheets are the sheets that anybody reads, less what LockWork says that it leaves out.
func TestLockedSheets(t *testing.T) {
	b := newBench(t)
	b.work(t)
	ctx := t.Context()
	want, err := b.JobSheet(ctx, b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	b.write(t, func(tx *store.Tx) error {
		whole, err := tx.LockJobSheet(ctx, b.annDoes)
		if d := cmp.Diff(want, whole); err != nil || d != "" {
			t.Errorf("LockJobSheet: %v (-want +got):\n%s", err, d)
		}
		work, err := tx.LockWork(ctx, b.annDoes)
		light := store.JobSheet{Attempt: want.Attempt, Brief: want.Brief, Entries: want.Entries, Evidence: want.Evidence}
		light.Brief.Source = ""
		if d := cmp.Diff(light, work); err != nil || d != "" {
			t.Errorf("LockWork: %v (-want +got):\n%s", err, d)
		}
		source, err := tx.BriefSource(ctx, want.Brief.Brief, want.Brief.Version)
		if err != nil || source != want.Brief.Source {
			t.Errorf("BriefSource = %q, %v; want %q", source, err, want.Brief.Source)
		}
		if _, err := tx.LockWork(ctx, newID(t)); fault.KindOf(err) != fault.KindNotFound {
			t.Errorf("LockWork of nothing: %v, want NotFound", err)
		}
		return nil
	})
}

// What is read in the same round trip as the hold is read after the hold began.
func TestLockedSheetSeesWhatItWaitedFor(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	held, waits, done := make(chan struct{}), make(chan struct{}), make(chan error, 1)
	go func() {
		done <- b.Write(ctx, b.centre, func(tx *store.Tx) error {
			_, err := tx.LockAttempt(ctx, b.annDoes)
			close(held)
			<-waits
			if err == nil {
				_, err = tx.AddEntries(ctx, b.annDoes, []store.Entry{b.typed(t, "flow", "69.8")})
			}
			return err
		})
	}()
	<-held
	read := make(chan store.JobSheet, 1)
	go func() {
		var j store.JobSheet
		err := b.Write(ctx, b.centre, func(tx *store.Tx) (err error) {
			j, err = tx.LockWork(ctx, b.annDoes)
			return err
		})
		if err != nil {
			t.Error(err)
		}
		read <- j
	}()
	super := connect(t, b.urls.Super)
	for value[int](t, super, `SELECT count(*) FROM pg_stat_activity WHERE wait_event_type = 'Lock' AND datname = current_database()`) == 0 {
	}
	close(waits)
	if err := <-done; err != nil {
		t.Fatal(err)
	}
	if j := <-read; len(j.Entries) != 1 {
		t.Errorf("the waiting hold read %d entries, want the 1 that it waited for", len(j.Entries))
	}
}
