package localpg

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"
	"time"

	"github.com/golang-migrate/migrate/v4"
	_ "github.com/golang-migrate/migrate/v4/database/pgx/v5"
	"github.com/golang-migrate/migrate/v4/source/iofs"
)

func TestStartStopStart(t *testing.T) {
	opts := Options{Dir: filepath.Join(newDir(t), "not", "there", "yet")}
	s := start(t, opts)
	if !s.Owned() {
		t.Error("Owned() = false for the one that started it")
	}
	run(t, s, "CREATE TABLE kept (note text); INSERT INTO kept VALUES ('first fix')")
	url := s.URL(Superuser, "postgres")
	for _, setting := range []struct{ name, want string }{
		{"listen_addresses", ""}, {"fsync", "on"}, {"data_checksums", "on"}, {"server_encoding", "UTF8"}, {"TimeZone", "UTC"},
	} {
		if got := text(t, url, "SHOW "+setting.name); got != setting.want {
			t.Errorf("%s = %q, want %q", setting.name, got, setting.want)
		}
	}

	pid := serverPID(t, s.DataDir())
	info, err := os.Stat(filepath.Join(s.DataDir(), "PG_VERSION"))
	if err != nil {
		t.Fatal(err)
	}
	if uid, _ := ownerOf(info); uid == 0 || uid != s.uidOf(t) {
		t.Errorf("the data belongs to user %d, the socket's folder to %d; want the same and not root", uid, s.uidOf(t))
	}
	if group, err := syscall.Getpgid(pid); err != nil || group == syscall.Getpgrp() {
		t.Errorf("the server is in process group %d (%v) with us: Ctrl-C would stop it under our feet", group, err)
	}

	if err := s.Stop(); err != nil {
		t.Fatalf("Stop: %v", err)
	}
	if err := s.Stop(); err != nil {
		t.Errorf("second Stop: %v", err)
	}
	if alive(pid) {
		t.Errorf("process %d lives after Stop", pid)
	}
	if _, err := os.Lstat(s.SocketDir()); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the socket's folder after Stop: %v, want none", err)
	}

	s = start(t, opts)
	if got := text(t, s.URL(Superuser, "postgres"), "SELECT note FROM kept"); got != "first fix" {
		t.Errorf("after a restart the row reads %q", got)
	}
}

// uidOf is the account that the socket's folder belongs to.
func (s *Server) uidOf(t *testing.T) int {
	t.Helper()
	info, err := os.Lstat(s.SocketDir())
	if err != nil {
		t.Fatal(err)
	}
	if perm := info.Mode().Perm(); perm != 0o700 {
		t.Errorf("the socket's folder has mode %#o, want 0700", perm)
	}
	uid, _ := ownerOf(info)
	return uid
}

func TestOrdinaryUser(t *testing.T) {
	dir, uid := newDir(t), -1
	if os.Geteuid() == 0 {
		uid = 65534 // by custom nobody's
		if err := os.Chown(dir, uid, uid); err != nil {
			t.Fatal(err)
		}
	}
	dir = filepath.Join(dir, "pg")
	for _, when := range []string{"cold", "warm"} {
		c := newChild(t, Options{Dir: dir, Fast: true}, uid)
		r := c.report(t)
		if r.Err != "" || !r.Owned {
			t.Fatalf("%s start as an ordinary user: %+v", when, r)
		}
		// The server's folders are that user's alone; when we are root we reach them all the same.
		if got := text(t, r.URL, "SELECT current_user::text"); got != Superuser {
			t.Errorf("connected as %q, want %q", got, Superuser)
		}
		c.stop(t)
	}
	// Root that starts the same folder leaves its owner alone.
	s := start(t, Options{Dir: dir, Fast: true})
	if got := s.uidOf(t); uid >= 0 && got != uid {
		t.Errorf("root runs the server as user %d, want the owner of the data, %d", got, uid)
	}
}

func TestTwoFolders(t *testing.T) {
	a := start(t, Options{Dir: warmDir(t), Fast: true})
	b := start(t, Options{Dir: warmDir(t), Fast: true})
	run(t, a, "CREATE TABLE only_here ()")
	const here = "SELECT (to_regclass('only_here') IS NOT NULL)::text"
	if got := text(t, a.URL(Superuser, "postgres"), here); got != "true" {
		t.Errorf("the first server has its table: %s", got)
	}
	if got := text(t, b.URL(Superuser, "postgres"), here); got != "false" {
		t.Errorf("the second server has the first one's table: %s", got)
	}
}

