package blob

import (
	"bufio"
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
	"testing"
	"time"
)

// The tests in this file run this test program again as a child that stores one blob, and watch or hurt that child from
// outside: under strace, or by killing it.

const (
	childEnv = "WITNESSMARK_BLOB_CHILD" // what the child is to do; its folder is its only argument
	ackWord  = "ACKNOWLEDGED"
	halfWord = "HALF"
)

// childBlob is more than one buffer long, so that it takes several writes.
var childBlob = bytes.Repeat([]byte("a pipe, a joint, a clip. "), 12_000)

func TestMain(m *testing.M) {
	if mode := os.Getenv(childEnv); mode != "" {
		runtime.LockOSThread() // strace counts calls per thread
		if err := child(mode, os.Args[1]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(3)
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

func child(mode, dir string) error {
	if mode == "tmpfs" {
		if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, "size=128k"); err != nil {
			return err
		}
	}
	f, err := OpenFolder(dir)
	if err != nil {
		return err
	}
	if mode == "part" {
		d, err := childPart(f)
		if err == nil {
			fmt.Println(ackWord, d)
		}
		return err
	}
	var in io.Reader = bytes.NewReader(childBlob)
	if mode == "half" {
		in = io.MultiReader(bytes.NewReader(childBlob[:len(childBlob)/2]), stuck{})
	}
	d, _, err := f.Put(context.Background(), in, 1<<30)
	if mode == "tmpfs" {
		return reportFull(dir, err)
	}
	if err != nil {
		return err
	}
	_, err = fmt.Println(ackWord, d)
	return err
}

// stuck is a sender that has gone quiet.
type stuck struct{}

func (stuck) Read([]byte) (int, error) {
	fmt.Println(halfWord)
	time.Sleep(time.Hour)
	return 0, io.EOF
}

// strace runs the child that puts a blob under strace with the given further arguments. It gives the child's output and the
// trace.
func strace(t *testing.T, dir string, args ...string) (out, trace string) {
	t.Helper()
	return straceOf(t, "put", dir, args...)
}

// straceOf does so with the child that does something else.
func straceOf(t *testing.T, mode, dir string, args ...string) (out, trace string) {
	t.Helper()
	path, err := exec.LookPath("strace")
	if err != nil {
		t.Fatal("This test proves the order of writing with strace, which is not installed: run `make test`, or `apt-get install strace`.")
	}
	log := filepath.Join(t.TempDir(), "trace")
	all := append([]string{"-f", "-y", "-o", log}, args...)
	cmd := exec.CommandContext(t.Context(), path, append(all, os.Args[0], dir)...)
	cmd.Env = append(os.Environ(), childEnv+"="+mode)
	var stdout, stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = &stdout, &stderr
	if err := cmd.Run(); err != nil && cmd.ProcessState == nil {
		t.Fatalf("running strace: %v", err)
	}
	text, err := os.ReadFile(log)
	if err != nil {
		t.Fatalf("strace left no trace (may this account trace processes?): %v\n%s", err, stderr.String())
	}
	return stdout.String(), string(text)
}

// calls puts the trace's calls in order of their beginning, each on one line without its process number, so that one
// interrupted by another thread's reads as one.
func calls(trace string) []string {
	var got []string
	open := map[string]int{} // by process number: the call that has not returned yet
	for line := range strings.Lines(trace) {
		pid, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		rest = strings.TrimSpace(rest)
		if head, cut := strings.CutSuffix(rest, "<unfinished ...>"); cut {
			open[pid] = len(got)
			got = append(got, strings.TrimSpace(head))
		} else if _, tail, resumed := strings.Cut(rest, " resumed>"); resumed {
			got[open[pid]] += tail
		} else {
			got = append(got, rest)
		}
	}
	return got
}

const watched = "trace=openat,write,fsync,?rename,?renameat,?renameat2,?mkdir,?mkdirat"

func TestOrderOnDisk(t *testing.T) {
	dir := t.TempDir()
	out, trace := strace(t, dir, "-e", watched)
	d := Digest(sha256.Sum256(childBlob))
	if want := ackWord + " " + d.String(); strings.TrimSpace(out) != want {
		t.Fatalf("child said %q; want %q\n%s", out, want, trace)
	}
	q := regexp.QuoteMeta(dir)
	s := d.String()
	inner := q + "/" + s[:2] + "/" + s[2:4]
	temp := q + "/incoming/[A-Z0-9]+"
	// The lock on the thread makes the store's calls come one after the other, so their beginnings are their order.
	steps := []step{
		{"make the temporary file", `^openat\(.*"` + temp + `", O_RDWR\|O_CREAT\|O_EXCL.*= \d+`},
		{"first write", `^write\(\d+<` + temp + `>.*= \d+$`},
		{"last write", `^write\(\d+<` + temp + `>.*= \d+$`},
		{"sync the file", `^fsync\(\d+<` + temp + `>\) += 0$`},
		{"make the folder", `^mkdir.*"` + inner + `".* = 0$`},
		{"rename", `^rename.*"` + temp + `".*"` + inner + "/" + s + `".* = 0$`},
		{"sync the inner folder", `^fsync\(\d+<` + inner + `>\) += 0$`},
		{"sync the outer folder", `^fsync\(\d+<` + q + "/" + s[:2] + `>\) += 0$`},
		{"sync the store", `^fsync\(\d+<` + q + `>\) += 0$`},
		{"acknowledge", `^write\(1<.*"` + ackWord},
	}
	got := calls(trace)
	inOrder(t, got, steps)
	lastWrite := regexp.MustCompile(`^write\(\d+<` + temp)
	synced := regexp.MustCompile(steps[3].pattern)
	seen := false
	for _, call := range got {
		seen = seen || synced.MatchString(call)
		if seen && lastWrite.MatchString(call) {
			t.Errorf("written after the sync: %s", call)
		}
	}
}

// step is a call that has to come after the step before it.
type step struct{ name, pattern string }

func inOrder(t *testing.T, got []string, steps []step) {
	t.Helper()
	at := 0
	for _, step := range steps {
		re := regexp.MustCompile(step.pattern)
		for at < len(got) && !re.MatchString(got[at]) {
			at++
		}
		if at == len(got) {
			t.Fatalf("%s: no call like %s after the step before it, in\n%s", step.name, step.pattern, strings.Join(got, "\n"))
		}
		at++
	}
}

// TestNoCallMayFailUnnoticed fails each call in turn, and kills the child at each: nothing may be acknowledged then, and
// whatever lies under a digest must be whole.
func TestNoCallMayFailUnnoticed(t *testing.T) {
	tests := []struct {
		name, calls, what string
		times             int // how many of these calls there are: one run hurts each
	}{
		{"sync fails", "fsync", "error=EIO", 6}, // two in opening the store, four in storing
		{"rename fails", "?rename,?renameat,?renameat2", "error=EIO", 1},
		{"write fails", "write", "error=EIO", 4}, // three of the blob, one of the word that acknowledges it,
		{"disk full while writing", "write", "error=ENOSPC", 4},
		{"disk full at the sync", "fsync", "error=ENOSPC", 6},
		{"killed at a sync", "fsync", "signal=KILL", 6},
		{"killed at the rename", "?rename,?renameat,?renameat2", "signal=KILL", 1},
		{"killed while writing", "write", "signal=KILL", 3},
	}
	d := Digest(sha256.Sum256(childBlob))
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for n := 1; n <= tt.times; n++ {
				dir := t.TempDir()
				out, trace := strace(t, dir, "-e", "trace="+tt.calls, "-e", fmt.Sprintf("inject=%s:%s:when=%d", tt.calls, tt.what, n))
				if !strings.Contains(trace, "INJECTED") && !strings.Contains(trace, "SIGKILL") {
					t.Fatalf("call %d: strace hurt nothing:\n%s", n, trace)
				}
				if strings.Contains(out, ackWord) {
					t.Errorf("call %d was hurt, and the blob acknowledged all the same:\n%s", n, trace)
				}
				checkAfterCrash(t, dir, d)
			}
		})
	}
}

