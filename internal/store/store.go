// Package store keeps everything but evidence bytes in PostgreSQL. It is the only package that knows pgx.
//
// One centre never sees another's data: every table of a centre's is under forced row-level security on the setting
// app.centre_id, and the two doors of this package set it. A read sends the setting and its statements in one batch, a
// single round trip (read.go). A write goes through Store.Write, one transaction whose first act is the setting
// (write.go). Only four functions of the database read before a centre is known, and they give ids alone.
//
// What is absent is fault.NotFound, what changed under the caller is fault.Conflict, what a person typed and the
// database refuses is fault.Invalid; every other error is internal. Ids are made by the application, never here. Times
// are UTC; a zero time, a zero UUID or an empty string stands for what is not there.
package store

import (
	"context"
	"fmt"
	"log/slog"
	"strings"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
)

// Role is the plain role that the program connects as. The first migration creates it where it is missing.
const Role = "witnessmark_app"

// Store is PostgreSQL as the application sees it. It is safe for use by many goroutines.
type Store struct {
	pool *pgxpool.Pool
	jobs *river.Client[pgx.Tx] // inserts only
}

// connections is how many a store keeps at most where the address does not say (pool_max_conns). Throughput was flat from
// 8 to 32 clients on two cores; a job runner and its listener take a few.
const connections = 16

// PlanCacheMode is the setting of the same name on every connection. All statements here find rows by their keys, whatever
// the values, and the policies hide the centre from the planner anyway; left to choose, PostgreSQL plans each statement
// with an array of ids anew at each use, which was a third of a hand-over's work.
const PlanCacheMode = "force_generic_plan"

// Open connects to the database at url, which names the plain role, and answers once a connection stands. It neither
// migrates nor checks the role: see Migrate and Check.
func Open(ctx context.Context, url string) (*Store, error) { return OpenTraced(ctx, url, nil) }

// OpenTraced is Open with every statement told to the tracer, in the order in which it is sent: so that what is measured
// against the database's own tools is what the program really sends.
func OpenTraced(ctx context.Context, url string, tracer pgx.QueryTracer) (*Store, error) {
	cfg, err := pgxpool.ParseConfig(url)
	if err != nil {
		return nil, fmt.Errorf("read the database address: %w", err)
	}
	if !strings.Contains(url, "pool_max_conns") {
		cfg.MaxConns = connections
	}
	cfg.ConnConfig.OnNotice, cfg.ConnConfig.Tracer = onNotice, tracer
	cfg.ConnConfig.RuntimeParams["plan_cache_mode"] = PlanCacheMode
	cfg.AfterConnect = registerTypes
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, fmt.Errorf("open the database: %w", err)
	}
	if err := pool.Ping(ctx); err != nil {
		pool.Close()
		return nil, fmt.Errorf("connect to the database: %w", err)
	}
	jobs, err := river.NewClient(riverpgxv5.New(pool), &river.Config{Schema: riverSchema, Logger: slog.New(slog.DiscardHandler)})
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("prepare the job queue: %w", err)
	}
	return &Store{pool: pool, jobs: jobs}, nil
}

// Close waits for connections in use to come back and closes them all.
func (s *Store) Close() { s.pool.Close() }

// Check refuses a role that row-level security does not hold: a superuser, one with BYPASSRLS, or one that owns (or may
// act as the owner of) a table. It also refuses a database whose migrations have not run. The error's text is a sentence
// for whoever runs the program.
func (s *Store) Check(ctx context.Context) error {
	var role string
	var super, bypass, owns, migrated bool
	err := s.pool.QueryRow(ctx, `
		SELECT current_user, r.rolsuper, r.rolbypassrls,
		       EXISTS (SELECT FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
		               WHERE c.relkind IN ('r', 'p') AND n.nspname IN ('public', 'river') AND pg_has_role(c.relowner, 'MEMBER')),
		       2 = (SELECT count(*) FROM pg_class c JOIN pg_namespace n ON n.oid = c.relnamespace
		            WHERE (n.nspname, c.relname) IN (('public', 'portfolio'), ('river', 'river_job')) AND has_table_privilege(c.oid, 'INSERT'))
		FROM pg_roles r WHERE r.rolname = current_user`).Scan(&role, &super, &bypass, &owns, &migrated)
	if err != nil {
		return fmt.Errorf("look at the database role: %w", err)
	}
	switch {
	case super:
		return fmt.Errorf("the database role %q is a superuser, so nothing keeps one centre from another: set DATABASE_URL to the role %s", role, Role)
	case bypass:
		return fmt.Errorf("the database role %q may bypass row-level security, so nothing keeps one centre from another: set DATABASE_URL to the role %s", role, Role)
	case owns:
		return fmt.Errorf("the database role %q owns tables and could switch their protection off: set DATABASE_URL to the role %s", role, Role)
	case !migrated:
		return fmt.Errorf("the database has not been set up, or not for the role %q: run witnessmark migrate, and set DATABASE_URL to the role %s", role, Role)
	}
	return nil
}
