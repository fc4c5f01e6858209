package golden

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// recorder stands for a test and keeps what it was told instead of failing.
type recorder struct {
	testing.TB
	errors, fatals, logs []string
}

func (r *recorder) Helper() {}
func (r *recorder) Errorf(format string, args ...any) {
	r.errors = append(r.errors, fmt.Sprintf(format, args...))
}
func (r *recorder) Fatalf(format string, args ...any) {
	r.fatals = append(r.fatals, fmt.Sprintf(format, args...))
}
func (r *recorder) Logf(format string, args ...any) {
	r.logs = append(r.logs, fmt.Sprintf(format, args...))
}

func TestCheck(t *testing.T) {
	tests := []struct {
		name, file, got string
		says            string // part of what the failure says; empty where the test passes
	}{
		{"same", "one\ntwo\n", "one\ntwo\n", ""},
		{"both empty", "", "", ""},
		{"another line", "one\ntwo\n", "one\ntoo\n", "line 2\n got: \"too\"\nwant: \"two\""},
		{"a line more", "one\n", "one\ntwo\n", "line 2\n got: \"two\"\nwant: \"\""},
		{"no last line end", "one\n", "one", "after line 1"},
		{"bytes", "\xff\x01\x02", "\xff\x01\x03\x04", "got 4 bytes, want 3, first different at byte 2"},
		{"fewer bytes", "\xff\x01", "\xff", "first different at byte 1"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "x.golden")
			if err := os.WriteFile(path, []byte(tt.file), 0o600); err != nil {
				t.Fatal(err)
			}
			r := &recorder{}
			Check(r, path, []byte(tt.got))
			switch {
			case tt.says == "" && len(r.errors)+len(r.fatals) > 0:
				t.Errorf("got %q %q, want a pass", r.errors, r.fatals)
			case tt.says != "" && (len(r.errors) != 1 || !strings.Contains(r.errors[0], tt.says)):
				t.Errorf("got %q, want one failure that says %q", r.errors, tt.says)
			}
		})
	}
}

func TestMissingFileStops(t *testing.T) {
	r := &recorder{}
	Check(r, filepath.Join(t.TempDir(), "none.golden"), []byte("x"))
	if len(r.fatals) != 1 || !strings.Contains(r.fatals[0], "-update") {
		t.Errorf("got %q, want one stop that names -update", r.fatals)
	}
}

func TestUpdateWrites(t *testing.T) {
	if err := flag.Set("update", "true"); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { *update = false })
	path := filepath.Join(t.TempDir(), "folder", "x.golden")
	r := &recorder{}
	Check(r, path, []byte("new\n"))
	Check(r, path, []byte("new\n"))
	got, err := os.ReadFile(path)
	if err != nil || string(got) != "new\n" {
		t.Errorf("got %q and %v, want %q", got, err, "new\n")
	}
	if len(r.logs) != 1 || len(r.errors)+len(r.fatals) != 0 {
		t.Errorf("got logs %q, failures %q %q, want one log and no failure", r.logs, r.errors, r.fatals)
	}
}
