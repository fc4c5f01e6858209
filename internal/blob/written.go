package blob

import (
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"hash"
	"os"

	"witnessmark/internal/fault"
)

// PutWritten keeps what write writes, as Put keeps what a reader gives, where the checks find nothing against it. An error of write is
// wrapped; nothing is kept then.
func (f *Folder) PutWritten(ctx context.Context, limit int64, write func(*Writer) error, checks ...Check) (Digest, int64, error) {
	return f.put(func(file *os.File) (Digest, int64, error) {
		w := &Writer{ctx: ctx, file: file, hash: sha256.New(), limit: limit}
		err := write(w)
		if err != nil {
			err = fmt.Errorf("writing a blob: %w", err)
		}
		return checked(file, Digest(w.hash.Sum(nil)), w.size, errors.Join(err, w.err), checks)
	})
}

// Writer takes the bytes of a blob that is being made.
type Writer struct {
	ctx         context.Context // of the one call that it lives in
	file        *os.File
	hash        hash.Hash
	size, limit int64
	err         error // the first
}

// Write stops at the context's end and at the limit. After an error it takes nothing more.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err == nil {
		w.err = w.ctx.Err()
	}
	if w.err == nil && int64(len(p)) > w.limit-w.size {
		w.err = fault.Invalid("file", "This file is bigger than %s, which is the most that is taken. Nothing was kept. Send a smaller one.", sizeWords(w.limit))
	}
	if w.err != nil {
		return 0, w.err
	}
	n, err := w.file.Write(p)
	_, _ = w.hash.Write(p[:n]) // of the kind that never fails
	w.size += int64(n)
	if err != nil {
		w.err = storing(err)
	}
	return n, w.err
}

// SHA256 is the digest of all that was written so far, as one that goes on without the blob: whoever signs what they write need
// not hash it a second time.
func (w *Writer) SHA256() hash.Hash {
	c, err := w.hash.(hash.Cloner).Clone()
	if err != nil { // which SHA-256 has no reason for
		panic(err)
	}
	return c
}
