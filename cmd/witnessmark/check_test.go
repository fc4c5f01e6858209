package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const (
	seedFiles  = "../../seed"
	seedBriefs = seedFiles + "/briefs"
	seedRules  = seedFiles + "/rules"
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
	bay7, err := os.ReadFile(filepath.Join(examples, "bay7.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	circle := strings.Replace(string(bay7), "formula: tf - tr\n", "formula: tf - tr + ratio × 1 K\n", 1)
	wrongModel := strings.Replace(string(src), `{item: I_load, text: "2.68"`, `{item: I_load, text: "3.68"`, 1)
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
		{"the demonstration's briefs and rule sets", seedFiles, 0, []string{"bay7-gas.yaml: nothing", "controls.yaml: nothing", "fully-pumped.yaml: nothing", "sealed-system.yaml: nothing"}, "^"},
		{"a member that nobody knows", file(t, "b.yaml", broken), 1, []string{"b.yaml, line " + strconv.Itoa(at+2) + ", column 1: ", "\n    colour: green\n    ^"}, "b.yaml: nothing to mend"},
		{"not a brief", file(t, "c.yaml", "brief: [\n"), 1, []string{"c.yaml, line 1, column 8: ", "\n    brief: [\n           ^"}, "c.yaml: nothing to mend"},
		{"nothing in it", file(t, "d.yaml", ""), 1, []string{"d.yaml, "}, "d.yaml: nothing to mend"},
		{"figures in a circle", file(t, "e.yaml", circle), 1, []string{"e.yaml, line 108, column 30: “dT” needs “ratio”, which needs “P”, which needs “dT”", "\n              formula: tf - tr + ratio × 1 K\n                                 ^"}, "e.yaml: nothing to mend"},
		{"a model answer that is not right", file(t, "f.yaml", wrongModel), 1, []string{"f.yaml, line ", "The model answer for I_load does not mark itself full", "\n      - {item: I_load, text: \"3.68\"", "\n                             ^"}, "f.yaml: nothing to mend"},
		{"a folder with good and bad", mixed, 1, []string{"a.yaml: nothing to mend", "b.yaml, line 1, "}, "notes.txt"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			args := []string{"check", "--rules", seedRules, tt.arg}
			if tt.arg == seedFiles { // finds its rule sets itself
				args = []string{"check", tt.arg}
			}
			out, err := do(t, nil, args...)
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

// --slips says what the marker itself would look for in vain as well: by item, the declared first, with their number.
func TestCheckSaysWhichSlipsCannotBeTold(t *testing.T) {
	out, err := do(t, nil, "check", "--slips", "--rules", seedRules, filepath.Join(seedBriefs, "balancing.yaml"), filepath.Join(seedBriefs, "controls.yaml"), filepath.Join(seedBriefs, "emitters.yaml"))
	if err != nil {
		t.Error(err)
	}
	contains(t, out, "controls.yaml: nothing to mend\n  slips that cannot be told from the right answer", "\n  I_load\n", "\n    left out P_valve: in ", " % off\n", "\n    took q_C for q_B: in ", ", up to ",
		"declared “wrong-wall” (took the wall that has no weather on it): in ", "\n      With l_room = ", "m taken as cm, throughout: from “units m mm” everywhere, both come to ")
	if strings.Contains(out, " 0 % off") {
		t.Errorf("something is no way off:\n%s", out)
	}
	counted, declared, items := 0, 0, map[string]bool{}
	for line := range strings.Lines(out) {
		switch {
		case strings.Contains(line, ": nothing to mend"):
			counted, declared, items = 0, 0, map[string]bool{}
		case strings.HasPrefix(line, "  That is "):
			if want := fmt.Sprintf("  That is %d: %d declared, %d found by the marker; ", counted, declared, counted-declared); counted == 0 || !strings.HasPrefix(line, want) {
				t.Errorf("%q, want %q", line, want)
			}
		case strings.HasPrefix(line, "      "): // the example of the line above
		case strings.HasPrefix(line, "    "):
			counted++
			if strings.HasPrefix(line, "    declared ") {
				declared++
			}
		case strings.HasPrefix(line, "  ") && !strings.Contains(line, " cannot be told "):
			if items[line] {
				t.Errorf("%q has two groups", line)
			}
			items[line] = true
		}
	}
	made := false
	for line := range strings.Lines(out) {
		switch isDeclared := strings.HasPrefix(line, "    declared "); {
		case !strings.HasPrefix(line, "    "):
			made = false
		case isDeclared && made:
			t.Errorf("%q stands behind what the marker found", line)
		default:
			made = !isDeclared && !strings.HasPrefix(line, "      ")
		}
	}
}

func TestCheckOfNothing(t *testing.T) {
	_, err := do(t, nil, "check", filepath.Join(t.TempDir(), "gone.yaml"))
	refused(t, err, "gone.yaml", "no such file")
	_, err = do(t, nil, "check", t.TempDir())
	refused(t, err, "there is no .yaml file")
}

// codeOf is the exit code of a command that may have gone well.
func codeOf(err error) int {
	if err == nil {
		return 0
	}
	return exitCode(err)
}
