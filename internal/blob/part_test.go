package blob

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"witnessmark/internal/fault"
)

// appended adds text to a part and wants all of it taken.
func appended(t *testing.T, f *Folder, p Part, at int64, text string) {
	t.Helper()
	if n, err := f.AppendPart(t.Context(), p, at, strings.NewReader(text), 100); err != nil || n != int64(len(text)) {
		t.Fatalf("AppendPart at %d = %d, %v", at, n, err)
	}
}

func wantSize(t *testing.T, f *Folder, p Part, want int64) {
	t.Helper()
	if got, err := f.PartSize(p); err != nil || got != want {
		t.Errorf("PartSize = %d, %v; want %d", got, err, want)
	}
}

func TestAPartGrowsAndIsKept(t *testing.T) {
	f := openFolder(t)
	p := Part{1, 15: 9}
	wantSize(t, f, p, 0)
	appended(t, f, p, 0, "a")
	wantSize(t, f, p, 1)
	appended(t, f, p, 1, "bc")
	if got, want := strings.Join(files(t, f.dir), " "), "parts/01000000000000000000000000000009"; got != want {
		t.Errorf("files = %q; want %q", got, want)
	}
	abc := Digest(sha256.Sum256([]byte("abc")))
	for range 2 { // whoever is cut short does it again
		d, n, err := f.KeepPart(p, Expect(abc))
		if err != nil || d != abc || n != 3 {
			t.Fatalf("KeepPart = %v, %d, %v", d, n, err)
		}
		if err := f.Verify(abc); err != nil {
			t.Error(err)
		}
		if got, want := strings.Join(files(t, f.dir), " "), abc.path()+" parts/01000000000000000000000000000009"; got != want {
			t.Errorf("files = %q; want %q", got, want)
		}
	}
	part, err := os.Stat(f.part(p))
	if err != nil {
		t.Fatal(err)
	}
	kept, err := os.Stat(f.file(abc))
	if err != nil || !os.SameFile(part, kept) || kept.Mode().Perm() != fileMod {
		t.Errorf("the blob (mode %v, %v) and its part are two files, or it may be written to", kept.Mode(), err)
	}
	for range 2 {
		if err := f.DropPart(p); err != nil {
			t.Fatal(err)
		}
	}
	wantSize(t, f, p, 0)
	if err := f.Verify(abc); err != nil {
		t.Error(err)
	}
	if _, _, err := f.KeepPart(p); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("KeepPart of nothing = %v; want %v", err, fs.ErrNotExist)
	}
}

// The blob's digest may be here already, and be spoilt: keeping the part mends it.
func TestKeepingAPartMendsASpoiltBlob(t *testing.T) {
	f := openFolder(t)
	d, _, err := f.Put(t.Context(), strings.NewReader("reading 1.5 bar"), 100)
	if err != nil {
		t.Fatal(err)
	}
	spoil(t, f.file(d), "reading 1.6 bar")
	appended(t, f, Part{1}, 0, "reading 1.5 bar")
	if got, _, err := f.KeepPart(Part{1}); err != nil || got != d {
		t.Fatalf("KeepPart = %v, %v", got, err)
	}
	if err := f.Verify(d); err != nil {
		t.Error(err)
	}
}

