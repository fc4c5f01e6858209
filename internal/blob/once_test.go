package blob_test

import (
	"bytes"
	"context"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
)

// Bytes that changed are found out at the end, and also where the reader stops before it.
func TestOnce(t *testing.T) {
	dir := t.TempDir()
	f, err := blob.OpenFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	d, _, err := f.Put(context.Background(), strings.NewReader(strings.Repeat("a photo ", 20_000)), 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	upper := func(r io.Reader) io.Reader { return &toUpper{r} }
	large, _, err := f.Put(context.Background(), strings.NewReader(strings.Repeat("A PHOTO ", 20_000)), 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	start := func(r io.Reader) io.Reader { return io.LimitReader(r, 100) } // leaves out all that is damaged below
	first, _, err := f.Put(context.Background(), io.LimitReader(strings.NewReader(strings.Repeat("a photo ", 20)), 100), 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	opens := map[string]func() (io.ReadCloser, error){
		"shorter":  func() (io.ReadCloser, error) { return f.OnceThrough(d, first, start) },
		"as it is": func() (io.ReadCloser, error) { return f.Once(d) },
		"through":  func() (io.ReadCloser, error) { return f.OnceThrough(d, large, upper) },
	}
	read := func(open func() (io.ReadCloser, error), most int64) error {
		t.Helper()
		r, err := open()
		if err != nil {
			t.Fatal(err)
		}
		_, err = io.Copy(io.Discard, io.LimitReader(r, most))
		return errors.Join(err, r.Close())
	}
	for name, open := range opens {
		if err := errors.Join(read(open, 1<<20), read(open, 5)); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	if err := read(func() (io.ReadCloser, error) { return f.OnceThrough(d, d, upper) }, 1<<20); !mismatch(err, d) {
		t.Errorf("something else came out: %v", err)
	}
	damage(t, dir, d)
	for name, open := range opens {
		for _, most := range []int64{1 << 20, 5} {
			if err := read(open, most); !mismatch(err, d) {
				t.Errorf("%s, %d bytes read of a damaged file: %v", name, most, err)
			}
		}
	}
	if _, err := f.Once(blob.Digest{1}); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("not there: %v", err)
	}
}

func mismatch(err error, want blob.Digest) bool {
	var m *blob.MismatchError
	return errors.As(err, &m) && m.Want == want
}

// damage changes the last byte of a blob, wherever it lies.
func damage(t *testing.T, dir string, d blob.Digest) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, e os.DirEntry, err error) error {
		if err != nil || e.Name() != d.String() {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		b[len(b)-1] ^= 1
		return errors.Join(os.Chmod(path, 0o600), os.WriteFile(path, b, 0o600))
	})
	if err != nil {
		t.Fatal(err)
	}
}

type toUpper struct{ r io.Reader }

func (u *toUpper) Read(p []byte) (int, error) {
	n, err := u.r.Read(p)
	copy(p, bytes.ToUpper(p[:n]))
	return n, err
}

// What is written is kept as what is read is, and told along the way; what fails leaves nothing.
func TestPutWritten(t *testing.T) {
	dir := t.TempDir()
	f, err := blob.OpenFolder(dir)
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Repeat("page ", 50_000)
	want, size, err := f.Put(t.Context(), strings.NewReader(text), 1<<20)
	if err != nil {
		t.Fatal(err)
	}
	got, n, err := f.PutWritten(t.Context(), 1<<20, func(w *blob.Writer) error {
		for part := range slices.Chunk([]byte(text), 70_001) {
			if _, err := w.Write(part); err != nil {
				return err
			}
			mine := w.SHA256()
			mine.Write([]byte("something else")) // must not get into the blob's
		}
		if d := blob.Digest(w.SHA256().Sum(nil)); d != want {
			t.Errorf("told %s, want %s", d, want)
		}
		return nil
	})
	if err != nil || got != want || n != size {
		t.Errorf("got %s of %d bytes, %v; want %s of %d", got, n, err, want, size)
	}
	before, trouble := tree(t, dir), errors.New("the authority is away")
	ended, end := context.WithCancel(t.Context())
	end()
	for name, try := range map[string]func() error{
		"write fails": func() error {
			_, _, err := f.PutWritten(t.Context(), 1<<20, func(w *blob.Writer) error { _, _ = w.Write([]byte("half")); return trouble })
			return err
		},
		"too much, which write does not care about": func() error {
			_, _, err := f.PutWritten(t.Context(), 3, func(w *blob.Writer) error { _, _ = w.Write([]byte("four")); return nil })
			return err
		},
		"ended": func() error {
			_, _, err := f.PutWritten(ended, 1<<20, func(w *blob.Writer) error { _, err := w.Write([]byte("late")); return err })
			return err
		},
	} {
		err := try()
		if err == nil || name == "write fails" && !errors.Is(err, trouble) || name == "ended" && !errors.Is(err, context.Canceled) ||
			strings.HasPrefix(name, "too much") && fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("%s: %v", name, err)
		}
		if after := tree(t, dir); !slices.Equal(after, before) {
			t.Errorf("%s: left %v, before %v", name, after, before)
		}
	}
}

// tree lists every file below a folder.
func tree(t *testing.T, dir string) []string {
	t.Helper()
	var all []string
	if err := filepath.WalkDir(dir, func(path string, _ os.DirEntry, err error) error {
		all = append(all, path)
		return err
	}); err != nil {
		t.Fatal(err)
	}
	return all
}
