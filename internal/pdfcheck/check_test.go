package pdfcheck_test

import (
	"bytes"
	"compress/zlib"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/pdfcheck"
	"witnessmark/internal/pdfread"
)

func check(t testing.TB, b []byte) []pdfcheck.Finding {
	t.Helper()
	found, err := pdfcheck.CheckFile(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// The good file breaks no rule, and programs that are not ours find it whole.
func TestGoodFile(t *testing.T) {
	b := build(source(t), blobs(t))
	for _, f := range check(t, b) {
		t.Error(f)
	}
	path := filepath.Join(t.TempDir(), "good.pdf")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"qpdf", "--check", path}, "No syntax or stream encoding errors"},
		{[]string{"pdfinfo", path}, "Tagged:          yes"},
		{[]string{"pdffonts", path}, "Identity-H       yes yes yes"},
		{[]string{"pdftotext", path, "-"}, "ABC"},
		{[]string{"pdfinfo", "-struct-text", path}, "H1"},
		{[]string{"mutool", "draw", "-N", "-F", "trace", path}, "fill_text"},
	} {
		out, err := exec.CommandContext(t.Context(), c.args[0], c.args[1:]...).CombinedOutput()
		if err != nil || !strings.Contains(string(out), c.want) || strings.Contains(strings.ToLower(string(out)), "error:") || strings.Contains(string(out), "warning") {
			t.Errorf("%v: %v, want %q in\n%s", c.args, err, c.want, out)
		}
	}
}

// The structure tree that the rules look at is the one that a program which is
// not ours reads.
func TestStructureAgainstPoppler(t *testing.T) {
	b := build(source(t), blobs(t))
	f, err := pdfread.Open(bytes.NewReader(b), int64(len(b)))
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "good.pdf")
	if err := os.WriteFile(path, b, 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.CommandContext(t.Context(), "pdfinfo", "-struct", path).Output()
	if err != nil {
		t.Fatal(err)
	}
	var want []string
	for _, m := range regexp.MustCompile(`(?m)^ *([A-Z]\w*)[ :(]?`).FindAllStringSubmatch(string(out), -1) {
		if m[1] != "Object" { // an annotation within an element
			want = append(want, m[1])
		}
	}
	if got := pdfcheck.Structure(f); !slices.Equal(got, want) {
		t.Errorf("got  %v\nwant %v\nfrom\n%s", got, want, out)
	}
}

// A small file that unpacks to a great deal is not looked at without end.
func TestGreatFilesEnd(t *testing.T) {
	var packed bytes.Buffer
	w := zlib.NewWriter(&packed)
	chunk := make([]byte, 1<<20)
	for range 257 {
		if _, err := w.Write(chunk); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	parts := blobs(t)
	parts["great"] = packed.String()
	text := swap(t, source(t), []string{`{"a":"b"}`, "@@great", "/Params << /Size 9", "/Filter /FlateDecode /Params << /Size 269484032"})
	found := check(t, build(text, parts))
	if len(found) != 1 || found[0].Rule != "judged" {
		t.Errorf("got %v, want that more is there than is looked at", found)
	}
}

// Of many breaches of one rule some are told, and that there are more.
func TestManyFindings(t *testing.T) {
	found := check(t, build(swap(t, source(t), []string{"/Artifact BMC /X1 Do EMC", strings.Repeat("0 0 1 1 re f\n", 50)}), blobs(t)))
	if n := len(found); n != 21 || !strings.Contains(found[n-1].String(), "more places") {
		t.Errorf("got %d findings, the last %v", n, found[n-1])
	}
}

// Each rule has a name of its own, a clause and a sentence.
func TestRulesAreNamed(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range pdfcheck.Rules() {
		if seen[r.ID] || !regexp.MustCompile(`^[a-z0-9]+$`).MatchString(r.ID) || r.Clause == "" || !strings.HasSuffix(r.Words, ".") {
			t.Errorf("rule %+v is named twice or not whole", r)
		}
		seen[r.ID] = true
	}
}
