package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"witnessmark/internal/verify/verifytest"
)

// verified runs the command on a file of the given name and gives its words and code.
func verified(t *testing.T, name string, data []byte, key string) (string, int) {
	t.Helper()
	t.Chdir(t.TempDir())
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	var out strings.Builder
	err := run(t.Context(), []string{"verify", name, "--key", key}, func(string) string { return "" }, &out)
	if err == nil {
		return out.String(), 0
	}
	return out.String() + err.Error(), exitCode(err)
}

// TestReadmeVerifies keeps README's walk-through true: what it shows of the demonstration's portfolio, and of that with a byte changed,
// is what the command says of another one, but for names, numbers and whose it is.
func TestReadmeVerifies(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	shown := func(begins string) string {
		t.Helper()
		block := regexp.MustCompile("(?s)```\n(" + begins + ".*?)```").FindStringSubmatch(string(readme))
		if block == nil {
			t.Fatalf("README shows nothing that begins with %q", begins)
		}
		return settled(block[1])
	}
	c := verifytest.New(t)
	data := c.Portfolio(verifytest.Spoil{})
	genuine, code := verified(t, "portfolio.pdf", data, c.Key)
	if got := settled(genuine); code != 0 || got != shown("portfolio.pdf: genuine, time") {
		t.Errorf("README shows another output than this, with code %d:\n%s", code, genuine)
	}
	picture := bytes.Index(data, []byte("/DCTDecode"))
	if picture < 0 {
		t.Fatal("the portfolio has no picture")
	}
	data[picture+1000] ^= 1
	altered, code := verified(t, "changed.pdf", data, c.Key)
	if got := settled(altered); code != 1 || !strings.HasPrefix(got, shown("changed.pdf: altered")) {
		t.Errorf("README shows another output of an altered one than this, with code %d:\n%s", code, altered)
	}
}

var (
	whose  = regexp.MustCompile(`(?s)  Portfolio of .*?\n\n`)
	named  = regexp.MustCompile(`"[^"]*"|[a-z]+\.[0-9a-f]{8}/log|[0-9]+`)
	spaces = regexp.MustCompile(`\s+`)
)

// settled is an output without what differs from one portfolio to the next, and how its lines are broken for that.
func settled(s string) string {
	return strings.TrimSpace(spaces.ReplaceAllString(named.ReplaceAllString(whose.ReplaceAllString(s, ""), "N"), " "))
}

func TestVerifyWithoutAFile(t *testing.T) {
	var out strings.Builder
	err := run(t.Context(), []string{"verify", filepath.Join(t.TempDir(), "nothing.pdf")}, func(string) string { return "" }, &out)
	if err == nil || exitCode(err) != 2 {
		t.Errorf("%v, code %d, want 2", err, exitCode(err))
	}
}
