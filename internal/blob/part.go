package blob

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"witnessmark/internal/fault"
)

// Part names a file that has come in part. It is made by us, never taken from outside.
type Part [16]byte

const (
	parts   = "parts"
	partMod = 0o640 // written to again and again
)

func (f *Folder) part(p Part) string {
	return filepath.Join(f.dir, parts, hex.EncodeToString(p[:]))
}

// PartSize is how many bytes of the part are here; 0 where nothing has come yet.
func (f *Folder) PartSize(p Part) (int64, error) {
	stat, err := os.Stat(f.part(p))
	if errors.Is(err, fs.ErrNotExist) {
		return 0, nil
	}
	if err != nil {
		return 0, fmt.Errorf("looking for a part: %w", err)
	}
	return stat.Size(), nil
}

// AppendPart adds the bytes of r, at most limit of them, to a part that has at bytes; another length is a fault of kind
// Conflict. It gives how many it added, with an error too: what came before the error stays and is on the disk with all the
// rest when AppendPart returns. An error of r itself is wrapped. A full disk is a *FullError; what this call brought is taken
// away again then, so that something smaller may still fit.
//
// Only one at a time may add to a part, and none while or after KeepPart keeps it: two that do spoil it, which its digest tells at the
// end, and one that still writes then writes into the blob, which only Verify and Once tell.
func (f *Folder) AppendPart(ctx context.Context, p Part, at int64, r io.Reader, limit int64) (n int64, err error) {
	file, err := os.OpenFile(f.part(p), os.O_WRONLY|os.O_CREATE, partMod)
	if err != nil {
		return 0, storing(err)
	}
	defer func() {
		if sync := finish(file); err == nil {
			err = sync
		}
		if at == 0 && err == nil { // the name is new
			if sync := syncFolder(filepath.Dir(file.Name())); sync != nil {
				err = storing(sync)
			}
		}
	}()
	end, err := file.Seek(0, io.SeekEnd)
	switch {
	case err != nil:
		return 0, storing(err)
	case end != at:
		return 0, fault.Conflict("%d bytes of this file are here, not %d. Ask how far it is and go on from there.", end, at)
	}
	src := &source{ctx: ctx, r: r}
	n, err = io.CopyBuffer(onlyWriter{file}, io.LimitReader(src, limit), make([]byte, 128<<10))
	switch {
	case src.err != nil:
		return n, fmt.Errorf("receiving a part: %w", src.err)
	case err != nil:
		return 0, errors.Join(storing(err), file.Truncate(at))
	}
	return n, nil
}

// onlyWriter hides that a file could read from a connection by itself, which would pass by the buffer and the error's origin.
type onlyWriter struct{ io.Writer }

// KeepPart keeps a whole part under its digest, as Put does and with the same promise, where the checks find nothing against
// it. No byte is copied: the part is given a second name, and stays until DropPart, so that whoever is cut short here can do
// it again. The folder has to be on a file system that has hard links. A part that is not there is fs.ErrNotExist.
func (f *Folder) KeepPart(p Part, checks ...Check) (Digest, int64, error) {
	file, err := os.Open(f.part(p))
	if err != nil {
		return Digest{}, 0, storing(err)
	}
	hash := sha256.New()
	size, err := io.Copy(hash, file)
	d, size, err := checked(file, Digest(hash.Sum(nil)), size, err, checks)
	if err != nil {
		return Digest{}, 0, errors.Join(err, file.Close())
	}
	if err := file.Chmod(fileMod); err != nil {
		return Digest{}, 0, errors.Join(storing(err), file.Close())
	}
	if err := finish(file); err != nil {
		return Digest{}, 0, err
	}
	// Renamed, not linked, to its digest: that replaces one of the same digest that the disk has spoilt.
	name := filepath.Join(f.incoming(), rand.Text())
	if err := os.Link(file.Name(), name); err != nil {
		return Digest{}, 0, storing(err)
	}
	// Where it has the digest's name already, renaming does nothing and leaves the name behind (rename(2)).
	if err := discard(name, f.keep(name, d)); err != nil {
		return Digest{}, 0, err
	}
	return d, size, nil
}

// DropPart takes a part away; one that is not there has gone already. What KeepPart kept stays.
func (f *Folder) DropPart(p Part) error {
	if err := os.Remove(f.part(p)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("dropping a part: %w", err)
	}
	return nil
}

// SweepParts takes away the parts that nothing was added to since the given time.
func (f *Folder) SweepParts(before time.Time) error {
	if err := sweep(filepath.Join(f.dir, parts), before); err != nil {
		return fmt.Errorf("sweeping parts: %w", err)
	}
	return nil
}
