package app_test

import (
	"bytes"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/bag"
	"witnessmark/internal/ledger"
	"witnessmark/internal/verify"
)

// exported writes a portfolio's bag into a new folder.
func (l logged) exported(t *testing.T, id uuid.UUID) (dir string, files int) {
	t.Helper()
	dir = t.TempDir()
	files, err := l.ExportPortfolio(t.Context(), l.id, id, func(path string, r io.Reader) error {
		full := filepath.Join(dir, filepath.FromSlash(path))
		must(t, os.MkdirAll(filepath.Dir(full), 0o755))
		data, err := io.ReadAll(r)
		must(t, err)
		return os.WriteFile(full, data, 0o600)
	})
	must(t, err)
	return dir, files
}

func TestExport(t *testing.T) {
	l := newLogged(t)
	_, e, original := l.onSite(t)
	must(t, l.MakePreview(t.Context(), l.id, e.ID))
	id, data := l.built(t)
	dir, files := l.exported(t, id)

	c, err := bag.Check(os.DirFS(dir))
	if err != nil || len(c.Problems) > 0 {
		t.Errorf("%v, %v", c.Problems, err)
	}
	if files == 0 || len(c.Payload) != files+3 {
		t.Errorf("%d files of evidence among %d", files, len(c.Payload))
	}
	for _, list := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt"} {
		cmd := exec.CommandContext(t.Context(), "sha256sum", "--check", "--strict", list)
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("sha256sum of %s: %v\n%s", list, err, out)
		}
	}
	keys, err := l.LogKeys(t.Context(), l.id)
	must(t, err)
	key, err := ledger.ParseKey(keys[0].Text)
	must(t, err)
	p := verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: verify.Trust{Keys: append(verify.Trust{}.Keys, key)}, Bag: os.DirFS(dir)})
	if word, why := p.Verdict(); word != verify.GenuineCentreTime {
		t.Errorf("%s: %s", word, why)
	}
	covered := false
	for _, entry := range c.Payload {
		got, err := os.ReadFile(filepath.Join(dir, filepath.FromSlash(entry.Path)))
		must(t, err)
		if bytes.Contains(got, original[200:400]) {
			t.Errorf("%s holds what is covered", entry.Path)
		}
		covered = covered || entry.SHA256 == l.evidence(t, e.ID).CoveredDigest
	}
	if !covered {
		t.Error("the covered copy is not in the bag")
	}
	info, err := os.ReadFile(filepath.Join(dir, "bag-info.txt"))
	must(t, err)
	if bytes.Contains(info, []byte("tom")) {
		t.Errorf("the bag's facts name the trainee:\n%s", info)
	}
	// A file at the centre is there as it was received.
	other := newLogged(t)
	other.signedOff(t)
	made, _ := other.built(t)
	whole, n := other.exported(t, made)
	c, err = bag.Check(os.DirFS(whole))
	if err != nil || len(c.Problems) > 0 || n == 0 {
		t.Errorf("%d files, %v, %v", n, c.Problems, err)
	}

	again, _ := l.exported(t, id)
	for _, name := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt", "bag-info.txt"} {
		a, err := os.ReadFile(filepath.Join(dir, name))
		must(t, err)
		b, err := os.ReadFile(filepath.Join(again, name))
		must(t, err)
		if !bytes.Equal(a, b) {
			t.Errorf("%s is another the second time", name)
		}
	}
}
