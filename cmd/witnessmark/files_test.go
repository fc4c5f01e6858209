package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/golden"
)

const (
	seedBriefs = "../../seed/briefs"
	examples   = "../../testdata/marking"
)

// file writes a file into a folder of the test's own.
func file(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func TestCheck(t *testing.T) {
	good := filepath.Join(seedBriefs, "controls.yaml")
	src, err := os.ReadFile(good)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(src), "\n")
	at := 0
	for i, l := range lines {
		if strings.HasPrefix(l, "title:") {
			at = i
		}
	}
	broken := strings.Join(append(append(append([]string{}, lines[:at+1]...), "colour: green"), lines[at+1:]...), "\n")
	mixed := t.TempDir()
	for name, text := range map[string]string{"a.yaml": string(src), "below/b.yaml": "brief: [", "notes.txt": "brief: ["} {
		path := filepath.Join(mixed, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	tests := []struct {
		name string
		arg  string
		code int
		want []string
		not  string
	}{
		{"a good file", good, 0, []string{"controls.yaml: nothing to mend"}, "^"},
		{"a folder of good files", seedBriefs, 0, []string{"controls.yaml: nothing", "fully-pumped.yaml: nothing", "sealed-system.yaml: nothing"}, "^"},
		{"a member that nobody knows", file(t, "b.yaml", broken), 1, []string{"b.yaml, line " + strconv.Itoa(at+2) + ", column 1: ", "\n    colour: green\n    ^"}, "nothing to mend"},
		{"not a brief", file(t, "c.yaml", "brief: [\n"), 1, []string{"c.yaml, line 1, column 8: ", "\n    brief: [\n           ^"}, "nothing to mend"},
		{"nothing in it", file(t, "d.yaml", ""), 1, []string{"d.yaml, "}, "nothing to mend"},
		{"a folder with good and bad", mixed, 1, []string{"a.yaml: nothing to mend", "b.yaml, line 1, "}, "notes.txt"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			out, err := do(t, nil, "check", tt.arg)
			if code := codeOf(err); code != tt.code {
				t.Errorf("exit code %d (%v), want %d", code, err, tt.code)
			}
			contains(t, out, tt.want...)
			if strings.Contains(out, tt.not) {
				t.Errorf("%q stands in\n%s", tt.not, out)
			}
		})
	}
}

func TestCheckOfNothing(t *testing.T) {
	_, err := do(t, nil, "check", filepath.Join(t.TempDir(), "gone.yaml"))
	refused(t, err, "gone.yaml", "no such file")
	_, err = do(t, nil, "check", t.TempDir())
	refused(t, err, "there is no .yaml file")
}

func TestMarkAsTableAndAsJSON(t *testing.T) {
	args := []string{filepath.Join(examples, "bay7.yaml"), filepath.Join(examples, "bay7-submission.yaml")}
	out, err := do(t, nil, append([]string{"mark"}, args...)...)
	if exitCode(err) != 2 {
		t.Errorf("%v, want exit code 2: some lines are not right yet", err)
	}
	golden.Check(t, filepath.Join(examples, "bay7-result.txt"), []byte(out))
	out, err = do(t, nil, append([]string{"mark", "--json"}, args...)...)
	if exitCode(err) != 2 {
		t.Errorf("%v, want exit code 2 with --json too", err)
	}
	want, err := os.ReadFile(filepath.Join(examples, "bay7-result.json"))
	if err != nil {
		t.Fatal(err)
	}
	// The file spells > as an escape, which is the same text to whoever reads JSON.
	if got, want := compact(t, []byte(out)), compact(t, want); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func compact(t *testing.T, text []byte) string {
	t.Helper()
	var v any
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	out, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// example is what this test needs of a worked example. EX-nn.json were made with the marking policy by a separate program.
type example struct {
	Lines []struct {
		Line   string
		Answer string `json:"trainee_answer"`
		Unit   string `json:"trainee_unit"`
	}
	Expected []struct{ Line, Verdict string }
}

// The exit code is what a script goes by: 0 where every line stands, 2 where one does not.
func TestMarkExamples(t *testing.T) {
	for name, code := range map[string]int{"EX-01": 0, "EX-02": 2} {
		t.Run(name, func(t *testing.T) {
			src, err := os.ReadFile(filepath.Join(examples, name+".json"))
			if err != nil {
				t.Fatal(err)
			}
			var ex example
			if err := json.Unmarshal(src, &ex); err != nil {
				t.Fatal(err)
			}
			text := "entries:\n"
			for _, l := range ex.Lines {
				text += fmt.Sprintf("  - {item: %s, text: %q, unit: %s}\n", l.Line, l.Answer, l.Unit)
			}
			out, err := do(t, nil, "mark", "--json", filepath.Join(examples, name+".yaml"), file(t, "submission.yaml", text))
			if got := codeOf(err); got != code {
				t.Errorf("exit code %d (%v), want %d", got, err, code)
			}
			var result struct {
				Findings []struct{ Item, Verdict string }
			}
			if err := json.Unmarshal([]byte(out), &result); err != nil {
				t.Fatalf("%v in\n%s", err, out)
			}
			if len(result.Findings) != len(ex.Expected) {
				t.Fatalf("%d findings, want %d", len(result.Findings), len(ex.Expected))
			}
			for i, want := range ex.Expected {
				if got := result.Findings[i]; got.Item != want.Line || got.Verdict != want.Verdict {
					t.Errorf("got %s %s, want %s %s", got.Item, got.Verdict, want.Line, want.Verdict)
				}
			}
		})
	}
}

// codeOf is the exit code of a command that may have gone well.
func codeOf(err error) int {
	if err == nil {
		return 0
	}
	return exitCode(err)
}

func TestMarkSaysWhatCannotBeRead(t *testing.T) {
	good := filepath.Join(examples, "bay7.yaml")
	tests := []struct {
		name, brief, submission string
		want                    []string
	}{
		{"no brief", "gone.yaml", "gone.yaml", []string{"read the brief", "gone.yaml"}},
		{"no submission", good, "gone.yaml", []string{"read the submission", "gone.yaml"}},
		{"a broken brief", file(t, "broken.yaml", "brief: [\n"), good, []string{"broken.yaml:", "line 1, column 8", "^"}},
		{"a broken submission", good, file(t, "sub.yaml", "entries: 7\n"), []string{"sub.yaml:"}},
		{"a brief in place of a submission", good, good, []string{"bay7.yaml:"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			_, err := do(t, nil, "mark", tt.brief, tt.submission)
			refused(t, err, tt.want...)
		})
	}
}
