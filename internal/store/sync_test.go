package store_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// A commit that waits for a standby which never answers is cancelled. The server says that it is committed; the store
// must not. The server of this test is its own, because it is told to wait for a standby that is not there.
func TestCancelledWaitForStandbyIsNoCommit(t *testing.T) {
	ctx := t.Context()
	server, err := localpg.Start(ctx, localpg.Options{Dir: filepath.Join(reachable(t), "pg"), Fast: true})
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := server.Stop(); err != nil {
			t.Error(err)
		}
	}()
	root := server.URL(localpg.Superuser, "postgres")
	if err := store.Migrate(ctx, root); err != nil {
		t.Fatal(err)
	}
	super := connect(t, root)
	run(t, super, `ALTER ROLE witnessmark_app SET synchronous_commit = on`)
	s, err := store.Open(ctx, server.URL(store.Role, "postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c, err := s.CreateCentre(ctx, "C", "Centre", monday)
	if err != nil {
		t.Fatal(err)
	}
	id := newID(t)
	add := func() error {
		return s.Write(ctx, c.ID, func(tx *store.Tx) error { return tx.AddCohort(ctx, id, "Year 1", monday) })
	}

	waitFor(t, super, "nobody")
	ended := make(chan error, 1)
	go func() { ended <- add() }()
	for cancelled := 0; cancelled == 0; time.Sleep(5 * time.Millisecond) {
		cancelled = value[int](t, super, `SELECT count(pg_cancel_backend(pid)) FROM pg_stat_activity WHERE wait_event = 'SyncRep'`)
		if cancelled > 0 {
			break // from here on it may end at any moment
		}
		select {
		case err := <-ended:
			t.Fatalf("the commit did not wait for the standby: %v", err)
		default:
		}
	}
	if err := <-ended; !errors.Is(err, store.ErrNotReplicated) {
		t.Errorf("got %v, want %v", err, store.ErrNotReplicated)
	}
	if n := value[int](t, super, `SELECT count(*) FROM cohort WHERE cohort_id = $1`, id); n != 1 {
		t.Errorf("%d rows here, want 1: the server did commit", n)
	}
	// The connection is good for the next transaction, which is confirmed.
	waitFor(t, super, "")
	id = newID(t)
	if err := s.Write(ctx, c.ID, func(tx *store.Tx) error { return tx.AddCohort(ctx, id, "Year 2", monday) }); err != nil {
		t.Errorf("the next write: %v", err)
	}
}

// waitFor makes every commit wait for the named standby; "" for none.
func waitFor(t *testing.T, super *pgx.Conn, standby string) {
	t.Helper()
	run(t, super, `ALTER SYSTEM SET synchronous_standby_names = '`+standby+`'`)
	run(t, super, `SELECT pg_reload_conf()`)
	for value[string](t, super, `SHOW synchronous_standby_names`) != standby {
		time.Sleep(5 * time.Millisecond)
	}
}
