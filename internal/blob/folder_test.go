package blob

import (
	"bytes"
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"testing/iotest"
	"time"

	"witnessmark/internal/fault"
)

func openFolder(t *testing.T) *Folder {
	t.Helper()
	f, err := OpenFolder(filepath.Join(t.TempDir(), "made", "on the way"))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// files lists every file in the store by its path below it.
func files(t *testing.T, dir string) []string {
	t.Helper()
	var got []string
	err := filepath.WalkDir(dir, func(path string, e fs.DirEntry, err error) error {
		if err == nil && !e.IsDir() {
			rel, _ := filepath.Rel(dir, path)
			got = append(got, filepath.ToSlash(rel))
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestPutAndOpen(t *testing.T) {
	// FIPS 180-4 example values (NIST, "SHA-256 Example", one- and two-block messages) and the empty message.
	tests := []struct{ name, in, digest string }{
		{"empty", "", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"},
		{"one block", "abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"},
		{"two blocks", "abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq",
			"248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := openFolder(t)
			d, size, err := f.Put(t.Context(), iotest.OneByteReader(strings.NewReader(tt.in)), int64(len(tt.in)))
			if err != nil || d.String() != tt.digest || size != int64(len(tt.in)) {
				t.Fatalf("Put = %v, %d, %v; want %s, %d", d, size, err, tt.digest, len(tt.in))
			}
			want := tt.digest[:2] + "/" + tt.digest[2:4] + "/" + tt.digest
			if got := files(t, f.dir); len(got) != 1 || got[0] != want {
				t.Errorf("files = %q; want only %q", got, want)
			}
			r, size, err := f.Open(d)
			if err != nil || size != int64(len(tt.in)) {
				t.Fatalf("Open = %d bytes, %v", size, err)
			}
			defer r.Close()
			if got, err := io.ReadAll(r); err != nil || string(got) != tt.in {
				t.Errorf("read %q, %v; want %q", got, err, tt.in)
			}
			if has, err := f.Has(d); err != nil || !has {
				t.Errorf("Has = %v, %v; want true", has, err)
			}
			if err := f.Verify(d); err != nil {
				t.Errorf("Verify: %v", err)
			}
		})
	}
}

func TestPutRefuses(t *testing.T) {
	cut := errors.New("connection cut")
	own := errors.New("not a picture")
	ended, cancel := context.WithCancel(t.Context())
	cancel()
	tests := []struct {
		name  string
		ctx   context.Context
		in    io.Reader
		limit int64
		check Check
		want  func(error) bool
	}{
		{"a byte too many", t.Context(), strings.NewReader("12345"), 4, nil, invalidOn("file")},
		{"another digest than expected", t.Context(), strings.NewReader("1234"), 4, Expect(Digest{1}), invalidOn("sha256")},
		{"a check says no", t.Context(), strings.NewReader("1234"), 4,
			func(io.ReadSeeker, Digest, int64) error { return own }, func(err error) bool { return errors.Is(err, own) }},
		{"the sender goes away", t.Context(), io.MultiReader(strings.NewReader("12"), iotest.ErrReader(cut)), 4, nil,
			func(err error) bool { return errors.Is(err, cut) }},
		{"the request ends", ended, strings.NewReader("1234"), 4, nil,
			func(err error) bool { return errors.Is(err, context.Canceled) }},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f := openFolder(t)
			var checks []Check
			if tt.check != nil {
				checks = append(checks, tt.check)
			}
			d, n, err := f.PutChecked(tt.ctx, tt.in, tt.limit, checks...)
			if !tt.want(err) || d != (Digest{}) || n != 0 {
				t.Errorf("Put = %v, %d, %v", d, n, err)
			}
			if got := files(t, f.dir); len(got) != 0 {
				t.Errorf("left behind: %q", got)
			}
		})
	}
}

func invalidOn(field string) func(error) bool {
	return func(err error) bool {
		e, ok := fault.As(err)
		return ok && e.Kind == fault.KindInvalid && e.Fields[0].Name == field
	}
}

func TestChecksSeeTheBytesAndTheDigest(t *testing.T) {
	f := openFolder(t)
	want := Digest(sha256.Sum256([]byte("evidence")))
	seen := 0
	look := func(r io.ReadSeeker, d Digest, size int64) error {
		got, err := io.ReadAll(r)
		if err != nil || string(got) != "evidence" || d != want || size != 8 {
			t.Errorf("check saw %q, %v, %d, %v", got, d, size, err)
		}
		seen++
		return nil
	}
	if _, _, err := f.PutChecked(t.Context(), strings.NewReader("evidence"), 100, look, Expect(want), look); err != nil || seen != 2 {
		t.Errorf("err = %v, checks made %d; want 2", err, seen)
	}
}

func TestSameBytesAtOnce(t *testing.T) {
	f := openFolder(t)
	other, err := OpenFolder(f.dir) // a second process on the same folder
	if err != nil {
		t.Fatal(err)
	}
	in := make([]byte, 300<<10)
	if _, err := rand.Read(in); err != nil {
		t.Fatal(err)
	}
	want := Digest(sha256.Sum256(in))
	var wg sync.WaitGroup
	for i := range 16 {
		store := []*Folder{f, other}[i%2]
		wg.Go(func() {
			d, n, err := store.Put(t.Context(), bytes.NewReader(in), 1<<20)
			if err != nil || d != want || n != int64(len(in)) {
				t.Errorf("Put = %v, %d, %v; want %v", d, n, err, want)
			}
			if err := store.Verify(d); err != nil {
				t.Errorf("Verify: %v", err)
			}
		})
	}
	wg.Wait()
	if got := files(t, f.dir); len(got) != 1 {
		t.Errorf("files = %q; want one", got)
	}
}

func TestVerifyFindsAChangedByteAndPutMendsIt(t *testing.T) {
	f := openFolder(t)
	d, _, err := f.Put(t.Context(), strings.NewReader("reading 1.5 bar"), 100)
	if err != nil {
		t.Fatal(err)
	}
	if stat, err := os.Stat(f.file(d)); err != nil || stat.Mode().Perm()&0o222 != 0 {
		t.Errorf("mode %v, %v; want read-only", stat.Mode(), err)
	}
	spoil(t, f.file(d), "reading 1.6 bar")
	var mismatch *MismatchError
	if err := f.Verify(d); !errors.As(err, &mismatch) || mismatch.Want != d || mismatch.Got == d {
		t.Errorf("Verify = %v; want a mismatch for %v", err, d)
	}
	if _, _, err := f.Put(t.Context(), strings.NewReader("reading 1.5 bar"), 100); err != nil {
		t.Fatal(err)
	}
	if err := f.Verify(d); err != nil {
		t.Errorf("after sending it again: %v", err)
	}
}

func spoil(t *testing.T, file, content string) {
	t.Helper()
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, []byte(content), 0o440); err != nil {
		t.Fatal(err)
	}
}

func TestAbsent(t *testing.T) {
	f := openFolder(t)
	d := Digest{7}
	if has, err := f.Has(d); has || err != nil {
		t.Errorf("Has = %v, %v; want false", has, err)
	}
	if _, _, err := f.Open(d); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("Open = %v; want NotFound", err)
	}
	if err := f.Verify(d); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("Verify = %v; want NotFound", err)
	}
}

