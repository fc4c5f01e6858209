package main

import (
	"context"
	"fmt"
	"sync"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgtype"
)

// call is what goes to the database in one round trip: one statement, or a batch.
type call []statement

// statement is SQL with its arguments as the program gives them, named ones already in their places.
type statement struct {
	sql  string
	args []any
}

// recorder is a tracer that writes down what is sent while it is on.
type recorder struct {
	mu    sync.Mutex
	on    bool
	calls []call
	err   error
}

// start forgets what was written down and begins afresh.
func (r *recorder) start() {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.on, r.calls, r.err = true, nil, nil
}

// stop ends and gives what was sent.
func (r *recorder) stop() ([]call, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.on = false
	return r.calls, r.err
}

// TraceQueryStart writes a single statement down.
func (r *recorder) TraceQueryStart(ctx context.Context, conn *pgx.Conn, d pgx.TraceQueryStartData) context.Context {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.on {
		return ctx
	}
	s := statement{sql: d.SQL, args: d.Args}
	if len(s.args) > 0 {
		if w, ok := s.args[0].(pgx.QueryRewriter); ok {
			if s.sql, s.args, r.err = w.RewriteQuery(ctx, conn, s.sql, s.args[1:]); r.err != nil {
				r.on = false
			}
		}
	}
	r.calls = append(r.calls, call{s})
	return ctx
}

// TraceQueryEnd has nothing to add.
func (r *recorder) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}

// TraceBatchStart begins a batch.
func (r *recorder) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.on {
		r.calls = append(r.calls, call{})
	}
	return ctx
}

// TraceBatchQuery writes down one statement of the batch that began last; a batch's statements come with their arguments
// in place.
func (r *recorder) TraceBatchQuery(_ context.Context, _ *pgx.Conn, d pgx.TraceBatchQueryData) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.on {
		last := len(r.calls) - 1
		r.calls[last] = append(r.calls[last], statement{sql: d.SQL, args: d.Args})
	}
}

// TraceBatchEnd has nothing to add.
func (r *recorder) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// argument is one argument of a statement in PostgreSQL's text form.
type argument struct {
	text string
	null bool
	kind string // the type's name
}

// textForms asks the database for the types of a statement's arguments and writes them as text.
func textForms(ctx context.Context, conn *pgx.Conn, s statement) ([]argument, error) {
	if len(s.args) == 0 {
		return nil, nil
	}
	d, err := conn.Prepare(ctx, "", s.sql)
	if err != nil {
		return nil, fmt.Errorf("ask for the types of a statement's arguments: %w", err)
	}
	if len(d.ParamOIDs) != len(s.args) {
		return nil, fmt.Errorf("%d arguments to a statement that takes %d: %s", len(s.args), len(d.ParamOIDs), s.sql)
	}
	out := make([]argument, len(s.args))
	for i, a := range s.args {
		oid := d.ParamOIDs[i]
		text, err := conn.TypeMap().Encode(oid, pgtype.TextFormatCode, a, []byte{})
		if err != nil {
			return nil, fmt.Errorf("write argument %d as text: %w", i+1, err)
		}
		t, ok := conn.TypeMap().TypeForOID(oid)
		if !ok {
			return nil, fmt.Errorf("argument %d has the unknown type %d", i+1, oid)
		}
		out[i] = argument{text: string(text), null: text == nil, kind: t.Name}
	}
	return out, nil
}
