package localpg

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// contents is every file under dir with its mode and digest.
func contents(t *testing.T, dir string) map[string]string {
	t.Helper()
	found := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		found[path] = info.Mode().String()
		if d.Type().IsRegular() {
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			found[path] += fmt.Sprintf(" %x", sha256.Sum256(text))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// Data that cannot be run is refused in one sentence, and not a byte of it changes.
func TestRefusedDataIsUntouched(t *testing.T) {
	tests := []struct {
		name  string
		spoil func(t *testing.T, data string)
		want  string
	}{
		{"another major version", func(t *testing.T, data string) { write(t, data, "PG_VERSION", "9999\n") }, "made by PostgreSQL 9999, and this machine has"},
		{"a version of the old numbering", func(t *testing.T, data string) { write(t, data, "PG_VERSION", "9.6\n") }, `PostgreSQL "9.6", which is too old`},
		{"an empty version", func(t *testing.T, data string) { write(t, data, "PG_VERSION", "") }, "no version at all"},
		{"files that are no database", func(t *testing.T, data string) {
			if err := os.Remove(filepath.Join(data, "PG_VERSION")); err != nil {
				t.Fatal(err)
			}
		}, "holds files but no database"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := warmDir(t)
			data := filepath.Join(dir, "data")
			tt.spoil(t, data)
			before := contents(t, data)
			s, err := Start(t.Context(), Options{Dir: dir})
			if err == nil {
				t.Fatalf("Start = %v, want that it refuses", s.Stop())
			}
			if !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), "nothing in it was changed") {
				t.Errorf("got  %v\nwant …%s…", err, tt.want)
			}
			if after := contents(t, data); !maps.Equal(before, after) {
				t.Errorf("the data changed: %d files before, %d after", len(before), len(after))
			}
			if _, err := os.Lstat(filepath.Join(dir, "data.new")); !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("data.new: %v, want none", err)
			}
		})
	}
}

func write(t *testing.T, dir, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestSquattedSocketFolder(t *testing.T) {
	dir := warmDir(t)
	data := filepath.Join(dir, "data")
	as, err := serverAccount(data)
	if err != nil {
		t.Fatal(err)
	}
	path := socketDir(data, as)
	tests := []struct {
		name  string
		squat func() error
		want  string
	}{
		{"open to others", func() error { return errors.Join(os.Mkdir(path, 0o700), os.Chmod(path, 0o755), as.own(path)) }, "has the mode 0755"},
		{"a link to a folder that would pass", func() error {
			target := filepath.Join(dir, "elsewhere")
			return errors.Join(os.Mkdir(target, 0o700), as.own(target), os.Symlink(target, path))
		}, "is not a folder"},
		{"a file", func() error { return os.WriteFile(path, nil, 0o700) }, "is not a folder"},
	}
	if os.Geteuid() == 0 { // nobody else can give a folder away
		tests = append(tests, tests[0])
		tests[3].name, tests[3].want = "another user's", "belongs to "+userName(4242)
		tests[3].squat = func() error { return errors.Join(os.Mkdir(path, 0o700), os.Chown(path, 4242, 4242)) }
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if err := tt.squat(); err != nil {
				t.Fatal(err)
			}
			s, err := Start(t.Context(), Options{Dir: dir, Fast: true})
			if err == nil {
				t.Errorf("Start = %v, want that it refuses", s.Stop())
			} else if !strings.Contains(err.Error(), tt.want) || !strings.Contains(err.Error(), path) {
				t.Errorf("got  %v\nwant …%s %s…", err, path, tt.want)
			}
			if err := os.Remove(path); err != nil {
				t.Fatal(err)
			}
		})
	}
	start(t, Options{Dir: dir, Fast: true}) // and with the squatter gone it starts
}

// The check of the owner, for whoever runs the tests: /usr is root's everywhere.
func TestSocketFolderOfAnother(t *testing.T) {
	err := makeSocketDir("/usr", account{uid: 4242})
	if os.Geteuid() != 0 && (err == nil || !strings.Contains(err.Error(), "belongs to root")) {
		t.Errorf("got %v, want that it belongs to root", err)
	}
	if err == nil || !strings.Contains(err.Error(), "not 0700") {
		t.Errorf("got %v, want that its mode is not 0700", err)
	}
}

func TestBlockingFolderIsNamed(t *testing.T) {
	closed := filepath.Join(newDir(t), "closed")
	if err := os.Mkdir(closed, 0o700); err != nil {
		t.Fatal(err)
	}
	dir := filepath.Join(closed, "pg")
	if os.Geteuid() != 0 {
		if err := os.Chmod(closed, 0); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = os.Chmod(closed, 0o700) })
	}
	s, err := Start(t.Context(), Options{Dir: dir, Fast: true})
	if err == nil {
		t.Fatalf("Start = %v, want that it refuses", s.Stop())
	}
	if want := "because the folder " + closed + " does not let it through"; !strings.Contains(err.Error(), want) {
		t.Errorf("got  %v\nwant …%s…", err, want)
	}
	if os.Geteuid() == 0 {
		if err := os.Chmod(closed, 0o711); err != nil {
			t.Fatal(err)
		}
		start(t, Options{Dir: dir, Fast: true}) // and once it does, it starts
	}
}

func TestFolderOpenToAll(t *testing.T) {
	dir := newDir(t)
	if err := os.Chmod(dir, 0o1777); err != nil {
		t.Fatal(err)
	}
	if _, err := Start(t.Context(), Options{Dir: dir}); err == nil || !strings.Contains(err.Error(), "anyone on this machine may write") {
		t.Errorf("got %v, want that anyone may write there", err)
	}
}

func TestDataOfAnother(t *testing.T) {
	if os.Geteuid() != 0 {
		t.Log("only root can make a folder that is another's")
		return
	}
	dir := newDir(t)
	data := filepath.Join(dir, "data")
	if err := errors.Join(os.Mkdir(data, 0o700), os.Chown(dir, 65534, 65534)); err != nil {
		t.Fatal(err)
	}
	write(t, data, "PG_VERSION", "15\n")
	if r := newChild(t, Options{Dir: dir}, 65534).report(t); !strings.Contains(r.Err, "belongs to root, and you are") {
		t.Errorf("an ordinary user on root's data: %+v", r)
	}
	if _, err := Start(t.Context(), Options{Dir: dir}); err == nil || !strings.Contains(err.Error(), "belongs to root, as whom PostgreSQL refuses to run") {
		t.Errorf("root on root's data: %v", err)
	}
	// Root made the lock first here: the ordinary user reads whose the folder is.
	if err := os.Chown(filepath.Join(dir, "lock"), 0, 0); err != nil {
		t.Fatal(err)
	}
	if r := newChild(t, Options{Dir: dir}, 65534).report(t); !strings.Contains(r.Err, "may not write to the database's folder") {
		t.Errorf("an ordinary user on root's folder: %+v", r)
	}
}
