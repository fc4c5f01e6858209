// Package golden compares what a test made with a file that a person has looked at and committed.
//
// It is for tests only. `go test ./internal/yours -update` writes the files afresh; look at the difference before
// committing it, because from then on it is what the test calls right.
package golden

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"
)

// update is registered once for every test binary that uses golden files; no other package may register -update.
var update = flag.Bool("update", false, "write the golden files afresh instead of comparing with them")

// Check fails the test unless the file at path, relative to the test's package, holds exactly got. With -update it
// writes the file, and its folder where that is missing, and logs that it did. A missing file stops the test.
func Check(t testing.TB, path string, got []byte) {
	t.Helper()
	CheckBy(t, path, got, func(got, want []byte) string {
		if bytes.Equal(got, want) {
			return ""
		}
		return difference(got, want)
	})
}

// CheckBy is Check for what need not be the same byte for byte, such as pictures: differs says in words how far two of them
// are apart, "" where they are near enough.
func CheckBy(t testing.TB, path string, got []byte, differs func(got, want []byte) string) {
	t.Helper()
	if *update {
		write(t, path, got)
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatalf("no golden file to compare with: %v. Run the test with -update, look at the file and commit it", err)
		return
	}
	if words := differs(got, want); words != "" {
		t.Errorf("%s differs: %s\nIf the change is meant, run the test with -update and look at the difference", path, words)
	}
}

// write leaves a file alone that already holds got, so that its time does not change for nothing.
func write(t testing.TB, path string, got []byte) {
	t.Helper()
	if old, err := os.ReadFile(path); err == nil && bytes.Equal(old, got) {
		return
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatalf("making the golden file's folder: %v", err)
		return
	}
	if err := os.WriteFile(path, got, 0o644); err != nil {
		t.Fatalf("writing the golden file: %v", err)
		return
	}
	t.Logf("wrote %s", path)
}

// difference shows the first line in which two texts part, or the first byte where either is no text. got and want are
// not equal.
func difference(got, want []byte) string {
	if !utf8.Valid(got) || !utf8.Valid(want) {
		at := 0
		for at < len(got) && at < len(want) && got[at] == want[at] {
			at++
		}
		return fmt.Sprintf("got %d bytes, want %d, first different at byte %d", len(got), len(want), at)
	}
	for n := 1; ; n++ {
		gotLine, gotRest, gotMore := bytes.Cut(got, []byte("\n"))
		wantLine, wantRest, wantMore := bytes.Cut(want, []byte("\n"))
		if !bytes.Equal(gotLine, wantLine) {
			return fmt.Sprintf("line %d\n got: %q\nwant: %q", n, gotLine, wantLine)
		}
		if gotMore != wantMore {
			return fmt.Sprintf("after line %d\n got: more %t\nwant: more %t", n, gotMore, wantMore)
		}
		got, want = gotRest, wantRest
	}
}