func TestOpenFolderSweepsOnlyOldTemporaryFiles(t *testing.T) {
	f := openFolder(t)
	d, _, err := f.Put(t.Context(), strings.NewReader("kept"), 100)
	if err != nil {
		t.Fatal(err)
	}
	for name, age := range map[string]time.Duration{"old": 25 * time.Hour, "young": 23 * time.Hour} {
		path := filepath.Join(f.incoming(), name)
		if err := os.WriteFile(path, []byte("half"), 0o640); err != nil {
			t.Fatal(err)
		}
		setAge(t, path, age)
	}
	setAge(t, f.file(d), 1000*time.Hour)
	if _, err := OpenFolder(f.dir); err != nil {
		t.Fatal(err)
	}
	got := strings.Join(files(t, f.dir), " ")
	if want := d.path() + " incoming/young"; got != want {
		t.Errorf("files = %q; want %q", got, want)
	}
}

func setAge(t *testing.T, path string, age time.Duration) {
	t.Helper()
	at := time.Now().Add(-age)
	if err := os.Chtimes(path, at, at); err != nil {
		t.Fatal(err)
	}
}

func TestOpenFolderOnAFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(path, nil, 0o640); err != nil {
		t.Fatal(err)
	}
	if f, err := OpenFolder(path); err == nil {
		t.Errorf("OpenFolder = %v; want an error", f)
	}
}

func TestParse(t *testing.T) {
	good := strings.Repeat("0f", 32)
	if d, err := Parse(good); err != nil || d.String() != good {
		t.Errorf("Parse(%q) = %v, %v", good, d, err)
	}
	for _, in := range []string{"", good[1:], good + "0", strings.ToUpper(good), "../../../etc/passwd", strings.Repeat("g", 64),
		"sha256:" + good[7:], strings.Repeat("\x00", 64)} {
		if d, err := Parse(in); !invalidOn("sha256")(err) || d != (Digest{}) {
			t.Errorf("Parse(%q) = %v, %v; want a fault on sha256", in, d, err)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add(strings.Repeat("0f", 32))
	f.Add("../..")
	f.Fuzz(func(t *testing.T, in string) {
		if d, err := Parse(in); err == nil && d.String() != in {
			t.Errorf("Parse(%q).String() = %q", in, d)
		}
	})
}

func TestSizeWords(t *testing.T) {
	for n, want := range map[int64]string{999: "999 bytes", 1500: "1.5 kB", 25_000_000: "25 MB", 50 << 20: "52.4 MB"} {
		if got := sizeWords(n); got != want {
			t.Errorf("sizeWords(%d) = %q; want %q", n, got, want)
		}
	}
}
