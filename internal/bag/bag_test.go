package bag_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"witnessmark/internal/bag"
)

var contents = map[string]string{"data/originals/0001-rig.jpg": "a picture", "data/record.json": "{}", "data/100%.txt": "an odd name", "data/empty": ""}

// made is a bag as a folder in memory.
func made(t testing.TB) fstest.MapFS {
	t.Helper()
	var entries []bag.Entry
	for p, text := range contents {
		sum := sha256.Sum256([]byte(text))
		entries = append(entries, bag.Entry{Path: p, SHA256: hex.EncodeToString(sum[:]), Size: int64(len(text))})
	}
	tags, err := bag.Tags(entries, []bag.Fact{{Name: "Bagging-Date", Value: "2026-05-05"}})
	if err != nil {
		t.Fatal(err)
	}
	folder := fstest.MapFS{}
	for p, text := range contents {
		folder[p] = &fstest.MapFile{Data: []byte(text)}
	}
	for _, f := range tags {
		folder[f.Name] = &fstest.MapFile{Data: f.Data}
	}
	return folder
}

func TestWhole(t *testing.T) {
	folder := made(t)
	c, err := bag.Check(folder)
	if err != nil || len(c.Problems) > 0 || len(c.Payload) != len(contents) {
		t.Fatalf("%d files, %v, %v; want %d and nothing wrong", len(c.Payload), c.Problems, err, len(contents))
	}
	for _, want := range []string{"Bagging-Date: 2026-05-05\n", "Payload-Oxum: 22.4\n"} {
		if got := string(folder["bag-info.txt"].Data); !strings.Contains(got, want) {
			t.Errorf("the facts are %q, want %q among them", got, want)
		}
	}
	// The declaration's two lines are RFC 8493's own (2.1.1).
	if got := string(folder["bagit.txt"].Data); got != "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n" {
		t.Errorf("the declaration is %q", got)
	}
	if again := made(t); !maps.EqualFunc(folder, again, func(a, b *fstest.MapFile) bool { return bytes.Equal(a.Data, b.Data) }) {
		t.Error("the same files gave another bag the second time")
	}
}

func TestSpoilt(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(fstest.MapFS)
		want  string
	}{
		"a changed file":         {func(f fstest.MapFS) { f["data/record.json"].Data = []byte("[]") }, "data/record.json was changed"},
		"a removed file":         {func(f fstest.MapFS) { delete(f, "data/empty") }, "data/empty is missing"},
		"a file put in":          {func(f fstest.MapFS) { f["data/more"] = &fstest.MapFile{} }, "data/more was put into the bag"},
		"a changed list":         {func(f fstest.MapFS) { f["manifest-sha256.txt"].Data = nil }, "manifest-sha256.txt was changed"},
		"no list":                {func(f fstest.MapFS) { delete(f, "manifest-sha256.txt") }, "manifest-sha256.txt is missing"},
		"a path that climbs":     {func(f fstest.MapFS) { put(f, strings.Repeat("0", 64)+"  data/../../etc/passwd\n") }, "no digest and path"},
		"a path outside data":    {func(f fstest.MapFS) { put(f, strings.Repeat("0", 64)+"  bagit.txt\n") }, "does not belong"},
		"files to be fetched":    {func(f fstest.MapFS) { f["fetch.txt"] = &fstest.MapFile{} }, "fetched"},
		"facts that were edited": {func(f fstest.MapFS) { f["bag-info.txt"].Data = nil }, "bag-info.txt was changed"},
	} {
		folder := made(t)
		c.spoil(folder)
		got, err := bag.Check(folder)
		if err != nil || !strings.Contains(strings.Join(got.Problems, "\n"), c.want) {
			t.Errorf("%s: %v, %v; want %q", name, got.Problems, err, c.want)
		}
	}
	if _, err := bag.Check(fstest.MapFS{"data/a": &fstest.MapFile{}}); !errors.Is(err, bag.ErrNone) {
		t.Errorf("a folder that is no bag: %v", err)
	}
}

// put puts a line behind the payload's manifest.
func put(f fstest.MapFS, line string) {
	f["manifest-sha256.txt"].Data = append(bytes.Clone(f["manifest-sha256.txt"].Data), line...)
}

// GNU coreutils' sha256sum agrees with both lists, of names that it writes as they are.
func TestSHA256Sum(t *testing.T) {
	program, err := exec.LookPath("sha256sum")
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, made(t)); err != nil {
		t.Fatal(err)
	}
	for _, list := range []string{"manifest-sha256.txt", "tagmanifest-sha256.txt"} {
		text, err := os.ReadFile(filepath.Join(dir, list))
		if err != nil {
			t.Fatal(err)
		}
		cmd := exec.CommandContext(t.Context(), program, "--check", "--strict")
		cmd.Dir = dir
		cmd.Stdin = strings.NewReader(strings.ReplaceAll(string(text), "%25", "%"))
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("sha256sum of %s: %v\n%s", list, err, out)
		}
	}
}

func TestName(t *testing.T) {
	for typed, want := range map[string]string{
		"IMG_0412.jpg":                       "IMG_0412.jpg",
		"../../etc/passwd":                   "passwd",
		`C:\photos\rig left.jpg`:             "rig_left.jpg",
		"..hidden":                           "hidden",
		"Größe 1.jpg":                        "Gr__e_1.jpg",
		strings.Repeat("long ", 20) + ".pdf": "_long_long_long_long_long_long_long_.pdf",
		"-rf":                                "rf",
		"":                                   "",
	} {
		if got := bag.Name(typed); got != want {
			t.Errorf("Name(%q) = %q, want %q", typed, got, want)
		}
	}
}

func TestTagsRefuse(t *testing.T) {
	sum := strings.Repeat("a", 64)
	for name, entries := range map[string][]bag.Entry{
		"outside data":                  {{Path: "record.json", SHA256: sum}},
		"climbing":                      {{Path: "data/../x", SHA256: sum}},
		"no digest":                     {{Path: "data/x", SHA256: "aa"}},
		"two that some systems confuse": {{Path: "data/x", SHA256: sum}, {Path: "data/X", SHA256: sum}},
	} {
		if _, err := bag.Tags(entries, nil); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
	if _, err := bag.Tags(nil, []bag.Fact{{Name: "Contact", Value: "two\nlines"}}); err == nil {
		t.Error("a fact of two lines is taken")
	}
}
