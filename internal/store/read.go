package store

import (
	"context"
	"fmt"
	"strconv"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/fault"
)

// setCentre makes the centre known to the policies until the transaction ends.
const setCentre = `SELECT set_config('app.centre_id', $1, true)`

// sender is what a batch is sent through: the pool for reads, the transaction for reads within a write.
type sender interface {
	SendBatch(ctx context.Context, b *pgx.Batch) pgx.BatchResults
}

// reader is a batch of statements that is read in one round trip.
type reader struct {
	ctx   context.Context
	to    sender
	batch *pgx.Batch
}

// reading starts a batch that belongs to the centre. A batch outside a transaction is one implicit transaction, so the
// setting reaches every statement after it and nothing beyond.
func (s *Store) reading(ctx context.Context, centre int64) *reader {
	r := s.outside(ctx)
	r.batch.Queue(setCentre, strconv.FormatInt(centre, 10))
	return r
}

// outside starts a batch of no centre, for the functions that may read before one is known.
func (s *Store) outside(ctx context.Context) *reader { return &reader{ctx, s.pool, &pgx.Batch{}} }

// reading starts a batch within the transaction.
func (t *Tx) reading(ctx context.Context) *reader { return &reader{ctx, t.conn, t.next()} }

// queue adds a statement whose rows are collected into dst, in their order, when the batch is sent.
func queue[T any](r *reader, dst *[]T, sql string, a args) {
	r.batch.Queue(sql, a).Query(func(rows pgx.Rows) (err error) {
		*dst, err = pgx.CollectRows(rows, pgx.RowToStructByName[T])
		return err
	})
}

// queueColumn is queue for statements of one column.
func queueColumn[T any](r *reader, dst *[]T, sql string, a args) {
	r.batch.Queue(sql, a).Query(func(rows pgx.Rows) (err error) {
		*dst, err = pgx.CollectRows(rows, pgx.RowTo[T])
		return err
	})
}

// send sends the batch and fills what was queued; what names the thing that is read.
func (r *reader) send(what string) error {
	if err := r.to.SendBatch(r.ctx, r.batch).Close(); err != nil {
		return translate(fmt.Errorf("read %s: %w", what, err))
	}
	return nil
}

// all reads the rows of one statement.
func all[T any](r *reader, what, sql string, a args) ([]T, error) {
	var rows []T
	queue(r, &rows, sql, a)
	if err := r.send(what); err != nil {
		return nil, err
	}
	return rows, nil
}

// one reads the only row of one statement; none is NotFound, said with the thing's name.
func one[T any](r *reader, what, sql string, a args) (T, error) {
	rows, err := all[T](r, what, sql, a)
	return first(rows, what, err)
}

// first is the only row, or NotFound.
func first[T any](rows []T, what string, err error) (T, error) {
	var none T
	switch {
	case err != nil:
		return none, err
	case len(rows) == 0:
		return none, notFound(what)
	case len(rows) > 1:
		return none, fmt.Errorf("read %s: %d rows in place of one", what, len(rows))
	}
	return rows[0], nil
}

// notFound says that the named thing is not there for this centre.
func notFound(what string) error {
	return fault.NotFound("There is no such %s here. It may have been taken away, or the address may be mistyped. Go back and choose again.", what)
}
