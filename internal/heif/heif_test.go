package heif

import (
	"bytes"
	"context"
	"encoding/binary"
	"errors"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"witnessmark/internal/heif/heiftest"
)

// patience is the wall time that tests give a program that must come to its end: no claim about speed.
const patience = 2 * time.Minute

// found is the system's decoder, which `make test` installs. The folder that it works in is seen to be empty afterwards.
func found(t *testing.T) *Decoder {
	t.Helper()
	watchTemp(t)
	d, err := Find()
	if err != nil {
		t.Fatalf("%v: install %s", err, Packages)
	}
	d.wall = patience
	return d
}

// double is a decoder by a script of the test's own.
func double(t *testing.T, wall time.Duration, script string) *Decoder {
	t.Helper()
	watchTemp(t)
	path := filepath.Join(t.TempDir(), "heif-double")
	if err := os.WriteFile(path, []byte("#!/bin/sh\n"+script+"\n"), 0o700); err != nil {
		t.Fatal(err)
	}
	d, err := New(path, wall)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func watchTemp(t *testing.T) {
	t.Helper()
	dir := t.TempDir()
	t.Setenv("TMPDIR", dir)
	t.Cleanup(func() {
		if left, err := os.ReadDir(dir); err != nil || len(left) > 0 {
			t.Errorf("left behind: %v, %v", left, err)
		}
	})
}

func TestDrawsUprightInItsOwnColours(t *testing.T) {
	d := found(t)
	for name, in := range map[string][]byte{"upright": heiftest.Upright, "turned": heiftest.Turned} {
		b, err := d.JPEG(t.Context(), bytes.NewReader(in))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		img, err := jpeg.Decode(bytes.NewReader(b))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if size := img.Bounds().Size(); size.X != heiftest.Width || size.Y != heiftest.Height {
			t.Errorf("%s: %v pixels, want %d × %d", name, size, heiftest.Width, heiftest.Height)
		}
		if at, got, differs := heiftest.Differs(img, 12); differs {
			t.Errorf("%s: at %.2f, %.2f is %v, want %v", name, at.X, at.Y, got, at.Colour)
		}
	}
	if err := d.Try(t.Context()); err != nil {
		t.Errorf("the picture that doctor tries: %v", err)
	}
}

// sized is the picture that claims another size for itself; ispe has 4 bytes of version before its two numbers of 4.
func sized(t *testing.T, heic []byte, w, h uint32) []byte {
	t.Helper()
	b := slices.Clone(heic)
	at := bytes.Index(b, []byte("ispe"))
	if at < 0 {
		t.Fatal("no ispe in the picture")
	}
	binary.BigEndian.PutUint32(b[at+8:], w)
	binary.BigEndian.PutUint32(b[at+12:], h)
	return b
}

// What a broken picture does not come to is an error that says so, whichever way it is broken.
func TestBrokenPicturesAreNotDrawn(t *testing.T) {
	d := found(t)
	whole := heiftest.Upright
	cut := whole[:len(whole)*3/4]
	header := bytes.Index(whole, []byte("mdat")) + 4
	noise := slices.Clone(whole[:header])
	rnd := rand.New(rand.NewPCG(1, 2))
	for range 20_000 {
		noise = append(noise, byte(rnd.Uint32()))
	}
	for name, in := range map[string][]byte{
		"cut":                            cut,
		"noise after a good header":      noise,
		"a header alone":                 whole[:header],
		"it says 60,000 × 60,000 pixels": sized(t, whole, 60_000, 60_000),
		"no HEIC at all":                 []byte("\xff\xd8\xff\xe0 a JPEG"),
		"no bytes":                       nil,
	} {
		if b, err := d.JPEG(t.Context(), bytes.NewReader(in)); !errors.Is(err, ErrNotDrawn) {
			t.Errorf("%s: %d bytes, %v; want ErrNotDrawn", name, len(b), err)
		}
	}
}

// The program is told nothing and held to its limits, which it prints here as a shell has them: memory and files in units of
// 1024 and 512 bytes (POSIX ulimit), processor time in seconds.
func TestTheProgramIsHeldToItsLimits(t *testing.T) {
	d := double(t, patience, `{ ulimit -v; ulimit -t; ulimit -f; ulimit -c; wc -c < /proc/$$/environ; echo "$@"; ls; } > out.jpg`)
	got, err := d.JPEG(t.Context(), strings.NewReader("x"))
	if err != nil {
		t.Fatal(err)
	}
	const want = "1048576\n20\n131072\n0\n0\n--quiet -q 95 in.heic out.jpg\nin.heic\nout.jpg\n"
	if string(got) != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestProgramsThatDoNotDraw(t *testing.T) {
	for name, script := range map[string]string{
		"it fails":               "exit 1",
		"it makes nothing":       "exit 0",
		"it crashes":             "kill -SEGV $$",
		"it writes too much":     "exec head -c 100000000 /dev/zero > out.jpg",
		"it draws two pictures":  "touch out-1.jpg out-2.jpg",
		"it leaves a link":       "ln -s in.heic out.jpg",
		"it leaves a folder":     "mkdir out.jpg",
		"it fails and drew some": "echo x > out.jpg; exit 1",
	} {
		d := double(t, patience, script)
		if b, err := d.JPEG(t.Context(), strings.NewReader("x")); !errors.Is(err, ErrNotDrawn) {
			t.Errorf("%s: %q, %v; want ErrNotDrawn", name, b, err)
		}
	}
}

// A program that hangs is ended, and nothing tries that picture again.
func TestAProgramThatHangsIsEnded(t *testing.T) {
	d := double(t, 50*time.Millisecond, "sleep 3600 & wait")
	if _, err := d.JPEG(t.Context(), strings.NewReader("x")); !errors.Is(err, ErrNotDrawn) {
		t.Errorf("got %v, want ErrNotDrawn", err)
	}
}

// Where the caller stops waiting, all that was started ends; the picture is no worse for it and may be tried again.
func TestTheCallerMayStopWaiting(t *testing.T) {
	at := filepath.Join(t.TempDir(), "pid")
	d := double(t, patience, "sleep 3600 & echo $! > "+at+".new; mv "+at+".new "+at+"; wait")
	ctx, cancel := context.WithCancel(t.Context())
	var pid int
	go func() {
		defer cancel()
		for ; ctx.Err() == nil && pid == 0; time.Sleep(time.Millisecond) {
			b, _ := os.ReadFile(at) // not there at first
			pid, _ = strconv.Atoi(strings.TrimSpace(string(b)))
		}
	}()
	_, err := d.JPEG(ctx, strings.NewReader("x"))
	if !errors.Is(err, context.Canceled) || errors.Is(err, ErrNotDrawn) {
		t.Errorf("got %v, want the caller's own end", err)
	}
	if pid == 0 {
		t.Fatal("the program was not started")
	}
	for syscall.Kill(pid, 0) == nil && !zombie(pid) { // the test's own time is the limit
		time.Sleep(time.Millisecond)
	}
}

// zombie says whether a process has ended and nobody has asked how, as happens to orphans in a container.
func zombie(pid int) bool {
	b, err := os.ReadFile("/proc/" + strconv.Itoa(pid) + "/stat")
	return err != nil || strings.Contains(string(b), ") Z ")
}

// Trouble of this machine is told apart from a bad picture, so that the picture is tried again.
func TestTroubleIsNotThePicturesFault(t *testing.T) {
	gone := double(t, patience, "exit 0")
	if err := os.Remove(gone.program); err != nil {
		t.Fatal(err)
	}
	if _, err := gone.JPEG(t.Context(), strings.NewReader("x")); err == nil || errors.Is(err, ErrNotDrawn) {
		t.Errorf("the program is gone: got %v", err)
	}
	d := double(t, patience, "exit 0")
	t.Setenv("TMPDIR", filepath.Join(t.TempDir(), "not there"))
	if _, err := d.JPEG(t.Context(), strings.NewReader("x")); err == nil || errors.Is(err, ErrNotDrawn) {
		t.Errorf("no room for the picture: got %v", err)
	}
}

func TestFindSaysWhatIsNotThere(t *testing.T) {
	dir := t.TempDir()
	t.Setenv("PATH", dir)
	for _, step := range []struct{ program, want string }{{"", "heif-dec"}, {"heif-convert", "prlimit"}, {"prlimit", ""}, {"heif-dec", ""}} {
		if step.program != "" {
			if err := os.WriteFile(filepath.Join(dir, step.program), nil, 0o700); err != nil {
				t.Fatal(err)
			}
		}
		d, err := Find()
		switch {
		case step.want == "" && err != nil, step.want != "" && (err == nil || !strings.Contains(err.Error(), step.want)):
			t.Errorf("with %q: got %v, want %q", step.program, err, step.want)
		case step.program == "heif-dec" && d.Program() != filepath.Join(dir, "heif-dec"):
			t.Errorf("got %s, want the newer name first", d.Program())
		}
	}
}
