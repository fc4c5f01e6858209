package store

import (
	"errors"
	"strings"

	"github.com/jackc/pgx/v5/pgconn"
)

// ErrNotReplicated says that a transaction was committed here but never confirmed by the standby. Nobody may be told
// that it is kept. Every write has client-made ids, so doing it again is safe.
var ErrNotReplicated = errors.New("the standby did not confirm the commit")

// isSyncCancelled recognises the warning by its untranslated words; a server that speaks another language is caught by
// the code of the warning, which no other warning of PostgreSQL carries.
func isSyncCancelled(n *pgconn.Notice) bool {
	return strings.Contains(n.Message, "waiting for synchronous replication") ||
		(n.SeverityUnlocalized == "WARNING" && (n.Code == "57014" || n.Code == "57P01"))
}

// confirmed turns a noted warning into ErrNotReplicated and forgets it.
func confirmed(conn *pgconn.PgConn) error {
	if _, cancelled := conn.CustomData()[syncCancelled]; cancelled {
		delete(conn.CustomData(), syncCancelled)
		return ErrNotReplicated
	}
	return nil
}
