//go:build linux

package faults_test

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// patience bounds every wait: it is no claim about speed, only the end of a test that would otherwise hang.
const patience = 2 * time.Minute

// installation is the program with its data, and where pg is not nil a PostgreSQL that is not the program's own.
type installation struct {
	dir   string
	addr  string
	pg    *localpg.Server
	proc  *process
	small bool // evidence lies on a disk of its own, of a megabyte
}

// process is a running program; it ends with this test program, however that ends.
type process struct {
	cmd  *exec.Cmd
	done chan struct{}
}

// install starts the program on an empty folder. With own PostgreSQL is the program's private one, otherwise one beside it.
func install(t *testing.T, own bool) *installation {
	t.Helper()
	i := prepare(t)
	if !own {
		must(t, i.startPostgres(t.Context()))
	}
	i.start(t)
	return i
}

// prepare makes an empty folder, which goes at the end with all that was started on it.
func prepare(t *testing.T) *installation {
	t.Helper()
	dir, err := os.MkdirTemp("", "witnessmark-faults-data-")
	must(t, err)
	must(t, os.Chmod(dir, 0o755)) // started by root, PostgreSQL runs as another account
	i := &installation{dir: dir, addr: freeAddress(t)}
	t.Cleanup(func() { must(t, i.uninstall()) })
	return i
}

func (i *installation) uninstall() error {
	i.kill()
	var stopped error
	if i.pg != nil {
		stopped = i.pg.Stop()
	} else {
		i.awaitPostgres()
	}
	return errors.Join(stopped, os.RemoveAll(i.dir))
}

// awaitPostgres waits for the end of the PostgreSQL that ends with the program.
func (i *installation) awaitPostgres() {
	for began := time.Now(); time.Since(began) < patience; time.Sleep(10 * time.Millisecond) {
		pid, err := i.postmaster()
		if err != nil || syscall.Kill(pid, 0) != nil { // it took its record away, or never had a chance to
			return
		}
	}
}

// postmaster is the process of PostgreSQL by its own record.
func (i *installation) postmaster() (int, error) {
	record, err := os.ReadFile(filepath.Join(i.dir, "postgresql", "data", "postmaster.pid"))
	if err != nil {
		return 0, err
	}
	first, _, _ := strings.Cut(string(record), "\n")
	return strconv.Atoi(strings.TrimSpace(first))
}

func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	must(t, err)
	must(t, l.Close())
	return l.Addr().String()
}

// startPostgres starts the PostgreSQL beside the program.
func (i *installation) startPostgres(ctx context.Context) (err error) {
	i.pg, err = localpg.Start(ctx, localpg.Options{Dir: filepath.Join(i.dir, "postgresql")})
	return err
}

// super is the database's address past row-level security.
func (i *installation) super(t *testing.T) string {
	t.Helper()
	return i.database(t).URL(localpg.Superuser, "postgres")
}

// database is the running PostgreSQL; the program's own is attached to.
func (i *installation) database(t *testing.T) *localpg.Server {
	t.Helper()
	if i.pg != nil {
		return i.pg
	}
	s, err := localpg.Start(t.Context(), localpg.Options{Dir: filepath.Join(i.dir, "postgresql")})
	must(t, err)
	if s.Owned() {
		t.Fatal("the program's own PostgreSQL does not run")
	}
	return s
}

