// Package keyring keeps, in a folder apart from the database and its backups, the private keys that decision logs are signed
// with, and beside them the newest state of each log that was signed. That copy is what a restored database is held against:
// a log that is older than it, or another, is not signed. The certificate that a centre signs its portfolios with is there too.
//
// A centre's folder is its number; a key's file is named by the eight digits that tell keys apart. Only the program's own
// account may read any of it.
package keyring

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/ledger"
)

// Ring is the folder.
type Ring struct {
	dir    string
	making sync.Mutex // held while a first certificate is made
}

const (
	folderMode = 0o700
	fileMode   = 0o600
	keySuffix  = ".key"
	newestFile = "newest-checkpoint"
)

// Open makes the folder where it is missing. One that others may enter is refused.
func Open(dir string) (*Ring, error) {
	if err := os.MkdirAll(dir, folderMode); err != nil {
		return nil, fmt.Errorf("make the folder of keys: %w", err)
	}
	info, err := os.Stat(dir)
	if err != nil {
		return nil, fmt.Errorf("open the folder of keys: %w", err)
	}
	if info.Mode().Perm()&0o077 != 0 {
		return nil, fmt.Errorf("others on this machine may enter the folder of keys: chmod 700 %s", dir)
	}
	return &Ring{dir: dir}, nil
}

func (r *Ring) centre(centre int64) string {
	return filepath.Join(r.dir, strconv.FormatInt(centre, 10))
}

// New makes a key for the log of the given name and keeps it. It gives the key's digits and its public text.
func (r *Ring) New(centre int64, origin string) (id, public string, err error) {
	private, public, err := note.GenerateKey(rand.Reader, origin)
	if err != nil {
		return "", "", fmt.Errorf("make a key for the log: %w", err)
	}
	v, err := note.NewVerifier(public)
	if err != nil {
		return "", "", fmt.Errorf("make a key for the log: %w", err)
	}
	id = keyID(v.KeyHash())
	return id, public, r.write(centre, id+keySuffix, private+"\n")
}

func keyID(hash uint32) string { return fmt.Sprintf("%08x", hash) }

var idForm = regexp.MustCompile(`^[0-9a-f]{8}$`)

// Signer is the key of these digits; the error is fs.ErrNotExist where it is not here.
func (r *Ring) Signer(centre int64, id string) (note.Signer, error) {
	if !idForm.MatchString(id) {
		return nil, fmt.Errorf("%q are no digits of a key", id)
	}
	text, err := os.ReadFile(filepath.Join(r.centre(centre), id+keySuffix))
	if err != nil {
		return nil, fmt.Errorf("read the key %s of the log: %w", id, err)
	}
	s, err := note.NewSigner(strings.TrimSpace(string(text)))
	if err != nil {
		return nil, fmt.Errorf("read the key %s of the log: %w", id, err)
	}
	return s, nil
}

// Newest is the newest state of the log that was signed, as it was signed; "" where there is none.
func (r *Ring) Newest(centre int64) (string, error) {
	text, err := os.ReadFile(filepath.Join(r.centre(centre), newestFile))
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", fmt.Errorf("read the log's newest checkpoint: %w", err)
	}
	return string(text), nil
}

// Seen is the newest state of the log that was signed; the zero Checkpoint where there is none.
func (r *Ring) Seen(centre int64) (ledger.Checkpoint, error) {
	text, err := r.Newest(centre)
	if err != nil || text == "" {
		return ledger.Checkpoint{}, err
	}
	c, err := ledger.ParseCheckpoint(text)
	if err != nil {
		return c, fmt.Errorf("the file %s of the keys of centre %d: %w", newestFile, centre, err)
	}
	return c, nil
}

// Keep puts a signed state in place of the newest. When it returns, that is on the disk.
func (r *Ring) Keep(centre int64, signed string) error { return r.write(centre, newestFile, signed) }

// write puts a file in place whole, synced with its folder.
func (r *Ring) write(centre int64, name, text string) (err error) {
	dir := r.centre(centre)
	if err := os.MkdirAll(dir, folderMode); err != nil {
		return fmt.Errorf("make the folder of keys: %w", err)
	}
	f, err := os.CreateTemp(dir, ".new-*") // of mode 0600
	if err != nil {
		return fmt.Errorf("write into the folder of keys: %w", err)
	}
	_, err = f.WriteString(text)
	err = errors.Join(err, f.Chmod(fileMode), f.Sync(), f.Close())
	if err == nil {
		err = os.Rename(f.Name(), filepath.Join(dir, name))
	}
	if err != nil {
		return fmt.Errorf("write into the folder of keys: %w", errors.Join(err, os.Remove(f.Name())))
	}
	return errors.Join(syncFolder(dir), syncFolder(r.dir))
}

func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return fmt.Errorf("sync the folder of keys: %w", err)
	}
	if err := errors.Join(d.Sync(), d.Close()); err != nil {
		return fmt.Errorf("sync the folder of keys: %w", err)
	}
	return nil
}