func TestAttach(t *testing.T) {
	opts := Options{Dir: warmDir(t), Fast: true}
	owner := start(t, opts)
	guest := start(t, opts)
	if guest.Owned() {
		t.Error("the second Start owns the server")
	}
	if owner.URL("a", "b") != guest.URL("a", "b") {
		t.Errorf("addresses differ: %s and %s", owner.URL("a", "b"), guest.URL("a", "b"))
	}
	if err := guest.Stop(); err != nil {
		t.Errorf("the guest's Stop: %v", err)
	}
	run(t, owner, "SELECT 1")
}

func TestTwoStartersOnAColdFolder(t *testing.T) {
	opts := Options{Dir: filepath.Join(newDir(t), "pg"), Fast: true}
	a, b := newChild(t, opts, -1), newChild(t, opts, -1)
	ra, rb := a.report(t), b.report(t)
	if ra.Err != "" || rb.Err != "" || ra.Owned == rb.Owned {
		t.Fatalf("want one owner and one guest; got %+v and %+v", ra, rb)
	}
	owner, guest := a, b
	if rb.Owned {
		owner, guest = b, a
	}
	guest.stop(t)
	if got := text(t, ra.URL, "SELECT 'up'"); got != "up" {
		t.Errorf("after the guest left the server says %q", got)
	}
	owner.stop(t)
}

func TestWaitsForTheLockNoLongerThanAsked(t *testing.T) {
	dir := warmDir(t)
	unlock, err := tryLock(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer unlock()
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	if _, err := Start(ctx, Options{Dir: dir}); !errors.Is(err, context.DeadlineExceeded) {
		t.Errorf("Start while another starts: %v, want the deadline", err)
	}
}

func TestCancelledStartLeavesNothingRunning(t *testing.T) {
	dir := warmDir(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if s, err := Start(ctx, Options{Dir: dir}); err == nil {
		t.Fatalf("Start with a cancelled context: %v, want an error", s)
	}
	rec, err := readRecord(filepath.Join(dir, "data"))
	if err != nil || rec.pid != 0 {
		t.Errorf("a server is left: %+v, %v", rec, err)
	}
}

// The address must hold whatever the environment says, for each of the two clients that the project hands it to.
func TestURL(t *testing.T) {
	s := start(t, Options{Dir: warmDir(t), Fast: true})
	t.Setenv("PGPORT", "1")
	t.Setenv("PGHOST", "nowhere.invalid")
	t.Setenv("PGSSLMODE", "verify-full")
	run(t, s, `CREATE ROLE "site office" LOGIN`)
	run(t, s, `CREATE DATABASE "bay 7"`)
	if got := text(t, s.URL("site office", "bay 7"), "SELECT current_user || ' in ' || current_database()"); got != "site office in bay 7" {
		t.Errorf("connected as %q", got)
	}

	files := fstest.MapFS{
		"1_a.up.sql":   {Data: []byte("CREATE TABLE gauge ()")},
		"1_a.down.sql": {Data: []byte("DROP TABLE gauge")},
	}
	source, err := iofs.New(files, ".")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(s.URL(Superuser, "postgres"), "://")
	m, err := migrate.NewWithSourceInstance("iofs", source, "pgx5://"+rest)
	if err != nil {
		t.Fatalf("golang-migrate: %v", err)
	}
	if err := m.Up(); err != nil {
		t.Errorf("golang-migrate: %v", err)
	}
	if a, b := m.Close(); a != nil || b != nil {
		t.Errorf("golang-migrate's Close: %v, %v", a, b)
	}
	run(t, s, "DROP TABLE gauge")
}

func TestLongPath(t *testing.T) {
	// A socket in the data folder would pass the 107 bytes of sun_path (unix(7)) more than twice.
	dir := filepath.Join(newDir(t), strings.Repeat("second-floor-plant-room/", 10))
	s := start(t, Options{Dir: dir, Fast: true})
	if socket := filepath.Join(s.SocketDir(), ".s.PGSQL.5432.lock"); len(socket) > 103 {
		t.Errorf("%s has %d bytes, want at most 103", socket, len(socket))
	}
	run(t, s, "SELECT 1")
}
