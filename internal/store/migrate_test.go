package store_test

import (
	"errors"
	"io/fs"
	"maps"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-migrate/migrate/v4"
	"github.com/google/go-cmp/cmp"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
	"witnessmark/migrations"
)

// schema describes every column, index, constraint, policy, trigger, function and right, one a line.
func schema(t *testing.T, url string) []string {
	t.Helper()
	conn := connect(t, url)
	rows, err := conn.Query(t.Context(), `
		WITH ours AS (SELECT oid, relname, relacl FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind IN ('r', 'S'))
		SELECT 'column ' || o.relname || '.' || a.attname || ' ' || format_type(a.atttypid, a.atttypmod) || a.attnotnull || coalesce(a.attacl::text, '')
			FROM ours o JOIN pg_attribute a ON a.attrelid = o.oid WHERE a.attnum > 0
		UNION ALL SELECT 'constraint ' || o.relname || ' ' || pg_get_constraintdef(k.oid) FROM ours o JOIN pg_constraint k ON k.conrelid = o.oid
		UNION ALL SELECT 'index ' || pg_get_indexdef(i.indexrelid) FROM ours o JOIN pg_index i ON i.indrelid = o.oid
		UNION ALL SELECT 'policy ' || o.relname || ' ' || p.polname || pg_get_expr(p.polqual, o.oid) FROM ours o JOIN pg_policy p ON p.polrelid = o.oid
		UNION ALL SELECT 'trigger ' || pg_get_triggerdef(g.oid) FROM ours o JOIN pg_trigger g ON g.tgrelid = o.oid WHERE NOT g.tgisinternal
		UNION ALL SELECT 'function ' || pg_get_functiondef(p.oid) || p.proowner::regrole || coalesce(p.proacl::text, '') FROM pg_proc p WHERE p.pronamespace = 'public'::regnamespace
		UNION ALL SELECT 'rights ' || o.relname || coalesce(o.relacl::text, '') FROM ours o
		ORDER BY 1`)
	if err != nil {
		t.Fatal(err)
	}
	lines, err := pgx.CollectRows(rows, pgx.RowTo[string])
	if err != nil {
		t.Fatal(err)
	}
	return lines
}

// step moves the schema with the migration library: up, down, or to a version.
func step(t *testing.T, url string, files fs.FS, do func(m *migrate.Migrate) error) error {
	t.Helper()
	cfg, err := pgx.ParseConfig(url)
	if err != nil {
		t.Fatal(err)
	}
	m, _, err := store.NewMigrator(cfg, files)
	if err != nil {
		t.Fatal(err)
	}
	defer func() {
		if from, to := m.Close(); from != nil || to != nil {
			t.Errorf("close: %v", errors.Join(from, to))
		}
	}()
	return do(m)
}

func TestUpDownUp(t *testing.T) {
	db := storetest.Empty(t)
	if err := store.Migrate(t.Context(), db.Owner); err != nil {
		t.Fatalf("up: %v", err)
	}
	want := schema(t, db.Owner)
	if err := store.Migrate(t.Context(), db.Owner); err != nil {
		t.Fatalf("up, nothing to do: %v", err)
	}
	if err := step(t, db.Owner, migrations.FS, (*migrate.Migrate).Down); err != nil {
		t.Fatalf("down: %v", err)
	}
	left := value[int](t, connect(t, db.Owner), `
		SELECT (SELECT count(*) FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relname NOT IN ('schema_migrations', 'schema_migrations_pkey', 'migration_done', 'migration_done_pkey'))
			+ (SELECT count(*) FROM pg_proc WHERE pronamespace = 'public'::regnamespace) + (SELECT count(*) FROM pg_namespace WHERE nspname = 'river')
			+ (SELECT count(*) FROM migration_done)`)
	if left != 0 {
		t.Errorf("%d things are left after going down", left)
	}
	if err := store.Migrate(t.Context(), db.Owner); err != nil {
		t.Fatalf("up again: %v", err)
	}
	if d := cmp.Diff(want, schema(t, db.Owner)); d != "" {
		t.Errorf("schema after up, down, up (-first +second):\n%s", d)
	}
	if err := storetest.Open(t, db.App).Check(t.Context()); err != nil {
		t.Error(err)
	}
}

// Every file is one implicit transaction, its pair is there, and the numbers have no gap: mend counts on that.
func TestMigrationFiles(t *testing.T) {
	names, err := fs.Glob(migrations.FS, "*")
	if err != nil {
		t.Fatal(err)
	}
	file := regexp.MustCompile(`^(\d{6})_[a-z_]+\.(up|down)\.sql$`)
	own := regexp.MustCompile(`(?im)^\s*(BEGIN|COMMIT|ROLLBACK|START TRANSACTION|END)\b\s*;|CONCURRENTLY`)
	seen := map[string]int{}
	for _, name := range names {
		m := file.FindStringSubmatch(name)
		if m == nil {
			t.Errorf("%s: not a migration's name", name)
			continue
		}
		seen[m[1]]++
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		if found := own.Find(text); found != nil {
			t.Errorf("%s: %q breaks the one implicit transaction", name, found)
		}
	}
	for i, number := range slices.Sorted(maps.Keys(seen)) {
		if n, err := strconv.Atoi(number); err != nil || n != i+1 || seen[number] != 2 {
			t.Errorf("migration %s: want number %d with an up and a down file", number, i+1)
		}
	}
}

