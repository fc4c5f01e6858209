package store

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"log/slog"
	"slices"
	"strings"

	"github.com/golang-migrate/migrate/v4"
	"github.com/golang-migrate/migrate/v4/database"
	migratepgx "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source"
	"github.com/golang-migrate/migrate/v4/source/iofs"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/jackc/pgx/v5/stdlib"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
	"github.com/riverqueue/river/rivermigrate"

	"witnessmark/migrations"
)

// migrateLock is the advisory lock that lets one migration run at a time, River's included; the number is ours.
const migrateLock = 0x7769746e657373 // "witness"

// Migrate brings the database at ownerURL up to this program's schema: our migrations, then the job queue's, then the
// plain role's rights on the queue. ownerURL names the owner of the tables, on a direct connection (a pooler in
// transaction mode would lose the lock). Running it again does nothing; a run that was cut off is mended by the next.
func Migrate(ctx context.Context, ownerURL string) error {
	return migrateFrom(ctx, ownerURL, migrations.FS)
}

func migrateFrom(ctx context.Context, ownerURL string, files fs.FS) error {
	cfg, err := pgxpool.ParseConfig(ownerURL)
	if err != nil {
		return fmt.Errorf("read the database address: %w", err)
	}
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return fmt.Errorf("open the database: %w", err)
	}
	defer pool.Close()
	lock, err := pool.Acquire(ctx)
	if err != nil {
		return fmt.Errorf("connect to the database: %w", err)
	}
	// The lock ends with its session, so this connection is closed and never goes back to the pool.
	defer func() { _ = lock.Hijack().Close(context.WithoutCancel(ctx)) }()
	if _, err := lock.Exec(ctx, `SELECT pg_advisory_lock($1)`, int64(migrateLock)); err != nil {
		return fmt.Errorf("wait for another migration to end: %w", err)
	}
	if _, err := lock.Exec(ctx, `CREATE TABLE IF NOT EXISTS migration_done (version bigint PRIMARY KEY)`); err != nil {
		return fmt.Errorf("prepare migrations: %w", err)
	}
	m, drv, err := newMigrator(cfg.ConnConfig, files)
	if err != nil {
		return err
	}
	err = mend(ctx, lock.Conn(), drv)
	if err == nil {
		err = up(m)
	}
	if from, to := m.Close(); from != nil || to != nil {
		err = errors.Join(err, from, to)
	}
	if err != nil {
		return fmt.Errorf("migrate the database: %w", err)
	}
	return migrateQueue(ctx, pool)
}

func up(m *migrate.Migrate) error {
	if err := m.Up(); err != nil && !errors.Is(err, migrate.ErrNoChange) {
		return err
	}
	return nil
}

// newMigrator joins the files to the database. The caller closes it.
func newMigrator(cfg *pgx.ConnConfig, files fs.FS) (*migrate.Migrate, database.Driver, error) {
	src, err := iofs.New(files, ".")
	if err != nil {
		return nil, nil, fmt.Errorf("read the migrations: %w", err)
	}
	drv, err := migratepgx.WithInstance(stdlib.OpenDB(*cfg), &migratepgx.Config{})
	if err != nil {
		return nil, nil, fmt.Errorf("prepare migrations: %w", err)
	}
	m, err := migrate.NewWithInstance("files", marked{src}, "database", drv)
	if err != nil {
		return nil, nil, fmt.Errorf("prepare migrations: %w", err)
	}
	return m, drv, nil
}

// marked is the migrations with a mark at the end of each: a row of migration_done that is added, or taken away, in the
// file's own implicit transaction. The migration library keeps its version in transactions of its own, so after a run
// that was cut off only the mark knows whether the file's work stayed.
type marked struct{ source.Driver }

func (s marked) ReadUp(version uint) (io.ReadCloser, string, error) {
	body, name, err := s.Driver.ReadUp(version)
	return withMark(body, fmt.Sprintf("\n;INSERT INTO migration_done VALUES (%d);\n", version)), name, err
}

func (s marked) ReadDown(version uint) (io.ReadCloser, string, error) {
	body, name, err := s.Driver.ReadDown(version)
	return withMark(body, fmt.Sprintf("\n;DELETE FROM migration_done WHERE version = %d;\n", version)), name, err
}

