// Package blob keeps evidence bytes in a folder, each under its SHA-256.
//
// The rules of its world:
//
//   - What Put has acknowledged is on the disk: the bytes are written and synced under a temporary name, renamed to their
//     digest, and the folders are synced, before Put returns. A test watches the system calls to prove that order.
//   - A file under its digest is therefore always whole. What a crash leaves half-written lies in "incoming", is
//     reachable under no digest, and is swept a day later.
//   - A file that comes in parts grows in "parts", under a name of ours, and is given its digest's name when it is whole.
//   - A blob is never changed: files are read-only, and the same bytes always have the same name.
//   - No name from outside is ever part of a path.
package blob

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"witnessmark/internal/fault"
)

const (
	incoming  = "incoming"
	sweepAge  = 24 * time.Hour // an upload that has not grown for a day will not be finished
	folderMod = 0o750
	fileMod   = 0o440 // read-only from the start: the descriptor that made the file may still write to it
)

// Folder is a store of blobs below one folder. It may be used by several goroutines, and several processes may share the
// folder.
type Folder struct {
	dir string
}

// OpenFolder opens the store in dir, makes the folder where it is missing, and removes temporary files that nothing has
// written to for a day. A folder that cannot be made, read or swept is an internal error.
func OpenFolder(dir string) (*Folder, error) {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil, fmt.Errorf("opening the evidence folder: %w", err)
	}
	f := &Folder{dir: abs}
	for _, dir := range []string{incoming, parts} {
		if err := makeFolder(filepath.Join(f.dir, dir)); err != nil {
			return nil, fmt.Errorf("opening the evidence folder: %w", err)
		}
	}
	if err := sweep(f.incoming(), time.Now().Add(-sweepAge)); err != nil {
		return nil, fmt.Errorf("sweeping the evidence folder: %w", err)
	}
	return f, nil
}

// Open opens a blob for reading and gives its size in bytes; the caller closes it. A digest that is not kept here is a
// fault of kind NotFound. Open does not hash: Verify does.
func (f *Folder) Open(d Digest) (io.ReadSeekCloser, int64, error) {
	file, size, err := f.open(d)
	if err != nil {
		return nil, 0, err
	}
	return file, size, nil
}

// Has says whether a blob of this digest is kept here.
func (f *Folder) Has(d Digest) (bool, error) {
	_, err := os.Stat(f.file(d))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, fmt.Errorf("looking for blob %s: %w", d, err)
	}
	return true, nil
}

// Verify reads the blob again and hashes it. Bytes that no longer have their digest (a failing disk, a hand in the
// folder) are a *MismatchError; a blob that is not there is a fault of kind NotFound.
func (f *Folder) Verify(d Digest) error {
	file, _, err := f.open(d)
	if err != nil {
		return err
	}
	hash := sha256.New()
	_, err = io.Copy(hash, file)
	if err := errors.Join(err, file.Close()); err != nil {
		return fmt.Errorf("verifying blob %s: %w", d, err)
	}
	if got := Digest(hash.Sum(nil)); got != d {
		return &MismatchError{Want: d, Got: got}
	}
	return nil
}

func (f *Folder) open(d Digest) (*os.File, int64, error) {
	file, err := os.Open(f.file(d))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, 0, fault.NotFound("The file %s is not kept here.", d)
	}
	if err != nil {
		return nil, 0, fmt.Errorf("opening blob %s: %w", d, err)
	}
	stat, err := file.Stat()
	if err != nil {
		return nil, 0, fmt.Errorf("opening blob %s: %w", d, errors.Join(err, file.Close()))
	}
	return file, stat.Size(), nil
}

func (f *Folder) file(d Digest) string {
	return filepath.Join(f.dir, filepath.FromSlash(d.path()))
}

func (f *Folder) incoming() string {
	return filepath.Join(f.dir, incoming)
}

// sweep removes the files in dir that were last written to before the given time. Another process may be sweeping it too.
func sweep(dir string, before time.Time) error {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return err
	}
	for _, e := range entries {
		stat, err := e.Info()
		if errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err != nil {
			return err
		}
		if !stat.Mode().IsRegular() || !stat.ModTime().Before(before) {
			continue
		}
		if err := os.Remove(filepath.Join(dir, e.Name())); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
	}
	return nil
}

// makeFolder makes dir and its missing parents, each of them synced into the folder that holds it.
func makeFolder(dir string) error {
	stat, err := os.Stat(dir)
	if err == nil {
		if !stat.IsDir() {
			return fmt.Errorf("%s is a file, not a folder", dir)
		}
		return nil
	}
	if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	parent := filepath.Dir(dir)
	if err := makeFolder(parent); err != nil {
		return err
	}
	if err := os.Mkdir(dir, folderMod); err != nil && !errors.Is(err, fs.ErrExist) {
		return err
	}
	return syncFolder(parent)
}

// syncFolder makes the names in dir last: a rename is only on the disk once its folder is.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