func checkAfterCrash(t *testing.T, dir string, d Digest) {
	t.Helper()
	f, err := OpenFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	has, err := f.Has(d)
	if err != nil {
		t.Fatal(err)
	}
	if has {
		if err := f.Verify(d); err != nil {
			t.Errorf("under its digest, and not whole: %v", err)
		}
	}
	for _, path := range files(t, dir) {
		if path != d.path() && !strings.HasPrefix(path, incoming+"/") {
			t.Errorf("a stray file: %s", path)
		}
	}
	// Whatever happened, sending it again works.
	if got, _, err := f.Put(t.Context(), bytes.NewReader(childBlob), 1<<30); err != nil || got != d {
		t.Errorf("sent again: %v, %v", got, err)
	}
}

func TestKilledHalfWay(t *testing.T) {
	dir := t.TempDir()
	cmd := exec.CommandContext(t.Context(), os.Args[0], dir)
	cmd.Env = append(os.Environ(), childEnv+"=half")
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil || strings.TrimSpace(line) != halfWord {
		t.Fatalf("child said %q, %v; want %q", line, err, halfWord)
	}
	if err := cmd.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	var exit *exec.ExitError
	if err := cmd.Wait(); !errors.As(err, &exit) {
		t.Fatalf("child ended with %v; want it killed", err)
	}
	left := files(t, dir)
	if len(left) != 1 || !strings.HasPrefix(left[0], incoming+"/") {
		t.Fatalf("left behind: %q; want one temporary file", left)
	}
	setAge(t, filepath.Join(dir, left[0]), 25*time.Hour)
	checkAfterCrash(t, dir, Digest(sha256.Sum256(childBlob)))
	if got := files(t, dir); len(got) != 1 || strings.HasPrefix(got[0], incoming) {
		t.Errorf("a day later: %q; want the blob alone", got)
	}
}

