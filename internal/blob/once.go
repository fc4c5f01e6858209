package blob

import (
	"crypto/sha256"
	"errors"
	"hash"
	"io"
	"io/fs"
)

// Once opens a blob for being read once from its start, with its digest checked on the way: bytes that are no longer its own are a
// *MismatchError at their end, or when it is closed before that. A blob that is not there is a fault of kind NotFound.
func (f *Folder) Once(d Digest) (io.ReadCloser, error) {
	o, err := f.once(d)
	if err != nil {
		return nil, err
	}
	o.in = o.raw
	return o, nil
}

// OnceThrough is Once for what through makes of a blob's bytes, which is to have the digest want. The bytes that it leaves out are
// held against the blob's own digest too.
func (f *Folder) OnceThrough(d, want Digest, through func(io.Reader) io.Reader) (io.ReadCloser, error) {
	o, err := f.once(d)
	if err != nil {
		return nil, err
	}
	o.in, o.made, o.want = through(o.raw), sha256.New(), want
	return o, nil
}

func (f *Folder) once(d Digest) (*once, error) {
	file, _, err := f.open(d)
	if err != nil {
		return nil, err
	}
	return &once{raw: &hashed{in: file, hash: sha256.New()}, file: file, named: d}, nil
}

// hashed hashes what is read through it.
type hashed struct {
	in   io.Reader
	hash hash.Hash
}

func (h *hashed) Read(p []byte) (int, error) {
	n, err := h.in.Read(p)
	_, _ = h.hash.Write(p[:n]) // of the kind that never fails
	return n, err
}

func (h *hashed) digest() Digest { return Digest(h.hash.Sum(nil)) }

// once hashes what is read, so that a blob is held against its digest without being read twice.
type once struct {
	in    io.Reader
	raw   *hashed   // the blob's bytes, below in
	made  hash.Hash // of what is read; nil where that is the blob's bytes
	want  Digest    // of what is read then
	file  io.Closer
	named Digest // of the blob
	ended bool
}

// Read checks at the end.
func (o *once) Read(p []byte) (int, error) {
	n, err := o.in.Read(p)
	if o.made != nil {
		_, _ = o.made.Write(p[:n])
	}
	if err == nil {
		return n, nil
	}
	o.ended = true
	var system *fs.PathError
	if errors.As(err, &system) {
		return n, err
	}
	if _, err := io.Copy(io.Discard, o.raw); err != nil { // what was left out at the end
		return n, err
	}
	// Where nothing can be made of the bytes any more, they are not those that were kept either.
	if got := o.raw.digest(); !errors.Is(err, io.EOF) || got != o.named {
		return n, &MismatchError{Want: o.named, Got: got}
	}
	if o.made != nil && Digest(o.made.Sum(nil)) != o.want {
		return n, &MismatchError{Want: o.named, Got: Digest(o.made.Sum(nil))}
	}
	return n, io.EOF
}

// Close reads what is left first: whoever stops early may have done so because of what is wrong.
func (o *once) Close() error {
	var err error
	if !o.ended {
		_, err = io.Copy(io.Discard, struct{ io.Reader }{o})
	}
	return errors.Join(err, o.file.Close())
}