// Whatever ends a part's growth, its length says truly what is here.
func TestAPartThatDoesNotGrowAsMeant(t *testing.T) {
	cut := errors.New("connection cut")
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	for _, c := range []struct {
		name  string
		ctx   context.Context
		at    int64
		in    io.Reader
		added int64
		want  func(error) bool
	}{
		{"the sender goes away", t.Context(), 3, io.MultiReader(strings.NewReader("de"), iotest.ErrReader(cut)), 2, func(err error) bool { return errors.Is(err, cut) }},
		{"the request ends", ended, 3, strings.NewReader("de"), 0, func(err error) bool { return errors.Is(err, context.Canceled) }},
		{"further back", t.Context(), 2, strings.NewReader("cd"), 0, func(err error) bool { return fault.KindOf(err) == fault.KindConflict }},
		{"further on", t.Context(), 4, strings.NewReader("e"), 0, func(err error) bool { return fault.KindOf(err) == fault.KindConflict }},
		{"more than is left", t.Context(), 3, strings.NewReader("defghijklmno"), 7, func(err error) bool { return err == nil }},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := openFolder(t)
			p := Part{2}
			appended(t, f, p, 0, "abc")
			n, err := f.AppendPart(c.ctx, p, c.at, c.in, 7)
			if n != c.added || !c.want(err) {
				t.Errorf("AppendPart = %d, %v; want %d", n, err, c.added)
			}
			wantSize(t, f, p, 3+c.added)
			own := errors.New("not a picture")
			if _, _, err := f.KeepPart(p, func(io.ReadSeeker, Digest, int64) error { return own }); !errors.Is(err, own) {
				t.Errorf("KeepPart = %v; want the check's error", err)
			}
			if got := files(t, f.dir); len(got) != 1 {
				t.Errorf("files = %q; want the part alone", got)
			}
		})
	}
}

func TestOnlyOldPartsAreSwept(t *testing.T) {
	f := openFolder(t)
	appended(t, f, Part{1}, 0, "old")
	appended(t, f, Part{2}, 0, "young")
	setAge(t, f.part(Part{1}), 8*24*time.Hour)
	setAge(t, f.part(Part{2}), 6*24*time.Hour)
	if _, err := OpenFolder(f.dir); err != nil { // its sweep is not that of parts, which may wait longer
		t.Fatal(err)
	}
	wantSize(t, f, Part{1}, 3)
	if err := f.SweepParts(time.Now().Add(-7 * 24 * time.Hour)); err != nil {
		t.Fatal(err)
	}
	wantSize(t, f, Part{1}, 0)
	wantSize(t, f, Part{2}, 5)
}

// childPart is what the child of the tests below does: a blob that comes in two parts.
func childPart(f *Folder) (Digest, error) {
	p, half := Part{7}, int64(len(childBlob)/2)
	at, err := f.PartSize(p)
	if err != nil {
		return Digest{}, err
	}
	for at < int64(len(childBlob)) {
		n, err := f.AppendPart(context.Background(), p, at, bytes.NewReader(childBlob[at:]), half)
		if err != nil {
			return Digest{}, err
		}
		at += n
		fmt.Println("AT", at)
	}
	d, _, err := f.KeepPart(p, Expect(sha256.Sum256(childBlob)))
	if err != nil {
		return Digest{}, err
	}
	return d, f.DropPart(p)
}