func withMark(body io.ReadCloser, mark string) io.ReadCloser {
	if body == nil {
		return nil
	}
	return struct {
		io.Reader
		io.Closer
	}{io.MultiReader(body, strings.NewReader(mark)), body}
}

// mend clears the library's flag that a migration was cut off, after looking at the marks to see what stayed of it: all
// or nothing. It refuses where the marks do not tell, because somebody migrated by other means.
func mend(ctx context.Context, conn *pgx.Conn, drv database.Driver) error {
	version, dirty, err := drv.Version()
	if err != nil {
		return fmt.Errorf("read the schema's version: %w", err)
	}
	rows, err := conn.Query(ctx, `SELECT version FROM migration_done ORDER BY version`)
	if err != nil {
		return fmt.Errorf("read which migrations are done: %w", err)
	}
	done, err := pgx.CollectRows(rows, pgx.RowTo[int])
	if err != nil {
		return fmt.Errorf("read which migrations are done: %w", err)
	}
	if !dirty {
		return nil
	}
	// Cut off on the way up, the library stands at the file being done; on the way down, at the one before.
	last := len(done)
	tells := slices.Equal(done, upTo(last)) && max(version, 0) >= last-1 && version <= last+1
	if !tells {
		return fmt.Errorf("migration %d was cut off and the marks in migration_done (%v) do not tell what stayed of it: compare the tables with the files in migrations, put them right by hand, then set schema_migrations to the last whole migration with dirty = false", version, done)
	}
	if last == 0 {
		last = database.NilVersion
	}
	if err := drv.SetVersion(last, false); err != nil {
		return fmt.Errorf("clear the mark of a cut-off migration: %w", err)
	}
	return nil
}

// upTo is 1 … n: our migrations are numbered without gaps.
func upTo(n int) []int {
	s := make([]int, n)
	for i := range s {
		s[i] = i + 1
	}
	return s
}

// migrateQueue brings River's tables into their schema and gives the plain role what a client needs of them.
func migrateQueue(ctx context.Context, pool *pgxpool.Pool) error {
	m, err := rivermigrate.New(riverpgxv5.New(pool), &rivermigrate.Config{Schema: riverSchema, Logger: slog.New(slog.DiscardHandler)})
	if err != nil {
		return fmt.Errorf("prepare the job queue: %w", err)
	}
	if _, err := m.Migrate(ctx, rivermigrate.DirectionUp, nil); err != nil {
		return fmt.Errorf("migrate the job queue: %w", err)
	}
	if _, err := pool.Exec(ctx, plainRights); err != nil {
		return fmt.Errorf("give the plain role its part of the job queue and the migrations: %w", err)
	}
	return nil
}

// plainRights are what a client of the queue needs, the look-up of a job's centre, and which migrations are done.
const plainRights = `
	GRANT SELECT ON migration_done TO witnessmark_app;
	GRANT SELECT, INSERT, UPDATE, DELETE ON ALL TABLES IN SCHEMA river TO witnessmark_app;
	REVOKE INSERT, UPDATE, DELETE ON river.river_migration FROM witnessmark_app;
	GRANT USAGE, SELECT ON ALL SEQUENCES IN SCHEMA river TO witnessmark_app;
	GRANT SELECT (id, args) ON river.river_job TO witnessmark_lookup;`

// SchemaDigest names the schema that Migrate leads to: it changes whenever a migration does, River's included.
func SchemaDigest() (string, error) {
	h := sha256.New()
	names, err := fs.Glob(migrations.FS, "*.sql")
	if err != nil {
		return "", fmt.Errorf("list the migrations: %w", err)
	}
	for _, name := range names {
		text, err := fs.ReadFile(migrations.FS, name)
		if err != nil {
			return "", fmt.Errorf("read the migrations: %w", err)
		}
		fmt.Fprintf(h, "%s %d\n%s\n", name, len(text), text)
	}
	queue, err := rivermigrate.New(riverpgxv5.New(nil), &rivermigrate.Config{Schema: riverSchema})
	if err != nil {
		return "", fmt.Errorf("read the job queue's migrations: %w", err)
	}
	for _, v := range queue.AllVersions() {
		fmt.Fprintf(h, "river %d %s\n", v.Version, v.Name)
	}
	fmt.Fprint(h, plainRights)
	return hex.EncodeToString(h.Sum(nil)), nil
}
