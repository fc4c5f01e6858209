package store_test

import (
	"errors"
	"path/filepath"
	"testing"
	"time"

	"github.com/google/uuid"
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
	var id uuid.UUID
	add := func() <-chan error {
		ended := make(chan error, 1)
		id = newID(t)
		go func() {
			ended <- s.Write(ctx, c.ID, func(tx *store.Tx) error { return tx.AddCohort(ctx, id, "Year "+id.String(), monday) })
		}()
		return ended
	}

	waitFor(t, super, "nobody")
	if err := cancelled(t, super, add); !errors.Is(err, store.ErrNotReplicated) {
		t.Errorf("got %v, want %v", err, store.ErrNotReplicated)
	}
	if n := value[int](t, super, `SELECT count(*) FROM cohort WHERE cohort_id = $1`, id); n != 1 {
		t.Errorf("%d rows here, want 1: the server did commit", n)
	}
	// The connection is good for the next transaction, which is confirmed.
	waitFor(t, super, "")
	if err := <-add(); err != nil {
		t.Errorf("the next write: %v", err)
	}
}

// cancelled gives how a commit ends that is cancelled while it waits for a standby. The server's checkpointer hears last that there
// is one to wait for; until then commits end at once, and the next one is tried.
func cancelled(t *testing.T, super *pgx.Conn, add func() <-chan error) error {
	t.Helper()
	const waiting = `SELECT count(pg_cancel_backend(pid)) FROM pg_stat_activity WHERE wait_event = 'SyncRep'`
	for until := time.Now().Add(time.Minute); time.Now().Before(until); {
		ended := add()
		for open := true; open; time.Sleep(5 * time.Millisecond) {
			if value[int](t, super, waiting) > 0 {
				return <-ended
			}
			select {
			case err := <-ended:
				if err != nil {
					return err
				}
				open = false
			default:
			}
		}
	}
	t.Fatal("no commit waited for the standby")
	return nil
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