// reportFull says on the output whether err is the full disk's own, and what it left.
func reportFull(dir string, err error) error {
	var full *FullError
	entries, readErr := os.ReadDir(filepath.Join(dir, incoming))
	fmt.Println("full:", errors.As(err, &full), errors.Is(err, syscall.ENOSPC), "left:", len(entries), readErr)
	return nil
}

// TestFullDisk fills a real small disk. Where the system lets no test mount one (a locked-down container), the full disk
// of TestNoCallMayFailUnnoticed and TestFullIsNamed remain.
func TestFullDisk(t *testing.T) {
	cmd := exec.CommandContext(t.Context(), os.Args[0], t.TempDir())
	cmd.Env = append(os.Environ(), childEnv+"=tmpfs")
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWNS | syscall.CLONE_NEWUSER,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	out, err := cmd.CombinedOutput()
	if errors.Is(err, syscall.EPERM) || bytes.Contains(out, []byte("operation not permitted")) {
		t.Logf("no small disk can be mounted here: %v %s", err, out)
		return
	}
	if got, want := strings.TrimSpace(string(out)), "full: true true left: 0 <nil>"; err != nil || got != want {
		t.Errorf("child said %q, %v; want %q", got, err, want)
	}
}

func TestFullIsNamed(t *testing.T) {
	for _, errno := range []syscall.Errno{syscall.ENOSPC, syscall.EDQUOT} {
		err := storing(&os.PathError{Op: "write", Path: "x", Err: errno})
		var full *FullError
		if !errors.As(err, &full) || !errors.Is(err, syscall.ENOSPC) || !errors.Is(err, errno) {
			t.Errorf("%v: %v is not a full disk", errno, err)
		}
	}
	if err := storing(syscall.EIO); errors.Is(err, syscall.ENOSPC) {
		t.Errorf("%v counts as a full disk", err)
	}
}
