package app_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/internal/store"
)

// unready is what keeps the program from its work, a line each.
func (l logged) unready(t *testing.T) string {
	t.Helper()
	var lines []string
	for _, u := range l.Ready(t.Context()) {
		lines = append(lines, u.Part+": "+u.Words)
	}
	return strings.Join(lines, "\n")
}

func TestReady(t *testing.T) {
	l := newLogged(t)
	ctx := t.Context()
	l.decide(t, 1)
	must(t, l.SignLogs(ctx))
	ready := func(when string) {
		t.Helper()
		if got := l.unready(t); got != "" {
			t.Fatalf("%s it is not ready:\n%s", when, got)
		}
	}
	says := func(what, want string) {
		t.Helper()
		if got := l.unready(t); !strings.HasPrefix(got, want) || strings.Contains(got, l.dir) || strings.Contains(got, "\n") {
			t.Errorf("%s: got %q, want %q first and nothing else", what, got, want)
		}
	}
	ready("at first")
	if left, err := filepath.Glob(filepath.Join(l.dir, "incoming", "*")); err != nil || len(left) > 0 {
		t.Errorf("the probe left %q (%v)", left, err)
	}

	l.superuser(t, `CREATE TABLE kept_done AS TABLE migration_done`, `DELETE FROM migration_done WHERE version = (SELECT max(version) FROM migration_done)`)
	says("an older database", "schema: the database is older")
	l.superuser(t, `REVOKE SELECT ON migration_done FROM witnessmark_app`)
	says("one of before anybody could ask", "schema: the database is older than the program: at migration 0")
	l.superuser(t, `GRANT SELECT ON migration_done TO witnessmark_app`, `INSERT INTO migration_done VALUES (999)`)
	says("a newer database", "schema: the database is newer than the program: at migration 999")
	l.superuser(t, `DELETE FROM migration_done`, `INSERT INTO migration_done SELECT * FROM kept_done`)
	ready("migrated again")

	incoming := filepath.Join(l.dir, "incoming")
	must(t, os.Rename(incoming, incoming+".away"))
	says("a folder that is gone", "evidence: the folder cannot be written")
	must(t, os.Rename(incoming+".away", incoming))
	ready("with the folder back")

	must(t, l.db.Write(ctx, l.id, func(tx *store.Tx) error { return tx.EnqueuePreview(ctx, newID(t)) }))
	at := l.now.UTC().Format("2006-01-02 15:04:05Z")
	l.superuser(t, `UPDATE river.river_job SET scheduled_at = '`+at+`'::timestamptz - interval '4 minutes'`)
	ready("with a job that waits for four minutes")
	l.superuser(t, `UPDATE river.river_job SET scheduled_at = '`+at+`'::timestamptz - interval '12 minutes'`)
	says("a queue that stands still", "queue: a job has waited for 12 minutes")
	must(t, l.db.Write(ctx, l.id, func(tx *store.Tx) error { return tx.EnqueuePreview(ctx, newID(t)) }))
	l.superuser(t, `UPDATE river.river_job SET state = 'completed', attempted_at = '`+at+`'::timestamptz - interval '1 minute', finalized_at = '`+at+`' WHERE id = (SELECT max(id) FROM river.river_job)`)
	ready("with much to do and a job begun a minute ago")

	keys, err := filepath.Glob(filepath.Join(l.keys, "*", "*.key"))
	must(t, err)
	must(t, os.Rename(keys[0], keys[0]+".away"))
	says("a key that is gone", "log key: that of 1 of 1 centres cannot be read")
	must(t, os.Rename(keys[0]+".away", keys[0]))
	ready("with the key back")

	l.db.Close()
	says("no database", "database: it does not answer")
}