// start starts the program and waits until it answers.
func (i *installation) start(t *testing.T) {
	t.Helper()
	cmd := exec.Command(program, "serve", "--listen", i.addr, "--data", i.dir)
	cmd.Env = []string{"PATH=" + os.Getenv("PATH"), "HOME=" + i.dir}
	if i.pg != nil {
		cmd.Env = append(cmd.Env, "DATABASE_URL="+i.pg.URL(store.Role, "postgres"), "MIGRATE_DATABASE_URL="+i.super(t))
	}
	cmd.SysProcAttr = &syscall.SysProcAttr{Pdeathsig: syscall.SIGKILL, Setpgid: true}
	if i.small {
		onItsOwnDisk(cmd, i.evidence())
	}
	log, err := os.OpenFile(i.log(), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	must(t, err)
	defer log.Close()
	cmd.Stdout, cmd.Stderr = log, log
	p := &process{cmd: cmd, done: make(chan struct{})}
	started := make(chan error, 1)
	go func() {
		runtime.LockOSThread() // the signal at our death is tied to the thread that forked
		err := cmd.Start()
		started <- err
		if err == nil {
			_ = cmd.Wait() // it is killed, and says so
		}
		close(p.done)
	}()
	must(t, <-started)
	i.proc = p
	i.answers(t)
}

// answers waits until the program answers.
func (i *installation) answers(t *testing.T) {
	t.Helper()
	for began := time.Now(); ; time.Sleep(10 * time.Millisecond) {
		r, err := http.Get("http://" + i.addr + "/api/openapi.json")
		if err == nil {
			must(t, r.Body.Close())
			return
		}
		select {
		case <-i.proc.done:
			t.Fatalf("the program ended by itself: %v\n%s", i.proc.cmd.ProcessState, i.tail(t))
		default:
		}
		if time.Since(began) > patience {
			t.Fatalf("the program does not answer: %v\n%s", err, i.tail(t))
		}
	}
}

// kill ends the program as nothing else can be ended.
func (i *installation) kill() {
	if i.proc == nil {
		return
	}
	_ = i.proc.cmd.Process.Kill() // it may have ended already
	<-i.proc.done
}

// killPostgres ends PostgreSQL with all its children at once.
func (i *installation) killPostgres(t *testing.T) {
	t.Helper()
	postmaster, err := i.postmaster()
	must(t, err)
	// Stopped first, so that it starts no further child between the look and the kill: one that is left behind would wait
	// for ever for what the dead ones held, and keep the memory that the next server needs.
	must(t, syscall.Kill(postmaster, syscall.SIGSTOP))
	for !stopped(t, postmaster) {
		time.Sleep(time.Millisecond)
	}
	for _, pid := range append(children(t, postmaster), postmaster) {
		if err := syscall.Kill(pid, syscall.SIGKILL); err != nil && !errors.Is(err, syscall.ESRCH) {
			t.Fatalf("kill process %d: %v", pid, err)
		}
	}
	if i.pg != nil {
		_ = i.pg.Stop() // waits for its end, and says that it had ended by itself
	}
}

// stopped says whether the process has come to a stop (proc(5): state T).
func stopped(t *testing.T, pid int) bool {
	t.Helper()
	stat, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "stat"))
	must(t, err)
	return strings.HasPrefix(string(stat[strings.LastIndexByte(string(stat), ')')+1:]), " T")
}

// children are the processes whose parent is the given one (proc(5): the parent is the second field after the name).
func children(t *testing.T, parent int) []int {
	t.Helper()
	stats, err := filepath.Glob("/proc/[0-9]*/stat")
	must(t, err)
	var out []int
	for _, path := range stats {
		stat, err := os.ReadFile(path)
		if err != nil {
			continue // gone meanwhile
		}
		fields := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+1:]))
		pid, err := strconv.Atoi(filepath.Base(filepath.Dir(path)))
		if err == nil && len(fields) > 1 && fields[1] == strconv.Itoa(parent) {
			out = append(out, pid)
		}
	}
	return out
}

func (i *installation) evidence() string { return filepath.Join(i.dir, "evidence") }

func (i *installation) log() string { return filepath.Join(i.dir, "program.log") }

// tail is the end of the program's log without the lines about requests.
func (i *installation) tail(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile(i.log())
	must(t, err)
	var lines []string
	for line := range strings.Lines(string(text)) {
		if !strings.Contains(line, `"msg":"request"`) {
			lines = append(lines, line)
		}
	}
	return fmt.Sprint(strings.Join(lines[max(0, len(lines)-20):], ""))
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
