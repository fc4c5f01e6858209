package localpg

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// programs makes a folder that looks like one of PostgreSQL's.
func programs(t *testing.T, elem ...string) string {
	t.Helper()
	dir := filepath.Join(elem...)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"postgres", "initdb"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\nexit 1\n"), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestCandidates(t *testing.T) {
	t.Setenv(EnvBinDir, "")
	root := t.TempDir()
	linked := programs(t, root, "opt", "pg", "bin")
	path := filepath.Join(root, "usr", "local", "bin")
	if err := os.MkdirAll(path, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(linked, "postgres"), filepath.Join(path, "postgres")); err != nil {
		t.Fatal(err)
	}
	deb9 := programs(t, root, "usr", "lib", "postgresql", "9.6", "bin")
	deb15 := programs(t, root, "usr", "lib", "postgresql", "15", "bin")
	rpm17 := programs(t, root, "usr", "pgsql-17", "bin")
	brew16 := programs(t, root, "opt", "homebrew", "opt", "postgresql@16", "bin")
	if err := os.MkdirAll(filepath.Join(root, "usr", "lib", "postgresql", "18", "bin"), 0o755); err != nil { // a client package
		t.Fatal(err)
	}

	tests := []struct {
		name, path, env, override string
		want                      []string
	}{
		{"installed, highest first", "", "", "", []string{rpm17, brew16, deb15, deb9}},
		{"PATH first, links followed", path, "", "", []string{linked, rpm17, brew16, deb15, deb9}},
		{"the environment settles it", path, deb15, "", []string{deb15}},
		{"the option settles it above all", path, deb15, brew16, []string{brew16}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			t.Setenv("PATH", tt.path)
			t.Setenv(EnvBinDir, tt.env)
			got, err := candidates(tt.override, root, ofServer)
			if err != nil || !slices.Equal(got, tt.want) {
				t.Errorf("got  %v, %v\nwant %v", got, err, tt.want)
			}
		})
	}
}

func TestChoose(t *testing.T) {
	majors := map[string]int{"a17": 17, "b15": 15, "c14": 14}
	broken := errors.New("cannot execute")
	major := func(dir string) (int, error) {
		if m, ok := majors[dir]; ok {
			return m, nil
		}
		return 0, broken
	}
	tests := []struct {
		name string
		dirs []string
		want int
		bin  string
		err  error
	}{
		{"the first", []string{"a17", "b15"}, 0, "a17", nil},
		{"one that runs", []string{"gone", "b15"}, 0, "b15", nil},
		{"the data's version, though not the newest", []string{"a17", "b15"}, 15, "b15", nil},
		{"the data's version, though too old for new data", []string{"a17", "c14"}, 14, "c14", nil},
		{"too old", []string{"c14"}, 0, "", ErrNoPostgres},
		{"nothing", nil, 0, "", ErrNoPostgres},
		{"none runs", []string{"gone"}, 0, "", broken},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got, _, err := choose(tt.dirs, tt.want, major)
			if got != tt.bin || !errors.Is(err, tt.err) {
				t.Errorf("got %q, %v; want %q, %v", got, err, tt.bin, tt.err)
			}
		})
	}
}

// Without PostgreSQL a person reads one sentence that says what to do, and no folder is filled.
func TestNoPostgres(t *testing.T) {
	empty := t.TempDir()
	t.Setenv("PATH", empty)
	t.Setenv(EnvBinDir, "")
	dirs, err := candidates("", empty, ofServer)
	if err != nil || len(dirs) > 0 {
		t.Fatalf("on an empty machine: %v, %v", dirs, err)
	}
	_, _, err = choose(dirs, 0, nil)
	oneSentence(t, err, "install it", "DATABASE_URL")

	dir := newDir(t)
	_, err = Start(t.Context(), Options{Dir: dir, BinDir: empty})
	oneSentence(t, err, empty, "DATABASE_URL")
	if _, err := os.Stat(filepath.Join(dir, "data")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("data: %v, want none", err)
	}
	t.Setenv(EnvBinDir, empty)
	_, err = Find("")
	oneSentence(t, err, empty, "DATABASE_URL")
}

func oneSentence(t *testing.T, err error, want ...string) {
	t.Helper()
	if err == nil {
		t.Error("got no error")
		return
	}
	for _, part := range want {
		if !strings.Contains(err.Error(), part) {
			t.Errorf("%q does not mention %q", err, part)
		}
	}
	if strings.Contains(err.Error(), "\n") || strings.Contains(err.Error(), ". ") {
		t.Errorf("%q is more than one sentence", err)
	}
}

func TestFindOnThisMachine(t *testing.T) {
	bin, err := Find("")
	if err != nil {
		t.Fatal(err)
	}
	if !hasPrograms(bin, ofServer) {
		t.Errorf("Find = %s, which does not hold the programs", bin)
	}
}

// A machine whose database is elsewhere has a client's programs alone: enough for a backup, not for a server.
func TestFindClient(t *testing.T) {
	bin, err := FindClient()
	if err != nil || !hasPrograms(bin, ofClient) {
		t.Errorf("on this machine: %q, %v", bin, err)
	}
	dir := t.TempDir()
	t.Setenv(EnvBinDir, dir)
	_, err = FindClient()
	oneSentence(t, err, dir, "pg_dump and pg_restore")
	for version, want := range map[string]error{"17.2": nil, "14.9": ErrNoClient} {
		for _, name := range ofClient {
			if err := os.WriteFile(filepath.Join(dir, name), []byte("#!/bin/sh\necho '"+name+" (PostgreSQL) "+version+"'\n"), 0o755); err != nil {
				t.Fatal(err)
			}
		}
		bin, err = FindClient()
		if !errors.Is(err, want) || want == nil && bin != dir {
			t.Errorf("version %s: %q, %v", version, bin, err)
		}
	}
	_, err = Find("")
	oneSentence(t, err, dir, "postgres and initdb")
}

func TestDefaultDir(t *testing.T) {
	state := t.TempDir()
	t.Setenv("XDG_STATE_HOME", state)
	got := DefaultDir()
	switch {
	case os.Geteuid() == 0 && strings.HasPrefix(got, "/root"):
		t.Errorf("root's default is %s, where the server's account cannot go", got)
	case os.Geteuid() != 0 && got != filepath.Join(state, "witnessmark"):
		t.Errorf("got %s, want %s", got, filepath.Join(state, "witnessmark"))
	}
}
