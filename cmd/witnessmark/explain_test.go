package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// TestMarkExplains runs the example: the table first, then every figure worked out, in the columns of a terminal.
func TestMarkExplains(t *testing.T) {
	out, err := do(t, nil, "mark", "--explain", filepath.Join(examples, "bay7.yaml"), filepath.Join(examples, "bay7-submission.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	table, err := os.ReadFile(filepath.Join(examples, "bay7-result.txt"))
	if err != nil {
		t.Fatal(err)
	}
	steps, err := os.ReadFile(filepath.Join(examples, "bay7-explained.txt"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasPrefix(out, string(table)) {
		t.Errorf("the result does not stand first:\n%s", out)
	}
	if !strings.Contains(out, "\n"+string(steps)) {
		t.Errorf("the figures are not worked out:\n%s", out)
	}
	for line := range strings.SplitSeq(string(steps), "\n") {
		if n := utf8.RuneCountInString(line); n > 80 {
			t.Errorf("%d columns: %s", n, line)
		}
	}
}

// TestReadmeExampleIsReal keeps README's marked example true: what it shows stands in the golden files line for line.
func TestReadmeExampleIsReal(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, ok := strings.Cut(string(readme), "\n## A marked example\n")
	if !ok {
		t.Fatal("README has no marked example")
	}
	section, _, _ = strings.Cut(section, "\n## ")
	blocks := strings.Split(section, "```")
	for i, file := range []string{"bay7-submission.yaml", "bay7-result.txt", "bay7-explained.txt"} {
		whole, err := os.ReadFile(filepath.Join(examples, file))
		if err != nil {
			t.Fatal(err)
		}
		if len(blocks) < 2*i+2 {
			t.Fatalf("README's example has no part from %s", file)
		}
		part := blocks[2*i+1]
		if _, part, _ = strings.Cut(part, "\n"); len(strings.TrimSpace(part)) < 40 {
			t.Errorf("README's part from %s is empty", file)
		}
		for paragraph := range strings.SplitSeq(strings.TrimSpace(part), "\n\n") {
			if !strings.Contains(string(whole), paragraph+"\n") {
				t.Errorf("%s does not hold what README shows:\n%s", file, paragraph)
			}
		}
	}
}
