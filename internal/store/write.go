package store

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"strconv"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
	"github.com/jackc/pgx/v5/pgxpool"
)

// tries bounds how often a transaction that PostgreSQL asks to repeat is repeated.
const tries = 5

// Tx is a transaction of one centre. It is used by one goroutine, within Write. Round trips are what a write waits for, so
// it begins with the first thing that is sent, in the same round trip, and what later queued goes with the next.
type Tx struct {
	conn   *pgxpool.Conn
	store  *Store
	centre int64
	begun  bool
	queued []queued
	leaves []pendingLeaf // for the decision log
}

// queued is a statement that waits for the next round trip, and what is asked of the number of rows it touched.
type queued struct {
	sql   string
	args  args
	check func(rows int64) error
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

// writeOnce is one try.
func (s *Store) writeOnce(ctx context.Context, centre int64, fn func(t *Tx) error) error {
	conn, err := s.pool.Acquire(ctx)
	if err != nil {
		return fmt.Errorf("take a connection: %w", err)
	}
	defer conn.Release() // one that is not idle is thrown away
	t := &Tx{conn: conn, store: s, centre: centre}
	if err = fn(t); err == nil {
		err = t.commit(ctx)
	}
	if conn.Conn().PgConn().TxStatus() != idle {
		// On a context of its own: the caller's may be why we are here. What is not rolled back ends with its connection.
		_, _ = conn.Exec(context.WithoutCancel(ctx), "ROLLBACK")
	}
	return err
}

// idle is what PostgreSQL says outside a transaction (manual, "Message Formats", ReadyForQuery).
const idle = 'I'

// next is a batch for the next round trip: the beginning where the transaction has not begun, then what was queued.
func (t *Tx) next() *pgx.Batch {
	b := &pgx.Batch{}
	if !t.begun {
		b.Queue("BEGIN ISOLATION LEVEL READ COMMITTED")
		b.Queue(setCentre, strconv.FormatInt(t.centre, 10))
		t.begun = true
	}
	for _, q := range t.queued {
		b.Queue(q.sql, q.args).Exec(func(tag pgconn.CommandTag) error { return q.check(tag.RowsAffected()) })
	}
	t.queued = nil
	return b
}

// later queues a statement for the next round trip, which at the end is the commit's. check refuses, there, a number of
// rows that it should not have touched; with the commit that is too late to undo anything, so such a statement must be
// whole in itself.
func (t *Tx) later(sql string, a args, check func(rows int64) error) {
	t.queued = append(t.queued, queued{sql, a, check})
}

// commit appends what is to be logged, sends what is queued and commits; there is nothing to commit where nothing was sent.
func (t *Tx) commit(ctx context.Context) error {
	if err := t.appendLog(ctx); err != nil {
		return err
	}
	if !t.begun && len(t.queued) == 0 {
		return nil
	}
	b := t.next()
	b.Queue("COMMIT").Exec(func(tag pgconn.CommandTag) error {
		if tag.String() == "ROLLBACK" { // the answer where a statement before had failed
			return pgx.ErrTxCommitRollback
		}
		return nil
	})
	forgetWarning(t.conn.Conn().PgConn())
	if err := t.conn.SendBatch(ctx, b).Close(); err != nil {
		return fmt.Errorf("commit: %w", err)
	}
	return confirmed(t.conn.Conn().PgConn())
}

// again says whether PostgreSQL undid the transaction for no fault of its own: serialization_failure 40001 and
// deadlock_detected 40P01 (PostgreSQL manual, appendix A).
func again(err error) bool {
	var pg *pgconn.PgError
	return errors.As(err, &pg) && (pg.Code == "40001" || pg.Code == "40P01")
}

// exec runs one statement; what names the act for the error.
func (t *Tx) exec(ctx context.Context, what, sql string, a args) (rows int64, err error) {
	b := t.next()
	b.Queue(sql, a).Exec(func(tag pgconn.CommandTag) error {
		rows = tag.RowsAffected()
		return nil
	})
	if err := t.conn.SendBatch(ctx, b).Close(); err != nil {
		return 0, fmt.Errorf("%s: %w", what, err)
	}
	return rows, nil
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
