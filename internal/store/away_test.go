package store_test

import (
	"errors"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// Reads and writes say that the server is away, whichever notices first, and work again once it is back.
func TestServerAway(t *testing.T) {
	ctx := t.Context()
	dir := filepath.Join(reachable(t), "pg")
	server, err := localpg.Start(ctx, localpg.Options{Dir: dir, Fast: true})
	if err != nil {
		t.Fatal(err)
	}
	if err := store.Migrate(ctx, server.URL(localpg.Superuser, "postgres")); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(ctx, server.URL(store.Role, "postgres"))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	c, err := s.CreateCentre(ctx, "C", "Centre", monday)
	if err != nil {
		t.Fatal(err)
	}
	write := func() error {
		return s.Write(ctx, c.ID, func(tx *store.Tx) error { return tx.AddCohort(ctx, newID(t), "Year 1", monday) })
	}
	read := func() error {
		_, err := s.People(ctx, c.ID)
		return err
	}
	session := func() error {
		_, _, err := s.Sessions().FindCtx(ctx, "token")
		return err
	}
	if err := server.Stop(); err != nil {
		t.Fatal(err)
	}
	for range 2 { // first on the connection that is gone, then on none
		for name, act := range map[string]func() error{"write": write, "read": read, "session": session} {
			if err := act(); !errors.Is(err, store.ErrAway) {
				t.Errorf("%s while the server is away: %v, want %v", name, err, store.ErrAway)
			}
		}
	}
	if server, err = localpg.Start(ctx, localpg.Options{Dir: dir, Fast: true}); err != nil {
		t.Fatal(err)
	}
	defer func() {
		if err := server.Stop(); err != nil {
			t.Error(err)
		}
	}()
	if err := errors.Join(write(), read(), session()); err != nil {
		t.Errorf("once it is back: %v", err)
	}
}

func TestServersConditions(t *testing.T) {
	for code, want := range map[string]error{
		"53100": syscall.ENOSPC, "08006": store.ErrAway, "53300": store.ErrAway, "57P01": store.ErrAway, "57P03": store.ErrAway,
	} {
		if err := store.Translate(&pgconn.PgError{Code: code}); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", code, err, want)
		}
	}
	for _, code := range []string{"23503", "42601", "57014"} {
		if err := store.Translate(&pgconn.PgError{Code: code}); errors.Is(err, store.ErrAway) || errors.Is(err, syscall.ENOSPC) {
			t.Errorf("%s: %v, want neither", code, err)
		}
	}
}
