package main

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"witnessmark/internal/golden"
)

func TestMarkAsTableAndAsJSON(t *testing.T) {
	args := []string{filepath.Join(examples, "bay7.yaml"), filepath.Join(examples, "bay7-submission.yaml")}
	out, err := do(t, nil, append([]string{"mark"}, args...)...)
	if err != nil {
		t.Errorf("%v: lines that are not right yet are no failure of the marking", err)
	}
	golden.Check(t, filepath.Join(examples, "bay7-result.txt"), []byte(out))
	out, err = do(t, nil, append([]string{"mark", "--json"}, args...)...)
	if err != nil {
		t.Error(err)
	}
	line := objects(t, out)
	if len(line) != 1 || line[0].File != args[1] || line[0].Trainee != "T-07" {
		t.Fatalf("got %+v", line)
	}
	want, err := os.ReadFile(filepath.Join(examples, "bay7-result.json"))
	if err != nil {
		t.Fatal(err)
	}
	// The file spells > as an escape, which is the same text to whoever reads JSON.
	if got, want := compact(t, line[0].Result), compact(t, want); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// object is one line of what --json prints.
type object struct {
	File, Trainee, Error string
	Result               json.RawMessage
}

func objects(t *testing.T, text string) []object {
	t.Helper()
	var out []object
	for line := range strings.Lines(text) {
		var o object
		if err := json.Unmarshal([]byte(line), &o); err != nil {
			t.Fatalf("%v in\n%s", err, line)
		}
		out = append(out, o)
	}
	return out
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

// Each example comes out as the separate program says.
func TestMarkExamples(t *testing.T) {
	for _, name := range []string{"EX-01", "EX-02"} {
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
			if err != nil {
				t.Error(err)
			}
			var result struct {
				Findings []struct{ Item, Verdict string }
			}
			if err := json.Unmarshal(objects(t, out)[0].Result, &result); err != nil {
				t.Fatal(err)
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

// cohort is a folder with submissions in it, the brief among them and one that cannot be read.
func cohort(t *testing.T) (briefFile, folder string) {
	t.Helper()
	folder = t.TempDir()
	for to, from := range map[string]string{"bay7.yaml": "bay7.yaml", "b/second.yaml": "bay7-submission.yaml", "a.yaml": "bay7-submission.yaml"} {
		src, err := os.ReadFile(filepath.Join(examples, from))
		if err != nil {
			t.Fatal(err)
		}
		put(t, filepath.Join(folder, to), string(src))
	}
	put(t, filepath.Join(folder, "b", "first.json"), `{"trainee": "T-08", "given": {"load": "14.5 kW"}, "entries": [{"item": "dT", "text": "18.5"}]}`)
	put(t, filepath.Join(folder, "broken.yml"), "entries: 7\n")
	put(t, filepath.Join(folder, "notes.txt"), "not a submission")
	return filepath.Join(folder, "bay7.yaml"), folder
}

func put(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// One file that cannot be read does not stop the others, and the exit code and the end say that there was one.
func TestMarkAFolder(t *testing.T) {
	briefFile, folder := cohort(t)
	out, err := do(t, nil, "mark", "--json", briefFile, folder)
	if codeOf(err) != 1 {
		t.Errorf("%v, want exit code 1", err)
	}
	refused(t, err, "broken.yml", "Line 1, column 10", "A list belongs here")
	var names []string
	for _, o := range objects(t, out) {
		name, relErr := filepath.Rel(folder, o.File)
		if relErr != nil {
			t.Fatal(relErr)
		}
		names = append(names, name)
		if wrong := name == "broken.yml"; wrong != (o.Error != "") || wrong != (o.Result == nil) {
			t.Errorf("%s: error %q, result %s", name, o.Error, o.Result)
		}
	}
	if got, want := strings.Join(names, " "), "a.yaml b/first.json b/second.yaml broken.yml"; got != want {
		t.Errorf("got %s, want %s: by name, without the brief", got, want)
	}
	again, _ := do(t, nil, "mark", "--json", briefFile, folder)
	if again != out {
		t.Error("a second run printed something else")
	}
}

func TestMarkAFolderAsText(t *testing.T) {
	briefFile, folder := cohort(t)
	out, err := do(t, nil, "mark", briefFile, folder)
	if codeOf(err) != 1 {
		t.Errorf("%v, want exit code 1", err)
	}
	contains(t, out, "── "+filepath.Join(folder, "b", "first.json"), "18.5", "3 submissions marked", "1 could not be read", "commonest slip")
	short, err := do(t, nil, "mark", "--table", briefFile, folder)
	if codeOf(err) != 1 {
		t.Errorf("%v, want exit code 1", err)
	}
	if !strings.HasSuffix(out, short) || strings.Contains(short, "──") {
		t.Errorf("the sum alone should be the end of the whole:\n%s", short)
	}
	contains(t, short, "T-07", "T-08", "7/13")
	if got := strings.Count(short, "\nT-07 "); got != 2 {
		t.Errorf("%d rows of T-07, want 2:\n%s", got, short)
	}
}

// What says that it is something else is no submission that cannot be read; what says nothing is.
func TestMarkPassesOverOtherKinds(t *testing.T) {
	briefFile, folder := cohort(t)
	if err := os.Remove(filepath.Join(folder, "broken.yml")); err != nil {
		t.Fatal(err)
	}
	out, err := do(t, nil, "mark", "--table", briefFile, folder)
	if err != nil || strings.Contains(out, "Passed over") {
		t.Errorf("%v: the brief itself is told of\n%s", err, out)
	}
	put(t, filepath.Join(folder, "expected.yaml"), "# by hand\nbrief: bay7\nworked: by hand\nattempts:\n  first: {}\n")
	out, err = do(t, nil, "mark", "--table", briefFile, folder)
	if err != nil {
		t.Error(err)
	}
	contains(t, out, "3 submissions marked", "Passed over: 1 file that says it is a brief, ")
	put(t, filepath.Join(folder, "other.json"), `{"brief": 1, "key": "other"}`)
	put(t, filepath.Join(folder, "more.yaml"), "attempts:\n  first: {}\n")
	rules, err := os.ReadFile(filepath.Join(seedRules, "bay7-gas.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	put(t, filepath.Join(folder, "gas.yaml"), string(rules))
	for _, form := range []string{"--table", "--explain"} {
		out, err = do(t, nil, "mark", form, briefFile, folder)
		if err != nil {
			t.Error(err)
		}
		contains(t, out, "3 submissions marked", "Passed over: 4 files that say they are a brief, ")
	}
	out, err = do(t, nil, "mark", "--json", briefFile, folder)
	if lines := objects(t, out); err != nil || len(lines) != 3 {
		t.Errorf("%v: %d lines, want one for each submission", err, len(lines))
	}
	out, err = do(t, nil, "mark", briefFile, filepath.Join(folder, "a.yaml"))
	if err != nil || strings.Contains(out, "Passed over") {
		t.Errorf("%v: a file that was named is told of\n%s", err, out)
	}
	put(t, filepath.Join(folder, "notes.yaml"), "remarks: nothing\n")
	_, err = do(t, nil, "mark", briefFile, folder)
	refused(t, err, "notes.yaml")
	alone := t.TempDir()
	put(t, filepath.Join(alone, "other.json"), `{"brief": 1, "key": "other"}`)
	_, err = do(t, nil, "mark", briefFile, alone)
	refused(t, err, "there is no submission there", "of which there are 1")
	_, err = do(t, nil, "mark", briefFile, filepath.Join(alone, "other.json"))
	refused(t, err, "other.json:")
}

func TestMarkOfNothing(t *testing.T) {
	briefFile, _ := cohort(t)
	_, err := do(t, nil, "mark", briefFile, t.TempDir())
	refused(t, err, "no submission there")
	_, err = do(t, nil, "mark", "--json", "--table", briefFile, briefFile)
	refused(t, err, "--json", "--table")
}

func TestMarkALargeFile(t *testing.T) {
	briefFile, folder := cohort(t)
	large := filepath.Join(folder, "large.yaml")
	put(t, large, "trainee: "+strings.Repeat("a", 2<<20)+"\n")
	_, err := do(t, nil, "mark", briefFile, large)
	refused(t, err, "large.yaml", "too large: a submission has 1048576 bytes at most")
}
