package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// decided is an installation with one centre, NORTH, whose log has three entries.
func decided(t *testing.T) (variables, storetest.Database) {
	t.Helper()
	urls := storetest.Migrated(t)
	env := settings(urls, t.TempDir())
	if _, err := do(t, env, "invite", "--centre", "NORTH", "--centre-name", "North Yard Training", "--name", "Ada Holm", "--sign-in-name", "ada"); err != nil {
		t.Fatal(err)
	}
	db := storetest.Open(t, urls.App)
	for range 3 {
		logSomething(t, db)
	}
	return env, urls
}

func logSomething(t *testing.T, db *store.Store) {
	t.Helper()
	if err := db.Write(t.Context(), 1, func(tx *store.Tx) error {
		tx.Log(t.Context(), ledger.Leaf{Kind: "ruling", Subject: uuid.New(), Facts: map[string]string{"criterion": "U1/1.1"}, Secrets: map[string]string{"words": "w"}})
		return nil
	}); err != nil {
		t.Fatal(err)
	}
}

func must[T any](t *testing.T) func(T, error) T {
	t.Helper()
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// A witness outside signs what the centre signed, twice, and the audit is held against it.
func TestKeysWitnessAndAudit(t *testing.T) {
	env, urls := decided(t)
	dir, text := t.TempDir(), must[string](t)
	in := func(name string) string { return filepath.Join(dir, name) }
	shown := text(do(t, env, "keys", "show", "--centre", "NORTH"))
	lines := strings.Split(shown, "\n")
	log := lines[1]
	contains(t, shown, "key, signs:", "checkpoint of ", "\n4\n", "\n— north.")
	seen := in("seen")
	mine := strings.Split(text(do(t, nil, "witness", "new", "body/verifier", "--key", in("private"))), "\n")[1]
	if info, err := os.Stat(in("private")); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the private key: %v, %v", info, err)
	}
	_, err := do(t, nil, "witness", "new", "body/verifier", "--key", in("private"))
	refused(t, err, "exists")
	for _, old := range []string{"0", "4"} {
		lay(t, in("request"), text(do(t, env, "keys", "show", "--centre", "NORTH", "--for-witness", old)))
		lay(t, in("signed"), text(do(t, nil, "witness", "sign", "--key", in("private"), "--log", log, "--seen", seen, in("request"))))
		contains(t, text(do(t, env, "keys", "cosign", "--centre", "NORTH", "--witness", mine, in("signed"))), "is kept")
		contains(t, text(do(t, env, "audit", "--centre", "NORTH", "--checkpoint", in("signed"), "--key", log, "--witness", mine)), "NORTH: whole. ", "body/verifier saw the checkpoint on")
		logSomething(t, storetest.Open(t, urls.App))
	}
	lay(t, in("request"), text(do(t, env, "keys", "show", "--centre", "NORTH", "--for-witness", "3")))
	_, err = do(t, nil, "witness", "sign", "--key", in("private"), "--log", log, "--seen", seen, in("request"))
	refused(t, err, "you last signed 5")
	contains(t, text(do(t, env, "keys", "show", "--centre", "NORTH", "--witnessed", "3")), "old 3\n", ".", "\n4\n", "\n— body/verifier ")
	_, err = do(t, env, "keys", "show", "--centre", "NORTH", "--witnessed", "6")
	refused(t, err, "No witness has signed the log since it had 6 entries")
	contains(t, text(do(t, env, "keys", "rotate", "--centre", "NORTH")), "from 6 entries on")
	contains(t, text(do(t, env, "keys", "show", "--centre", "NORTH")), "key, of the log up to 6 entries", "key, signs:")
	contains(t, text(do(t, env, "audit")), "NORTH: whole. 7 entries", "stated by the centre alone")

	super, err := pgx.Connect(t.Context(), urls.Super)
	if err != nil {
		t.Fatal(err)
	}
	defer super.Close(t.Context())
	if _, err := super.Exec(t.Context(), `SET session_replication_role = replica; DELETE FROM log_entry WHERE idx = 2`); err != nil {
		t.Fatal(err)
	}
	out, err := do(t, env, "audit")
	if codeOf(err) != 1 {
		t.Errorf("exit code %d, want 1", codeOf(err))
	}
	contains(t, out, "NORTH: NOT WHOLE. ", "Entry 2 is missing.")
}

func TestKeysRefuse(t *testing.T) {
	env, _ := decided(t)
	_, err := do(t, env, "keys", "show", "--centre", "SOUTH")
	refused(t, err, "no centre with the code SOUTH")
	_, err = do(t, env, "keys", "accept-rollback", "--centre", "NORTH", "--reason", "none")
	refused(t, err, "nothing to accept")
	_, err = do(t, env, "audit", "--key", "k")
	refused(t, err, "--checkpoint")
	if err := os.Chmod(filepath.Join(env["WITNESSMARK_DATA"], "keys"), 0o755); err != nil {
		t.Fatal(err)
	}
	_, err = do(t, env, "keys", "show", "--centre", "NORTH")
	refused(t, err, "chmod 700")
}

func lay(t *testing.T, name, text string) {
	t.Helper()
	if err := os.WriteFile(name, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}
