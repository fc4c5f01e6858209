package main

import (
	"bytes"
	"context"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"witnessmark/internal/localpg/testpg"
)

// asProgram in the environment makes this test program the program itself, for tests that kill it.
const asProgram = "WITNESSMARK_TEST_AS_PROGRAM"

func TestMain(m *testing.M) {
	if os.Getenv(asProgram) != "" {
		main()
		os.Exit(0)
	}
	testpg.Main(m)
}

// patience is how long a test waits for what must happen; it bounds a hang and asserts no speed.
const patience = 4 * time.Minute

// variables is an environment of its own for run.
type variables map[string]string

func (v variables) of(name string) string { return v[name] }

// output collects what a command prints and lets a test wait for words in it.
type output struct {
	mu   sync.Mutex
	text bytes.Buffer
}

func (o *output) Write(p []byte) (int, error) {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.Write(p)
}

func (o *output) String() string {
	o.mu.Lock()
	defer o.mu.Unlock()
	return o.text.String()
}

// do runs a command to its end.
func do(t *testing.T, env variables, args ...string) (string, error) {
	t.Helper()
	var out output
	err := run(t.Context(), args, env.of, &out)
	return out.String(), err
}

// running is a command under way.
type running struct {
	out   *output
	stop  context.CancelFunc
	ended chan struct{}
	err   error // once ended
}

// start runs a command in the background. The test's end stops it, if the test has not.
func start(t *testing.T, env variables, args ...string) *running {
	t.Helper()
	ctx, stop := context.WithCancel(context.WithoutCancel(t.Context()))
	r := &running{out: &output{}, stop: stop, ended: make(chan struct{})}
	go func() {
		defer close(r.ended)
		r.err = run(ctx, args, env.of, r.out)
	}()
	t.Cleanup(func() {
		stop()
		<-r.ended
	})
	return r
}

// says waits until the command has printed the words, and gives all that it printed.
func (r *running) says(t *testing.T, words string) string {
	t.Helper()
	until(t, words, func() bool {
		select {
		case <-r.ended:
			if !strings.Contains(r.out.String(), words) {
				t.Fatalf("it ended (%v) without saying %q:\n%s", r.err, words, r.out)
			}
		default:
		}
		return strings.Contains(r.out.String(), words)
	})
	return r.out.String()
}

// end asks the command to stop, as Ctrl-C does, and gives its result.
func (r *running) end(t *testing.T) error {
	t.Helper()
	r.stop()
	r.wait(t)
	return r.err
}

func (r *running) wait(t *testing.T) {
	t.Helper()
	select {
	case <-r.ended:
	case <-time.After(patience):
		t.Fatalf("it does not end:\n%s", r.out)
	}
}

// until waits for a condition.
func until(t *testing.T, what string, is func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !is(); time.Sleep(20 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("waited in vain for: %s", what)
		}
	}
}

// process is the program as a process of its own.
type process struct {
	*running
	cmd *exec.Cmd
}

// built is the program as people have it. It fills a demonstration several times faster than this test program does with
// the race detector in it.
func built(t *testing.T) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "witnessmark")
	if out, err := exec.CommandContext(t.Context(), "go", "build", "-o", path, ".").CombinedOutput(); err != nil {
		t.Fatalf("build the program: %v\n%s", err, out)
	}
	return path
}

// itself is this test program, which launch makes the program.
func itself(t *testing.T) string {
	t.Helper()
	path, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// launch starts the program at path as a process of its own, in an environment of its own.
func launch(t *testing.T, path string, args ...string) *process {
	t.Helper()
	p := &process{running: &running{out: &output{}, ended: make(chan struct{})}, cmd: exec.Command(path, args...)}
	p.cmd.Env = []string{asProgram + "=yes", "PATH=" + os.Getenv("PATH"), "HOME=" + os.Getenv("HOME")}
	p.cmd.Stdout, p.cmd.Stderr = p.out, p.out
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		defer close(p.ended)
		p.err = p.cmd.Wait()
	}()
	t.Cleanup(func() {
		select {
		case <-p.ended:
		default:
			if err := p.cmd.Process.Kill(); err != nil && !errors.Is(err, os.ErrProcessDone) {
				t.Error(err)
			}
			<-p.ended
		}
	})
	return p
}

// signal sends a signal that asks the program to stop, and waits until it has ended well.
func (p *process) signal(t *testing.T, s os.Signal) {
	t.Helper()
	if err := p.cmd.Process.Signal(s); err != nil {
		t.Fatal(err)
	}
	p.wait(t)
	if p.err != nil {
		t.Errorf("after the signal %v: %v\n%s", s, p.err, p.out)
	}
}

// contains fails the test for each text that is missing.
func contains(t *testing.T, got string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(got, w) {
			t.Errorf("%q is missing in\n%s", w, got)
		}
	}
}

// refused fails the test unless err is a refusal with code 1 that says each of the texts.
func refused(t *testing.T, err error, want ...string) {
	t.Helper()
	if err == nil {
		t.Fatal("it was not refused")
	}
	contains(t, err.Error(), want...)
	if got := exitCode(err); got != 1 {
		t.Errorf("exit code %d, want 1", got)
	}
}
