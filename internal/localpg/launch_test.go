package localpg

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The lines are PostgreSQL 15's own, from the log of these tests.
func TestLastWords(t *testing.T) {
	const (
		lock  = "2026-11-25 08:33:50.123 UTC [41] FATAL:  pre-existing shared memory block (key 9992850, ID 65556) is still in use\n"
		hint  = "2026-11-25 08:33:50.123 UTC [41] HINT:  Terminate any old server processes associated with data directory \"/d\".\n"
		child = "2026-11-25 08:33:50.124 UTC [7] FATAL:  terminating connection due to unexpected postmaster exit\n"
		panik = "2026-11-25 08:33:50.124 UTC [42] PANIC:  could not locate a valid checkpoint record\n"
		after = "2026-11-25 08:33:50.125 UTC [41] LOG:  aborting startup due to startup process failure\n"
		bare  = "postgres: could not access the server configuration file \"/d/postgresql.conf\": No such file or directory\n"
	)
	tests := []struct{ name, log, want string }{
		{"its own", lock + hint, "pre-existing shared memory block (key 9992850, ID 65556) is still in use"},
		{"before a stranger's", lock + hint + child, "pre-existing shared memory block (key 9992850, ID 65556) is still in use"},
		{"its child's", panik + after, "could not locate a valid checkpoint record"},
		{"before there is a log", bare, strings.TrimSpace(bare)},
		{"nothing", "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := lastWords(tt.log, 41); got != tt.want {
				t.Errorf("got  %q\nwant %q", got, tt.want)
			}
		})
	}
}

// A start that cannot succeed says why in PostgreSQL's words, where the rest is, and does not try again and again.
func TestStartSaysWhatPostgreSQLSaid(t *testing.T) {
	dir := warmDir(t)
	data := filepath.Join(dir, "data")
	before, err := os.ReadFile(filepath.Join(data, "postgresql.conf"))
	if err != nil {
		t.Fatal(err)
	}
	write(t, data, "postgresql.conf", string(before)+"\nmax_connections = lots\n")
	s, err := Start(t.Context(), Options{Dir: dir})
	if err == nil {
		t.Fatalf("Start = %v, want that it fails", s.Stop())
	}
	for _, want := range []string{"configuration file", filepath.Join(dir, "postgres.log")} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%q does not mention %q", err, want)
		}
	}
}
