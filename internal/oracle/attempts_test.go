//go:build oracle

package oracle_test

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// The figures of the demonstration's example attempts come from programs beside them that use none of our code. Each is run
// again, in a copy, and has to write the same files.
func TestAttemptsAreWorkedAgain(t *testing.T) {
	const attempts = "../../seed/attempts"
	programs, err := filepath.Glob(filepath.Join(attempts, "*", "work.py"))
	if err != nil || len(programs) < 14 {
		t.Fatalf("%d programs, %v", len(programs), err)
	}
	again := filepath.Join(t.TempDir(), "attempts")
	if err := os.CopyFS(again, os.DirFS(attempts)); err != nil {
		t.Fatal(err)
	}
	for _, p := range programs {
		dir := filepath.Join(again, filepath.Base(filepath.Dir(p)))
		written, err := filepath.Glob(filepath.Join(dir, "*.yaml"))
		if err != nil {
			t.Fatal(err)
		}
		for _, file := range written { // what is not written again is missed below
			if filepath.Base(file) != "expected.yaml" {
				if err := os.Remove(file); err != nil {
					t.Fatal(err)
				}
			}
		}
		cmd := exec.CommandContext(t.Context(), python, "-B", "work.py")
		cmd.Dir = dir
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", p, err, out)
		}
	}
	err = fs.WalkDir(os.DirFS(attempts), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Ext(name) != ".yaml" {
			return err
		}
		want, err := os.ReadFile(filepath.Join(attempts, name))
		if err != nil {
			return err
		}
		if got, err := os.ReadFile(filepath.Join(again, name)); err != nil || !bytes.Equal(got, want) {
			t.Errorf("%s: worked again it is another (%v)", name, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}
