package blob

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"

	"witnessmark/internal/fault"
)

// Check looks at bytes that have arrived but are not kept yet. Where it returns an error, Put returns that error as it is
// and keeps nothing. The content starts at its first byte and may be read only during the call; size is in bytes.
type Check func(content io.ReadSeeker, d Digest, size int64) error

// Expect is the check that the bytes have the digest that their sender gave. Others are a fault of kind Invalid on the
// field "sha256".
func Expect(want Digest) Check {
	return func(_ io.ReadSeeker, got Digest, _ int64) error {
		if got != want {
			return fault.Invalid("sha256", "The file that arrived is not the file that was sent: its SHA-256 is %s, not %s. "+
				"Nothing was kept. Send it again.", got, want)
		}
		return nil
	}
}

// Put keeps the bytes of r, at most limit of them, and gives their digest and number. When it returns without an error,
// the bytes are on the disk and stay there through a crash or a power cut.
//
// More than limit bytes are a fault of kind Invalid on the field "file". A full disk is a *FullError. An error of r itself
// is wrapped. Whatever the error, the bytes are not acknowledged and no half of them can be opened; after a failing last
// sync the whole of them may be there all the same, which does no harm. The same bytes again give the same digest and
// replace the file with its equal, which also mends one that the disk has spoilt.
func (f *Folder) Put(ctx context.Context, r io.Reader, limit int64) (Digest, int64, error) {
	return f.PutChecked(ctx, r, limit)
}

// PutChecked is Put, with checks made between the last byte's arrival and keeping: what a check refuses is not kept.
func (f *Folder) PutChecked(ctx context.Context, r io.Reader, limit int64, checks ...Check) (Digest, int64, error) {
	return f.put(func(file *os.File) (Digest, int64, error) {
		d, size, err := receive(ctx, file, r, limit)
		return checked(file, d, size, err, checks)
	})
}

// checked has the checks look at a file that is filled; after an error none does.
func checked(file io.ReaderAt, d Digest, size int64, err error, checks []Check) (Digest, int64, error) {
	for _, check := range checks {
		if err != nil {
			break
		}
		err = check(io.NewSectionReader(file, 0, size), d, size)
	}
	return d, size, err
}

// put keeps the file that fill fills, and nothing where fill returns an error.
func (f *Folder) put(fill func(*os.File) (Digest, int64, error)) (Digest, int64, error) {
	name := filepath.Join(f.incoming(), rand.Text())
	file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, fileMod)
	if err != nil {
		return Digest{}, 0, storing(err)
	}
	d, size, err := fill(file)
	if err == nil {
		err = finish(file)
	} else {
		err = errors.Join(err, file.Close())
	}
	if err == nil {
		err = f.keep(name, d)
	}
	if err != nil {
		return Digest{}, 0, discard(name, err)
	}
	return d, size, nil
}

// receive writes the bytes of r to file while hashing them.
func receive(ctx context.Context, file *os.File, r io.Reader, limit int64) (Digest, int64, error) {
	hash := sha256.New()
	src := &source{ctx: ctx, r: r}
	// One byte more than the limit is enough to know that there are too many.
	limited := io.LimitReader(src, min(limit, math.MaxInt64-1)+1)
	size, err := io.CopyBuffer(io.MultiWriter(file, hash), limited, make([]byte, 128<<10))
	switch {
	case src.err != nil:
		return Digest{}, 0, fmt.Errorf("receiving a blob: %w", src.err)
	case err != nil:
		return Digest{}, 0, storing(err)
	case size > limit:
		return Digest{}, 0, fault.Invalid("file", "This file is bigger than %s, which is the most that is taken. "+
			"Nothing was kept. Send a smaller one.", sizeWords(limit))
	}
	return Digest(hash.Sum(nil)), size, nil
}

// finish brings the file's bytes to the disk. Close can report a late failure to write, so it counts too.
func finish(file *os.File) error {
	if err := errors.Join(file.Sync(), file.Close()); err != nil {
		return storing(err)
	}
	return nil
}

// keep gives the synced file its digest as its name, and brings that name to the disk.
func (f *Folder) keep(name string, d Digest) error {
	file := f.file(d)
	inner := filepath.Dir(file)
	if err := os.MkdirAll(inner, folderMod); err != nil {
		return storing(err)
	}
	if err := os.Rename(name, file); err != nil {
		return storing(err)
	}
	// All three folders, not only those made just now: another Put, or one that crashed, may have made a folder and not
	// have synced it yet, and this blob must not be lost with it.
	for _, dir := range []string{inner, filepath.Dir(inner), f.dir} {
		if err := syncFolder(dir); err != nil {
			return storing(err)
		}
	}
	return nil
}

// discard removes the temporary file, which a failure after the rename has left no longer there, and returns the cause.
func discard(name string, cause error) error {
	if err := os.Remove(name); err != nil && !errors.Is(err, os.ErrNotExist) {
		return errors.Join(cause, err)
	}
	return cause
}

// source stops at the context's end, and remembers its own error so that it is not taken for the disk's.
type source struct {
	ctx context.Context
	r   io.Reader
	err error
}

func (s *source) Read(p []byte) (int, error) {
	if s.err = s.ctx.Err(); s.err != nil {
		return 0, s.err
	}
	n, err := s.r.Read(p)
	if err != nil && err != io.EOF {
		s.err = err
	}
	return n, err
}

// sizeWords is a number of bytes as a person says it, in units of 1,000.
func sizeWords(n int64) string {
	switch {
	case n >= 1e6:
		return fmt.Sprintf("%g MB", math.Floor(float64(n)/1e5)/10)
	case n >= 1e3:
		return fmt.Sprintf("%g kB", math.Floor(float64(n)/1e2)/10)
	}
	return fmt.Sprintf("%d bytes", n)
}
