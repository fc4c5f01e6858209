package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// rows are all rows of all tables as text, sorted, by table.
func rowsOf(t *testing.T, address string) map[string]string {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), address)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close(context.WithoutCancel(t.Context()))
	names, err := conn.Query(t.Context(), `SELECT c.oid::regclass::text FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
		WHERE c.relkind = 'r' AND n.nspname IN ('public', 'river')`)
	if err != nil {
		t.Fatal(err)
	}
	tables, err := pgx.CollectRows(names, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, name := range tables {
		var text string
		if err := conn.QueryRow(t.Context(), `SELECT coalesce(string_agg(r::text, E'\n' ORDER BY r::text COLLATE "C"), '') FROM `+name+` r`).Scan(&text); err != nil {
			t.Fatal(err)
		}
		out[name] = text
	}
	return out
}

// filesOf are all files below a folder, with their bytes.
func filesOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		out[name] = string(text)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// asSuper is the installation's settings where the owner's address is a superuser's, as the compose file has it.
func asSuper(env variables, urls storetest.Database, data string) variables {
	out := maps.Clone(env)
	out["DATABASE_URL"], out["MIGRATE_DATABASE_URL"], out["WITNESSMARK_DATA"] = urls.App, urls.Super, data
	return out
}

// What was backed up comes back with the same rows, the same bytes and the same keys, and its logs are whole.
func TestBackupComesBackTheSame(t *testing.T) {
	env, urls := decided(t)
	data := env["WITNESSMARK_DATA"]
	env = asSuper(env, urls, data)
	text := must[string](t)
	text(do(t, env, "keys", "show", "--centre", "NORTH"))
	text(do(t, env, "keys", "certificate", "--centre", "NORTH", "--new"))
	blobs, err := blob.OpenFolder(filepath.Join(data, "evidence"))
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range []string{"one", "two", strings.Repeat("three", 100000)} {
		if _, _, err := blobs.Put(t.Context(), strings.NewReader(b), 1<<20); err != nil {
			t.Fatal(err)
		}
	}
	dir := filepath.Join(t.TempDir(), "backup")
	contains(t, text(do(t, env, "backup", "--with-keys", dir)), "was read again", "keys of decision logs are in it")
	if out, err := exec.CommandContext(t.Context(), "sh", "-c", "cd "+dir+" && sha256sum -c SHA256SUMS").CombinedOutput(); err != nil {
		t.Errorf("sha256sum: %v\n%s", err, out)
	}

	empty, other := storetest.Empty(t), filepath.Join(t.TempDir(), "data")
	back := asSuper(env, empty, other)
	contains(t, text(do(t, back, "restore", dir)), "Restored from")
	want, got := rowsOf(t, urls.Super), rowsOf(t, empty.Super)
	for _, name := range slices.Sorted(maps.Keys(want)) {
		if got[name] != want[name] {
			t.Errorf("table %s:\n got %s\nwant %s", name, got[name], want[name])
		}
	}
	if len(got) != len(want) || want["log_entry"] == "" || want["log_checkpoint"] == "" || want["person"] == "" {
		t.Errorf("%d tables, want %d, some of them with rows", len(got), len(want))
	}
	for _, part := range []string{"evidence", "keys"} {
		if w := filesOf(t, filepath.Join(data, part)); len(w) < 2 || !maps.Equal(filesOf(t, filepath.Join(other, part)), w) {
			t.Errorf("%s: %d files, not the same", part, len(w))
		}
	}
	contains(t, text(do(t, back, "audit")), "NORTH: whole. 4 entries")

	_, err = do(t, back, "restore", dir)
	refused(t, err, "has tables")
	_, err = do(t, env, "backup", dir)
	refused(t, err, "is there already")
	damaged := filepath.Join(dir, "database.dump")
	dump, err := os.ReadFile(damaged)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(damaged, bytes.Replace(dump, dump[len(dump)/2:len(dump)/2+8], []byte("damaged!"), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = do(t, asSuper(env, storetest.Empty(t), t.TempDir()), "restore", dir)
	refused(t, err, "is damaged")
}

// A machine that never ran the program has none of its database roles: a backup brings the centre back there too.
func TestBackupComesBackOnANewMachine(t *testing.T) {
	text, from, to := must[string](t), demoDir(t), demoDir(t)
	text(do(t, nil, append(slices.Clone(first), "--data", from)...))
	dir := filepath.Join(t.TempDir(), "backup")
	text(do(t, nil, "backup", "--with-keys", dir, "--data", from))
	contains(t, text(do(t, nil, "restore", dir, "--data", to)), "Restored from")
	contains(t, text(do(t, nil, "audit", "--data", to)), "NORTHGATE: whole")
}

// An older backup beside keys that have signed since: nothing is signed until somebody says so.
func TestOlderBackupIsNotSigned(t *testing.T) {
	env, urls := decided(t)
	data := env["WITNESSMARK_DATA"]
	env = asSuper(env, urls, data)
	text := must[string](t)
	text(do(t, env, "keys", "show", "--centre", "NORTH"))
	dir := filepath.Join(t.TempDir(), "older")
	text(do(t, env, "backup", dir, "--with-keys"))
	logSomething(t, storetest.Open(t, urls.App))
	text(do(t, env, "keys", "show", "--centre", "NORTH"))

	back := asSuper(env, storetest.Empty(t), t.TempDir())
	back["WITNESSMARK_KEYS"] = filepath.Join(data, "keys")
	contains(t, text(do(t, back, "restore", dir)), "Restored from", "is not signed", "accept-rollback --centre NORTH")
	_, err := do(t, back, "keys", "show", "--centre", "NORTH")
	refused(t, err, "the log has 4 entries, and had 5")
	contains(t, text(do(t, back, "keys", "accept-rollback", "--centre", "NORTH", "--reason", "The disk failed.")), "goes on from here, signed at 5 entries")
	contains(t, text(do(t, back, "audit")), "NORTH: whole. 5 entries")
}

func TestBackupNeedsARoleThatSeesAll(t *testing.T) {
	urls := storetest.Migrated(t)
	_, err := do(t, settings(urls, t.TempDir()), "backup", filepath.Join(t.TempDir(), "b"))
	refused(t, err, "does not see every centre's rows")
}

// erasable is a trainee with a file that proves what they learned before, and the file's digest.
func erasable(t *testing.T, db *store.Store, blobs *blob.Folder) (uuid.UUID, blob.Digest) {
	t.Helper()
	ctx, tom, prior := t.Context(), uuid.New(), uuid.New()
	digest, size, err := blobs.Put(ctx, strings.NewReader("Tom's letter"), 100)
	if err != nil {
		t.Fatal(err)
	}
	at := time.Date(2020, 1, 2, 9, 0, 0, 0, time.UTC)
	err = db.Write(ctx, 1, func(tx *store.Tx) error {
		return errors.Join(
			tx.AddPerson(ctx, store.Person{ID: tom, Name: "Tom Canary", SignInName: "tom.canary", Roles: []account.Role{account.Trainee}, CreatedAt: at}),
			tx.SaveUnit(ctx, store.Unit{Code: "H2", Title: "Heating", Edition: "1"}),
			tx.AddPrior(ctx, store.Prior{ID: prior, Trainee: tom, Unit: "H2", Criteria: []string{"H2/1.1"}, Words: "Two years.", By: tom, At: at}),
			tx.AddPriorFile(ctx, store.PriorFile{ID: uuid.New(), Prior: prior, Name: "tom-canary.pdf", MediaType: "application/pdf", Size: size, Digest: digest.String(), By: tom, At: at}))
	})
	if err != nil {
		t.Fatal(err)
	}
	return tom, digest
}

// erase has a trainee's details erased with their file, and notes it beside the evidence, as the jobs do.
func erase(t *testing.T, db *store.Store, blobs *blob.Folder, person uuid.UUID, file blob.Digest) {
	t.Helper()
	ctx, purge, at := t.Context(), uuid.New(), time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)
	managers, err := db.WhoHas(ctx, 1, account.Manager)
	if err != nil {
		t.Fatal(err)
	}
	item := store.PurgeItem{Item: person, Person: person, Due: at, Rule: "details: 36 months"}
	e := store.Erasure{Centre: 1, Item: person, Person: person, Purge: purge, Rule: item.Rule, Approved: managers[0].ID, At: at}
	line, err := json.Marshal(e)
	if err != nil {
		t.Fatal(err)
	}
	err = db.Write(ctx, 1, func(tx *store.Tx) error {
		other := uuid.New()
		if err := errors.Join(
			tx.AddPerson(ctx, store.Person{ID: other, Name: "Bea Second", SignInName: "bea", Roles: []account.Role{account.Manager}, CreatedAt: at}),
			tx.AddPurge(ctx, store.Purge{ID: purge, ProposedBy: other, ProposedAt: at.AddDate(0, 0, -15)}, []store.PurgeItem{item}),
			tx.ApprovePurge(ctx, purge, managers[0].ID, at), blobs.NoteErasure(line)); err != nil {
			return err
		}
		_, err := tx.Erase(ctx, purge, item, at)
		return err
	})
	if err := errors.Join(err, blobs.Remove(file)); err != nil {
		t.Fatal(err)
	}
}

// What was erased after a backup was made stays erased when that is restored: its words and its bytes, by a list that is newer than
// the backup.
func TestRestoredStaysErased(t *testing.T) {
	env, urls := decided(t)
	data, text := env["WITNESSMARK_DATA"], must[string](t)
	env = asSuper(env, urls, data)
	blobs, err := blob.OpenFolder(filepath.Join(data, "evidence"))
	if err != nil {
		t.Fatal(err)
	}
	db := storetest.Open(t, urls.App)
	tom, digest := erasable(t, db, blobs)
	before, after := filepath.Join(t.TempDir(), "before"), filepath.Join(t.TempDir(), "after")
	text(do(t, env, "backup", before))
	erase(t, db, blobs, tom, digest)
	text(do(t, env, "backup", after))
	list, err := os.ReadFile(filepath.Join(data, "evidence", blob.ErasuresFile))
	if err != nil {
		t.Fatal(err)
	}

	restored := func(backup string, list []byte) (said string, database storetest.Database, bytes bool) {
		to, into := t.TempDir(), storetest.Empty(t)
		if list != nil {
			if err := os.MkdirAll(filepath.Join(to, "evidence"), 0o700); err != nil {
				t.Fatal(err)
			}
			lay(t, filepath.Join(to, "evidence", blob.ErasuresFile), string(list))
		}
		said = text(do(t, asSuper(env, into, to), "restore", backup))
		for name := range filesOf(t, filepath.Join(to, "evidence")) {
			bytes = bytes || strings.Contains(strings.ReplaceAll(name, string(filepath.Separator), ""), digest.String())
		}
		return said, into, bytes
	}
	for _, test := range []struct {
		name, backup string
		list         []byte
		again, back  bool
	}{
		{"without the newer list it would be back", before, nil, false, true},
		{"with the newer list", before, append([]byte(`{"item":"cut o`+"\n"), list...), true, false},
		{"a backup from after", after, nil, false, false},
	} {
		t.Run(test.name, func(t *testing.T) {
			said, database, bytes := restored(test.backup, test.list)
			if strings.Contains(said, "Erased again what had been erased since: 1.") != test.again || strings.Contains(said, "1 lines") != (test.list != nil) {
				t.Errorf("said %s", said)
			}
			all := fmt.Sprint(rowsOf(t, database.Super))
			if back := strings.Contains(all, "Tom Canary") || strings.Contains(all, "tom-canary.pdf"); back != test.back {
				t.Errorf("the words are there: %v", back)
			}
			if bytes != test.back {
				t.Errorf("the bytes are there: %v", bytes)
			}
		})
	}
}
