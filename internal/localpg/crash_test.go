package localpg

import (
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

func TestOwnerKilled(t *testing.T) {
	dir := warmDir(t)
	c := newChild(t, Options{Dir: dir, Fast: true}, -1)
	r := c.report(t)
	if r.Err != "" {
		t.Fatal(r.Err)
	}
	conn := connect(t, r.URL)
	if _, err := conn.Exec(t.Context(), "CREATE TABLE kept AS SELECT 1"); err != nil {
		t.Fatal(err)
	}
	pid := serverPID(t, r.Data)
	c.kill()

	// At once, while the old server may still be on its way out, and with the client still there.
	s := start(t, Options{Dir: dir, Fast: true})
	run(t, s, "TABLE kept")
	if runtime.GOOS != "linux" {
		return // elsewhere the server outlives its owner, and this was an attach
	}
	if alive(pid) && runsOn(pid, r.Data, account{uid: -1}) {
		t.Errorf("the dead owner's server, process %d, still runs", pid)
	}
	if !s.Owned() {
		t.Error("attached to a server that was shutting down")
	}
	log, err := os.ReadFile(filepath.Join(dir, "postgres.log"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(log), "database system is shut down") {
		t.Errorf("no clean shutdown in the log:\n%s", log)
	}
}

func TestOwnerKilledLeavesNoOrphan(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Log("only Linux ties the server's life to its owner's")
		return
	}
	c := newChild(t, Options{Dir: warmDir(t), Fast: true}, -1)
	r := c.report(t)
	if r.Err != "" {
		t.Fatal(r.Err)
	}
	pid := serverPID(t, r.Data)
	c.kill()
	waitGone(t, pid, r.Data)
	if _, err := os.Stat(filepath.Join(r.Data, "postmaster.pid")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the server's record of itself is left: %v", err)
	}
}

func TestServerKilled(t *testing.T) {
	opts := Options{Dir: warmDir(t)} // not Fast, under which a commit may be lost
	s := start(t, opts)
	run(t, s, "CREATE TABLE kept (note text); INSERT INTO kept VALUES ('committed')")
	open := connect(t, s.URL(Superuser, "postgres"))
	tx, err := open.Begin(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := tx.Exec(t.Context(), "INSERT INTO kept VALUES ('not committed')"); err != nil {
		t.Fatal(err)
	}
	// A backend that is busy when its server dies keeps the shared memory for a while: this one until the next server has
	// complained about it.
	backend := int(open.PgConn().PID())
	if err := syscall.Kill(backend, syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = syscall.Kill(backend, syscall.SIGCONT) })
	if err := syscall.Kill(serverPID(t, s.DataDir()), syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	<-s.proc.done
	if err := s.Stop(); err == nil || !strings.Contains(err.Error(), "already ended") {
		t.Errorf("Stop of a server that was killed: %v, want that it had ended", err)
	}
	go func() {
		for t.Context().Err() == nil {
			log, err := os.ReadFile(filepath.Join(opts.Dir, "postgres.log"))
			if err == nil && strings.Contains(string(log), "pre-existing shared memory block") {
				_ = syscall.Kill(backend, syscall.SIGCONT)
				return
			}
			time.Sleep(poll)
		}
	}()
	s = start(t, opts)
	if got := text(t, s.URL(Superuser, "postgres"), "SELECT string_agg(note, ', ') FROM kept"); got != "committed" {
		t.Errorf("after the crash the table holds %q, want only what was committed", got)
	}
}

// After a power cut the record of the old server may carry a number that another process of the same account has got.
func TestStaleRecord(t *testing.T) {
	dir := warmDir(t)
	s := start(t, Options{Dir: dir, Fast: true})
	path := filepath.Join(s.DataDir(), "postmaster.pid")
	record, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Stop(); err != nil {
		t.Fatal(err)
	}
	as, err := serverAccount(s.DataDir())
	if err != nil {
		t.Fatal(err)
	}
	other := exec.Command("sleep", "600")
	other.Dir = "/"
	other.SysProcAttr = &syscall.SysProcAttr{Credential: as.credential}
	if err := other.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _, _ = other.Process.Kill(), other.Wait() })
	_, rest, _ := strings.Cut(string(record), "\n")
	if err := os.WriteFile(path, []byte(strconv.Itoa(other.Process.Pid)+"\n"+rest), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := as.own(path); err != nil {
		t.Fatal(err)
	}

	// First that PostgreSQL by itself refuses this record, or the test would prove nothing.
	bin, err := Find("")
	if err != nil {
		t.Fatal(err)
	}
	bare := exec.Command(filepath.Join(bin, "postgres"), "-D", s.DataDir(), "-c", "listen_addresses=", "-k", base)
	bare.Dir, bare.Env, bare.SysProcAttr = "/", environment(), &syscall.SysProcAttr{Credential: as.credential}
	if out, err := bare.CombinedOutput(); err == nil || !strings.Contains(string(out), `"postmaster.pid" already exists`) {
		t.Fatalf("PostgreSQL by itself: %v, want that it refuses\n%s", err, out)
	}

	s = start(t, Options{Dir: dir, Fast: true})
	run(t, s, "SELECT 1")
	if !alive(other.Process.Pid) {
		t.Error("the innocent process was ended")
	}
}

func TestCutOffWhileMaking(t *testing.T) {
	dir := newDir(t)
	c := newChild(t, Options{Dir: dir}, -1)
	begun := filepath.Join(dir, "data.new", "PG_VERSION") // among the first files that initdb writes
	for began := time.Now(); ; time.Sleep(time.Millisecond) {
		if _, err := os.Stat(begun); err == nil {
			break
		}
		if time.Since(began) > time.Minute {
			t.Fatal("initdb has not begun")
		}
	}
	c.kill()
	if _, err := os.Stat(filepath.Join(dir, "data")); !errors.Is(err, fs.ErrNotExist) {
		t.Fatalf("data after the cut: %v, want none", err)
	}
	if _, err := os.Stat(begun); err != nil {
		t.Fatalf("nothing was left half made: %v", err)
	}
	s := start(t, Options{Dir: dir, Fast: true})
	run(t, s, "SELECT 1")
	if _, err := os.Stat(filepath.Join(dir, "data.new")); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("data.new after the next start: %v, want none", err)
	}
}

// Root in a container usually lacks the right to trace, and so to read where another account's process works.
func TestAttachWithoutTheRightToTrace(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Log("an ordinary user's server runs as that user, whom the kernel always lets look")
		return
	}
	opts := Options{Dir: warmDir(t), Fast: true}
	start(t, opts)
	c := newChild(t, opts, -1, noTraceEnv+"=1")
	if r := c.report(t); r.Err != "" || r.Owned {
		t.Errorf("a second starter without that right: %+v, want that it attaches", r)
	}
	c.stop(t)
}
