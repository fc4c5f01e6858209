package verify_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/internal/bag"
	"witnessmark/internal/verify"
	"witnessmark/internal/verify/verifytest"
)

// packed writes a bag of the portfolio's files as a folder.
func packed(t testing.TB, c *verifytest.Centre, record []byte) string {
	t.Helper()
	dir := t.TempDir()
	var entries []bag.Entry
	put := func(name string, data []byte) {
		full := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(full), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(full, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if strings.HasPrefix(name, "data/") {
			entries = append(entries, bag.Entry{Path: name, SHA256: verifytest.Digest(data), Size: int64(len(data))})
		}
	}
	put("data/record.json", record)
	for digest, data := range c.Files {
		put("data/originals/"+digest, data)
	}
	tags, err := bag.Tags(entries, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range tags {
		put(f.Name, f.Data)
	}
	return dir
}

func TestBag(t *testing.T) {
	c := verifytest.New(t)
	data, tr := c.Portfolio(verifytest.Spoil{}), trust(t, c.Key)
	r, err := check(data, tr).Record.JSON()
	if err != nil {
		t.Fatal(err)
	}
	for name, k := range map[string]struct {
		spoil func(dir string) error
		word  verify.Word
		say   string
	}{
		"whole": {func(string) error { return nil }, verify.GenuineCentreTime, "each file of the record is in it"},
		"an original changed": {func(dir string) error {
			return os.WriteFile(filepath.Join(dir, "data/originals", c.Source.Tasks[0].Attempts[0].Evidence[0].Digest), []byte("another"), 0o644)
		}, verify.Altered, "was changed"},
		"an original taken out": {func(dir string) error {
			return os.Remove(filepath.Join(dir, "data/originals", c.Source.Tasks[0].Attempts[0].Evidence[0].Digest))
		}, verify.Altered, "is missing"},
		"no bag": {func(dir string) error { return os.Remove(filepath.Join(dir, "bagit.txt")) }, verify.CannotTell, "no BagIt bag"},
	} {
		dir := packed(t, c, r)
		if err := k.spoil(dir); err != nil {
			t.Fatal(err)
		}
		p := checkWith(data, tr, dir)
		if word, why := p.Verdict(); word != k.word || !strings.Contains(lines(p), k.say) {
			t.Errorf("%s: %q %q, want %q with %q\n%s", name, word, why, k.word, k.say, lines(p))
		}
	}
	p := checkWith(data, tr, packed(t, c, []byte("{}")))
	if word, why := p.Verdict(); word != verify.Altered || !strings.Contains(why, "another portfolio") {
		t.Errorf("another portfolio's bag: %q %q", word, why)
	}
	c.Files = map[string][]byte{}
	p = checkWith(data, tr, packed(t, c, r))
	if word, why := p.Verdict(); word != verify.Altered || !strings.Contains(why, "is not in the bag") {
		t.Errorf("a bag that was packed without its files: %q %q", word, why)
	}
}
