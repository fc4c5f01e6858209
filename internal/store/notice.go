package store

import (
	"errors"
	"fmt"

	"github.com/jackc/pgx/v5/pgconn"
)

// ErrNotReplicated says that a transaction was committed here but never confirmed by the standby. Nobody may be told
// that it is kept. Every write has client-made ids, so doing it again is safe.
var ErrNotReplicated = errors.New("the standby did not confirm the commit")

// lastWarning is where a connection keeps the words of the last warning that it received.
const lastWarning = "witnessmark.last_warning"

// onNotice keeps warnings for confirmed to look at.
func onNotice(conn *pgconn.PgConn, n *pgconn.Notice) {
	if n.SeverityUnlocalized == "WARNING" {
		conn.CustomData()[lastWarning] = n.Message
	}
}

// forgetWarning is called before a commit, so that confirmed sees only what the commit brought.
func forgetWarning(conn *pgconn.PgConn) { delete(conn.CustomData(), lastWarning) }

// confirmed refuses a commit that came with a warning. When a backend that waits for its synchronous standby is
// cancelled, the server answers COMMIT all the same and only warns: "canceling wait for synchronous replication"
// (PostgreSQL source, syncrep.c, SyncRepWaitForLSN). The words depend on the server's language and the code is that of
// any warning, so every warning counts; nothing of ours raises one at a commit.
func confirmed(conn *pgconn.PgConn) error {
	if words, ok := conn.CustomData()[lastWarning]; ok {
		forgetWarning(conn)
		return fmt.Errorf("%w: %v", ErrNotReplicated, words)
	}
	return nil
}
