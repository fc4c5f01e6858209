package store_test

import (
	"slices"
	"testing"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// The second time a statement comes its places are known already; both times it is as strict as pgx's own named arguments.
func TestArgs(t *testing.T) {
	conn, err := pgx.Connect(t.Context(), storetest.Empty(t).Super)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := conn.Close(t.Context()); err != nil {
			t.Logf("close: %v", err) // the test's context has ended
		}
	})
	const sql = `SELECT @b, @a, @b, '@c'`
	for range 2 {
		got, values, err := store.Args{"a": 1, "b": "x"}.RewriteQuery(t.Context(), conn, sql, nil)
		wantSQL, want, wantErr := pgx.StrictNamedArgs{"a": 1, "b": "x"}.RewriteQuery(t.Context(), conn, sql, nil)
		if err != nil || wantErr != nil || got != wantSQL || !slices.Equal(values, want) {
			t.Errorf("got %q %v %v, want %q %v %v", got, values, err, wantSQL, want, wantErr)
		}
		for _, wrong := range []store.Args{{}, {"a": 1}, {"a": 1, "c": 2}, {"a": 1, "b": 2, "c": 3}} {
			if got, values, err := wrong.RewriteQuery(t.Context(), conn, sql, nil); err == nil {
				t.Errorf("%v: got %q %v, want trouble", wrong, got, values)
			}
		}
	}
}
