package keyring_test

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/keyring"
	"witnessmark/internal/ledger"
)

func TestKeysThereAndBack(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "keys")
	r, err := keyring.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	id, public, err := r.New(3, "northgate/log")
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Signer(3, id)
	if err != nil {
		t.Fatal(err)
	}
	v, err := note.NewVerifier(public)
	if err != nil {
		t.Fatal(err)
	}
	c := ledger.Checkpoint{Origin: "northgate/log", Size: 4}
	signed, err := c.Sign(s)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ledger.OpenCheckpoint(signed, []note.Verifier{v}); err != nil {
		t.Error(err)
	}
	if got, err := r.Seen(3); err != nil || got != (ledger.Checkpoint{}) {
		t.Errorf("before anything was signed: %v, %v", got, err)
	}
	if err := r.Keep(3, signed); err != nil {
		t.Fatal(err)
	}
	if got, err := r.Seen(3); err != nil || got != c {
		t.Errorf("got %v, %v, want %v", got, err, c)
	}
	if _, err := r.Signer(4, id); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("another centre has the key: %v", err)
	}
	if _, err := r.Signer(3, "../../etc"); err == nil {
		t.Error("a path is taken for a key")
	}
	err = filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err == nil && info.Mode().Perm()&0o077 != 0 {
			t.Errorf("others may read %s: %v", path, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestAFolderThatOthersEnterIsRefused(t *testing.T) {
	dir := t.TempDir()
	if err := os.Chmod(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := keyring.Open(dir); err == nil {
		t.Error("taken")
	}
}