// three is our first two migrations and a third that waits for a lock on centre.
func three(t *testing.T, third string) fstest.MapFS {
	t.Helper()
	files := fstest.MapFS{
		"000003_third.up.sql":   {Data: []byte(third)},
		"000003_third.down.sql": {Data: []byte(`DROP TABLE third;`)},
	}
	names, err := fs.Glob(migrations.FS, "00000[12]_*")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			t.Fatal(err)
		}
		files[name] = &fstest.MapFile{Data: text}
	}
	return files
}

// The connection of a running migration is killed in the middle of a file. Nothing of the file stays, the library is left
// with its flag up, and the next run goes through.
func TestKilledMigrationRunsAgain(t *testing.T) {
	db := storetest.Empty(t)
	files := three(t, `CREATE TABLE third (id int); LOCK TABLE centre; ALTER TABLE third ADD PRIMARY KEY (id);`)
	upToTheQueue(t, db.Owner, onlyFirst(files))
	super := connect(t, db.Super)
	run(t, super, `BEGIN`)
	run(t, super, `LOCK TABLE centre`)
	ended := make(chan error, 1)
	go func() { ended <- store.MigrateFrom(t.Context(), db.Owner, files) }()
	killer := connect(t, db.Super)
	for killed := 0; killed == 0; time.Sleep(5 * time.Millisecond) {
		killed = value[int](t, killer, `SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity
			WHERE datname = current_database() AND wait_event_type = 'Lock' AND query LIKE '%LOCK TABLE centre%' AND pid <> pg_backend_pid()`)
		if killed > 0 {
			break
		}
		select {
		case err := <-ended:
			t.Fatalf("the migration ended before it was killed: %v", err)
		default:
		}
	}
	if err := <-ended; err == nil {
		t.Fatal("a killed migration says that it went through")
	}
	run(t, super, `ROLLBACK`)
	if !value[bool](t, super, `SELECT dirty FROM schema_migrations`) {
		t.Fatal("the flag is not up, so this proves nothing")
	}
	if got := value[*string](t, super, `SELECT to_regclass('third')::text`); got != nil {
		t.Fatal("something of the killed file stayed")
	}
	upToTheQueue(t, db.Owner, files)
	if got := value[string](t, super, `SELECT version || ' ' || dirty FROM schema_migrations`); got != "3 false" {
		t.Errorf("schema stands at %q, want 3 false", got)
	}
	value[string](t, super, `SELECT 'third'::regclass::text`)
}

// upToTheQueue migrates files that stop short of the job queue's schema: only that last step may fail.
func upToTheQueue(t *testing.T, url string, files fs.FS) {
	t.Helper()
	if err := store.MigrateFrom(t.Context(), url, files); err == nil || !strings.Contains(err.Error(), "job queue") {
		t.Fatalf("got %v, want only the job queue to fail", err)
	}
}

// onlyFirst leaves the third migration out.
func onlyFirst(files fstest.MapFS) fstest.MapFS {
	first := maps.Clone(files)
	maps.DeleteFunc(first, func(name string, _ *fstest.MapFile) bool { return strings.HasPrefix(name, "000003") })
	return first
}

// The flag alone does not say what stayed; the marks do. Where they do not tell, a person has to look.
func TestFlagOfACutOffMigration(t *testing.T) {
	tests := []struct{ name, before, refusal string }{
		{"the file stayed, its flag was not taken down", `UPDATE schema_migrations SET dirty = true`, ""},
		{"going down did not happen", `UPDATE schema_migrations SET dirty = true, version = version - 1`, ""},
		{"a file of a newer program did not happen", `UPDATE schema_migrations SET dirty = true, version = version + 1`, ""},
		{"marks are missing", `UPDATE schema_migrations SET dirty = true; DELETE FROM migration_done WHERE version = 3`, "put them right by hand"},
		{"far from the marks", `UPDATE schema_migrations SET dirty = true, version = 2`, "put them right by hand"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			db := storetest.Migrated(t)
			want := schema(t, db.Owner)
			owner := connect(t, db.Owner)
			run(t, owner, test.before)
			err := store.Migrate(t.Context(), db.Owner)
			if test.refusal != "" {
				if err == nil || !strings.Contains(err.Error(), test.refusal) {
					t.Errorf("got %v, want %q in it", err, test.refusal)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if value[bool](t, owner, `SELECT dirty OR version <> (SELECT max(version) FROM migration_done) FROM schema_migrations`) {
				t.Error("the flag is still up, or the version wrong")
			}
			if d := cmp.Diff(want, schema(t, db.Owner)); d != "" {
				t.Errorf("schema (-before +after):\n%s", d)
			}
		})
	}
}

func TestMigrationsRunOneAtATime(t *testing.T) {
	db := storetest.Empty(t)
	ended := make(chan error, 3)
	for range cap(ended) {
		go func() { ended <- store.Migrate(t.Context(), db.Owner) }()
	}
	for range cap(ended) {
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}
}
