package store

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// tries bounds how often a transaction that PostgreSQL asks to repeat is repeated.
const tries = 5

// Tx is a transaction of one centre. It is used by one goroutine, within Write.
type Tx struct {
	tx     pgx.Tx
	store  *Store
	centre int64
}

// Centre is the centre that the transaction belongs to.
func (t *Tx) Centre() int64 { return t.centre }

// Write does fn in one transaction of the centre (READ COMMITTED: lock what you decide on) and commits where fn gives no
// error. It is the only door for writing. fn runs again from the start where PostgreSQL asks for it (a deadlock, a
// serialisation failure; at most five times in all), so it must do nothing outside the transaction that cannot be done
// twice, and it must read through t: a read through the store would ask for a second connection, and with every connection
// in a writer's hands all would wait for ever. A nil error means that the commit is confirmed, by the standby too where there is a synchronous one.
func (s *Store) Write(ctx context.Context, centre int64, fn func(t *Tx) error) error {
	var err error
	for try := range tries {
		if err = s.writeOnce(ctx, centre, fn); err == nil || !again(err) {
			break
		}
		if try == tries-1 {
			break
		}
		// A random pause keeps two that collided from colliding again; its length is a guess with no source.
		select {
		case <-ctx.Done():
			return fmt.Errorf("write: %w", ctx.Err())
		case <-time.After(time.Duration(rand.IntN(10<<try)+1) * time.Millisecond):
		}
	}
	return translate(err)
}

// writeOnce is one try. The begin carries the centre, which saves a round trip; a centre is a number, so it is safe to
// write into the statement.
func (s *Store) writeOnce(ctx context.Context, centre int64, fn func(t *Tx) error) error {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return fmt.Errorf("take a connection: %w", err)
	}
	defer conn.Release()
	tx, err := conn.BeginTx(ctx, pgx.TxOptions{
		BeginQuery: fmt.Sprintf("BEGIN ISOLATION LEVEL READ COMMITTED; SELECT set_config('app.centre_id', '%d', true)", centre),
	})
	if err != nil {
		return fmt.Errorf("begin: %w", err)
	}
	// Roll back on a context of its own: the caller's may be why we are here.
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }() // after a commit this does nothing
	if err := fn(&Tx{tx: tx, store: s, centre: centre}); err != nil {
		return err
	}
	forgetWarning(conn.Conn().PgConn())
	if err := tx.Commit(ctx); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	return confirmed(conn.Conn().PgConn())
}

// again says whether PostgreSQL undid the transaction for no fault of its own: serialization_failure 40001 and
// deadlock_detected 40P01 (PostgreSQL manual, appendix A).
func again(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == "40001" || pg.Code == "40P01")
}

// exec runs one statement; what names the act for the error.
func (t *Tx) exec(ctx context.Context, what, sql string, a args) (rows int64, err error) {
	tag, err := t.tx.Exec(ctx, sql, a)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", what, err)
	}
	return tag.RowsAffected(), nil
}

// uuidOrNull keeps a zero UUID as NULL.
func uuidOrNull(id uuid.UUID) *uuid.UUID {
	if id == uuid.Nil {
		return nil
	}
	return &id
}

// timeOrNull keeps a zero time as NULL.
func timeOrNull(at time.Time) *time.Time {
	if at.IsZero() {
		return nil
	}
	return &at
}
