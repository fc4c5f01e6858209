// Package migrations holds the database's schema as numbered pairs of SQL files, embedded in the program.
//
// A file is one subject and one implicit transaction: it is sent as a whole, so all of it stays or none. It therefore
// never says BEGIN or COMMIT and never builds an index CONCURRENTLY. A file never changes after it has landed. The job
// queue's own tables are not here: River brings its migrations along, and store.Migrate runs them after these.
package migrations

import "embed"

// FS has the files NNNNNN_subject.up.sql and NNNNNN_subject.down.sql at its root.
//
//go:embed *.sql
var FS embed.FS
