package store

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/migrations"
)

// insufficientPrivilege is PostgreSQL's code for what a role may not do.
const insufficientPrivilege = "42501"

// SchemaEdition says which migration the database has come to, and which one is this program's last. A database whose migrations
// ran before there was a right to ask is at 0.
func (s *Store) SchemaEdition(ctx context.Context) (is, want int, err error) {
	files, err := fs.Glob(migrations.FS, "*.up.sql")
	if err != nil {
		return 0, 0, fmt.Errorf("list the migrations: %w", err)
	}
	err = s.pool.QueryRow(ctx, `SELECT coalesce(max(version), 0) FROM migration_done`).Scan(&is)
	if refused, ok := errors.AsType[*pgconn.PgError](err); ok && refused.Code == insufficientPrivilege {
		return 0, len(files), nil
	}
	if err != nil {
		return 0, 0, fmt.Errorf("ask which migrations are done: %w", err)
	}
	return is, len(files), nil
}

// OldestJob says since when the oldest job waits whose time has come; zero where none does.
func (s *Store) OldestJob(ctx context.Context, now time.Time) (at time.Time, err error) {
	if err := s.pool.QueryRow(ctx, `
		SELECT coalesce(min(scheduled_at), '0001-01-01 00:00Z') FROM river.river_job
		WHERE state IN ('available', 'scheduled', 'retryable') AND scheduled_at <= $1`, now).Scan(&at); err != nil {
		return at, fmt.Errorf("ask what waits in the queue: %w", err)
	}
	return at, nil
}

// JobBegun says when a job was begun last; zero where none ever was.
func (s *Store) JobBegun(ctx context.Context) (at time.Time, err error) {
	if err := s.pool.QueryRow(ctx, `SELECT coalesce(max(attempted_at), '0001-01-01 00:00Z') FROM river.river_job`).Scan(&at); err != nil {
		return at, fmt.Errorf("ask when a job was begun: %w", err)
	}
	return at, nil
}