// Every part is on the disk before the sender hears how far the file is, and the file is under its digest before it is
// acknowledged; its bytes are written once.
func TestOrderOnDiskOfParts(t *testing.T) {
	dir := t.TempDir()
	out, trace := straceOf(t, "part", dir, "-e", watched+",?link,?linkat,?unlink,?unlinkat,?fchmod,?copy_file_range,?sendfile")
	d := Digest(sha256.Sum256(childBlob))
	if !strings.HasSuffix(strings.TrimSpace(out), ackWord+" "+d.String()) {
		t.Fatalf("child said %q\n%s", out, trace)
	}
	q, s := regexp.QuoteMeta(dir), d.String()
	part, inner := q+"/parts/07[0]{30}", q+"/"+s[:2]+"/"+s[2:4]
	got := calls(trace)
	inOrder(t, got, []step{
		{"make the part", `^openat\(.*"` + part + `", O_WRONLY\|O_CREAT`},
		{"write the first half", `^write\(\d+<` + part + `>.*= \d+$`},
		{"sync the first half", `^fsync\(\d+<` + part + `>\) += 0$`},
		{"sync the name", `^fsync\(\d+<` + q + `/parts>\) += 0$`},
		{"say how far", `^write\(1<.*"AT`},
		{"write the second half", `^write\(\d+<` + part + `>.*= \d+$`},
		{"sync the second half", `^fsync\(\d+<` + part + `>\) += 0$`},
		{"say how far", `^write\(1<.*"AT`},
		{"close it to writing", `^fchmod.*0440\) += 0$`},
		{"sync the file", `^fsync\(\d+<` + part + `>\) += 0$`},
		{"give it a second name", `^link.*"` + part + `".*"` + q + `/incoming/[A-Z0-9]+".* = 0$`},
		{"rename", `^rename.*"` + q + `/incoming/[A-Z0-9]+".*"` + inner + "/" + s + `".* = 0$`},
		{"sync the inner folder", `^fsync\(\d+<` + inner + `>\) += 0$`},
		{"sync the outer folder", `^fsync\(\d+<` + q + "/" + s[:2] + `>\) += 0$`},
		{"sync the store", `^fsync\(\d+<` + q + `>\) += 0$`},
		{"take the part away", `^unlink.*"` + part + `".* = 0$`},
		{"acknowledge", `^write\(1<.*"` + ackWord},
	})
	written := regexp.MustCompile(`^(write|copy_file_range|sendfile)\(.*<` + q)
	for _, call := range got {
		if written.MatchString(call) && !regexp.MustCompile(`^write\(\d+<`+part+`>`).MatchString(call) {
			t.Errorf("the bytes are written a second time: %s", call)
		}
	}
}

// TestNoPartMayFailUnnoticed hurts each call in turn: nothing may be acknowledged that is not so, and started again the child
// goes on from what it finds.
func TestNoPartMayFailUnnoticed(t *testing.T) {
	for _, tt := range []struct {
		name, calls, what string
		first, last       int // the calls that a run may hurt, each in a run of its own
	}{
		{"sync fails", "fsync", "error=EIO", 3, 9}, // two in opening the store
		{"the second name fails", "?link,?linkat", "error=EIO", 1, 1},
		{"rename fails", "?rename,?renameat,?renameat2", "error=EIO", 1, 1},
		{"disk full while writing", "write", "error=ENOSPC", 1, 2},
		{"killed at a sync", "fsync", "signal=KILL", 3, 9},
		{"killed at the second name", "?link,?linkat", "signal=KILL", 1, 1},
		{"killed at the rename", "?rename,?renameat,?renameat2", "signal=KILL", 1, 1},
		{"killed while writing", "write", "signal=KILL", 1, 3},
	} {
		t.Run(tt.name, func(t *testing.T) {
			for n := tt.first; n <= tt.last; n++ {
				dir := t.TempDir()
				out, trace := straceOf(t, "part", dir, "-e", "trace="+tt.calls, "-e", fmt.Sprintf("inject=%s:%s:when=%d", tt.calls, tt.what, n))
				if !strings.Contains(trace, "INJECTED") && !strings.Contains(trace, "SIGKILL") {
					t.Fatalf("call %d: strace hurt nothing:\n%s", n, trace)
				}
				if strings.Contains(out, ackWord) {
					t.Errorf("call %d was hurt, and the blob acknowledged all the same:\n%s", n, trace)
				}
				f, err := OpenFolder(dir)
				if err != nil {
					t.Fatal(err)
				}
				acknowledged := int64(strings.Count(out, "AT")) * int64(len(childBlob)/2)
				if at, err := f.PartSize(Part{7}); err != nil || at < acknowledged {
					t.Errorf("call %d: %d bytes are here, %v; %d were acknowledged", n, at, err, acknowledged)
				}
				d := Digest(sha256.Sum256(childBlob))
				if got, err := childPart(f); err != nil || got != d {
					t.Errorf("call %d: started again: %v, %v", n, got, err)
				}
				if err := f.Verify(d); err != nil {
					t.Error(err)
				}
				for _, path := range files(t, dir) {
					if path != d.path() && !strings.HasPrefix(path, incoming+string(filepath.Separator)) {
						t.Errorf("a stray file: %s", path)
					}
				}
			}
		})
	}
}
