package localpg

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// childEnv makes this test program a starter of its own: its value is the Options as JSON.
const childEnv = "LOCALPG_TEST_CHILD"

// base holds every folder of the tests; unlike t.TempDir, the server's account may go through it.
var base string

func TestMain(m *testing.M) {
	if text := os.Getenv(childEnv); text != "" {
		os.Exit(beChild(text))
	}
	os.Exit(runTests(m))
}

func runTests(m *testing.M) (code int) {
	var err error
	if base, err = os.MkdirTemp("", "wmlocalpg-"); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer func() {
		if err := os.RemoveAll(base); err != nil {
			fmt.Fprintln(os.Stderr, err)
			code = 1
		}
	}()
	if err := os.Chmod(base, 0o711); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// newDir makes a folder that the server's account may enter.
func newDir(t *testing.T) string {
	t.Helper()
	dir, err := os.MkdirTemp(base, "")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o711); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		// A killed owner leaves its socket's folder, whoever the server ran as; no later start here clears it.
		_, hash, _ := strings.Cut(filepath.Base(socketDir(filepath.Join(dir, "data"), account{})), "wmpg-0-")
		left, err := filepath.Glob(filepath.Join(socketRoot, "wmpg-*-"+hash))
		for _, path := range append(left, dir) {
			err = errors.Join(err, os.RemoveAll(path))
		}
		if err != nil {
			t.Error(err)
		}
	})
	return dir
}

// template is a stopped cluster with one row in the table kept, made once: copying it is quicker than initdb.
var template = sync.OnceValues(func() (string, error) {
	dir := filepath.Join(base, "template")
	s, err := Start(contextOfTests(), Options{Dir: dir, Fast: true})
	if err != nil {
		return "", err
	}
	return dir, s.Stop()
})

// warmDir is a folder with a cluster that was stopped cleanly.
func warmDir(t *testing.T) string {
	t.Helper()
	from, err := template()
	if err != nil {
		t.Fatal(err)
	}
	dir := newDir(t)
	if out, err := exec.Command("cp", "-a", filepath.Join(from, "data"), dir).CombinedOutput(); err != nil {
		t.Fatalf("copy the template: %v\n%s", err, out)
	}
	return dir
}

// start starts a server that the test's end stops, if the test has not.
func start(t *testing.T, opts Options) *Server {
	t.Helper()
	s, err := Start(t.Context(), opts)
	if err != nil {
		t.Fatalf("Start: %v", err)
	}
	t.Cleanup(func() {
		if s.proc == nil {
			return
		}
		select {
		case <-s.proc.done: // stopped, or killed by the test
		default:
			if err := s.Stop(); err != nil {
				t.Error(err)
			}
		}
	})
	return s
}

func connect(t *testing.T, url string) *pgx.Conn {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), url)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close(contextOfTests()) })
	return conn
}

// run executes statements on the server's first database.
func run(t *testing.T, s *Server, sql string) {
	t.Helper()
	conn := connect(t, s.URL(Superuser, "postgres"))
	if _, err := conn.Exec(t.Context(), sql); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	if err := conn.Close(t.Context()); err != nil {
		t.Fatal(err)
	}
}

// text returns the one value of a query, as text.
func text(t *testing.T, url, sql string) string {
	t.Helper()
	conn := connect(t, url)
	defer func() { _ = conn.Close(contextOfTests()) }()
	var got string
	if err := conn.QueryRow(t.Context(), sql).Scan(&got); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return got
}

func serverPID(t *testing.T, data string) int {
	t.Helper()
	rec, err := readRecord(data)
	if err != nil || rec.pid == 0 {
		t.Fatalf("the server's record of itself: %+v, %v", rec, err)
	}
	return rec.pid
}

// waitGone waits for a process to end; only a hang fails it.
func waitGone(t *testing.T, pid int, data string) {
	t.Helper()
	for began := time.Now(); alive(pid) && runsOn(pid, data, account{uid: -1}); time.Sleep(poll) {
		if time.Since(began) > time.Minute {
			t.Fatalf("process %d still runs on %s", pid, data)
		}
	}
}

// child is another program that starts a server.
type child struct {
	cmd   *exec.Cmd
	stdin io.WriteCloser
	out   *json.Decoder
	errs  bytes.Buffer
}

// report is what a child says of its start, and then of its stop.
type report struct {
	Owned bool
	URL   string
	Data  string
	Err   string
}

// newChild starts one, as another user unless uid is negative.
func newChild(t *testing.T, opts Options, uid int, env ...string) *child {
	t.Helper()
	encoded, err := json.Marshal(opts)
	if err != nil {
		t.Fatal(err)
	}
	c := &child{cmd: exec.Command(childProgram(t))}
	c.cmd.Dir = "/"
	c.cmd.Env = append([]string{"PATH=" + os.Getenv("PATH"), EnvBinDir + "=" + os.Getenv(EnvBinDir), childEnv + "=" + string(encoded)}, env...)
	c.cmd.Stderr = &c.errs
	if uid >= 0 {
		c.cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: uint32(uid), Gid: uint32(uid)}}
	}
	if c.stdin, err = c.cmd.StdinPipe(); err != nil {
		t.Fatal(err)
	}
	stdout, err := c.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.out = json.NewDecoder(stdout)
	if err := c.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(c.kill)
	return c
}

// childProgram is this test program where any account may run it.
func childProgram(t *testing.T) string {
	t.Helper()
	path, err := program()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

var program = sync.OnceValues(func() (string, error) {
	self, err := os.Executable()
	if err != nil {
		return "", err
	}
	path := filepath.Join(base, "starter")
	if out, err := exec.Command("install", "-m", "755", self, path).CombinedOutput(); err != nil {
		return "", fmt.Errorf("copy the test program: %w\n%s", err, out)
	}
	return path, nil
})

// report reads what the child says next.
func (c *child) report(t *testing.T) report {
	t.Helper()
	var r report
	if err := c.out.Decode(&r); err != nil {
		c.kill()
		t.Fatalf("the other starter said nothing: %v\n%s", err, c.errs.String())
	}
	return r
}

// stop asks the child to stop its server and end.
func (c *child) stop(t *testing.T) {
	t.Helper()
	if err := c.stdin.Close(); err != nil {
		t.Fatal(err)
	}
	if r := c.report(t); r.Err != "" {
		t.Errorf("the other starter's Stop: %s", r.Err)
	}
	if err := c.cmd.Wait(); err != nil {
		t.Errorf("the other starter ended badly: %v", err)
	}
}

// kill ends the child as a crash would; for one that has ended it does nothing.
func (c *child) kill() {
	if c.cmd.ProcessState == nil {
		_ = c.cmd.Process.Kill()
		_ = c.cmd.Wait()
	}
}

// beChild starts a server, reports, and stops it when its input ends.
func beChild(encoded string) int {
	if err := dropTracing(); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	var opts Options
	if err := json.NewDecoder(strings.NewReader(encoded)).Decode(&opts); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	out := json.NewEncoder(os.Stdout)
	s, err := Start(contextOfTests(), opts)
	if err != nil {
		return exitCode(out.Encode(report{Err: err.Error()}))
	}
	if err := out.Encode(report{Owned: s.Owned(), URL: s.URL(Superuser, "postgres"), Data: s.DataDir()}); err != nil {
		return exitCode(err)
	}
	if _, err := io.Copy(io.Discard, os.Stdin); err != nil {
		return exitCode(err)
	}
	var r report
	if err := s.Stop(); err != nil {
		r.Err = err.Error()
	}
	return exitCode(out.Encode(r))
}

func exitCode(err error) int {
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return 0
}
