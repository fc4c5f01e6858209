package store

import (
	"context"
	"fmt"

	"github.com/jackc/pgx/v5"
)

// args names a statement's arguments; a name too many or too few is an error, not a silent NULL. It is pgx.StrictNamedArgs
// that remembers, for each connection, where the names of a statement stand: the statements are the same few all day, and
// reading them anew each time was a twentieth of a hand-over's work.
type args map[string]any

// placed is a statement with numbers in place of names, and the names in the order of their numbers.
type placed struct {
	sql   string
	names []string
}

// placesKey is where a connection keeps its placed statements.
const placesKey = "witnessmark: statements with their names placed"

// RewriteQuery puts the arguments into their places.
func (a args) RewriteQuery(ctx context.Context, conn *pgx.Conn, sql string, more []any) (string, []any, error) {
	if conn == nil || len(more) > 0 {
		return pgx.StrictNamedArgs(a).RewriteQuery(ctx, conn, sql, more)
	}
	kept, ok := conn.PgConn().CustomData()[placesKey].(map[string]placed)
	if !ok {
		kept = map[string]placed{}
		conn.PgConn().CustomData()[placesKey] = kept
	}
	p, ok := kept[sql]
	if !ok {
		var err error
		if p, err = a.place(ctx, conn, sql); err != nil {
			return "", nil, err
		}
		kept[sql] = p
	}
	values := make([]any, len(p.names))
	for i, name := range p.names {
		if values[i], ok = a[name]; !ok {
			return "", nil, fmt.Errorf("the argument %q is missing", name)
		}
	}
	if len(a) > len(p.names) {
		return "", nil, fmt.Errorf("the statement takes %d arguments, not %d", len(p.names), len(a))
	}
	return p.sql, values, nil
}

// place finds the names' places by giving each name itself as its value.
func (a args) place(ctx context.Context, conn *pgx.Conn, sql string) (placed, error) {
	self := make(pgx.StrictNamedArgs, len(a))
	for name := range a {
		self[name] = name
	}
	sql, names, err := self.RewriteQuery(ctx, conn, sql, nil)
	p := placed{sql: sql}
	for _, n := range names {
		if name, ok := n.(string); ok {
			p.names = append(p.names, name)
		}
	}
	return p, err
}
