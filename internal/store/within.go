package store

import (
	"context"
	"errors"

	"github.com/jackc/pgx/v5"
)

// connection is another name for pgx.Conn, which as an embedded field would hide the method of that name.
type connection = pgx.Conn

// within is a transaction that has begun, as the job queue's library takes one. Ending it is not the library's business.
type within struct{ *connection }

var errNotYours = errors.New("the transaction ends with the store's Write")

// Conn is what the transaction runs on.
func (w within) Conn() *pgx.Conn { return w.connection }

// Commit refuses.
func (w within) Commit(context.Context) error { return errNotYours }

// Rollback refuses.
func (w within) Rollback(context.Context) error { return errNotYours }

// LargeObjects gives none.
func (w within) LargeObjects() pgx.LargeObjects { return pgx.LargeObjects{} }
