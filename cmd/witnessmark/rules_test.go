package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// ruledBrief takes its limit from the rule set limits.
const ruledBrief = `brief: 1
key: element
title: Resistance of the element
about: Test it.
criteria: [{unit: H2, codes: ["1.1"]}]
stages:
  - key: work
    title: Work
    items:
      - key: R
        title: Resistance of the element
        criteria: ["1.1"]
        reading: {is: resistance, unit: Ω, limit: {rule: limits/cpc}}
model-answer: [{item: R, text: "0.3"}]
`

// limitsEdition is a rule-set file.
func limitsEdition(edition, from, to, most string) string {
	if to != "" {
		to = "\nvalid-to: " + to
	}
	return fmt.Sprintf("rule-set: 1\nkey: limits\ntitle: Limits\nedition: %q\nvalid-from: %s%s\nsource: invented\nentered-by: A\nchecked-by: B\nrules:\n  - {key: cpc, is: continuity, at-most: %s}\n", edition, from, to, most)
}

// folder is a folder of the test's own with these files.
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func TestCheckWithRuleSets(t *testing.T) {
	one, two := limitsEdition("1", "2025-01-01", "2025-12-31", "0.5 Ω"), limitsEdition("2", "2026-01-01", "", "0.2 Ω")
	for _, c := range []struct {
		name  string
		files map[string]string
		args  []string // behind the folder
		code  int
		want  []string
		not   string
	}{
		{"in the folder", map[string]string{"b.yaml": ruledBrief, "rules/1.yaml": one, "rules/2.yaml": two}, []string{"--on=2025-06-01"}, 0,
			[]string{"b.yaml: nothing to mend", "1.yaml: nothing to mend", "2.yaml: nothing to mend"}, "^"},
		{"submissions and what is expected of them are no briefs", map[string]string{"b.yaml": ruledBrief, "rules/1.yaml": one, "attempts/good.yaml": "entries:\n  - {item: R, text: \"1\"}\n", "attempts/expected.yaml": "brief: element\nattempts:\n  good: {}\n"}, []string{"--on=2025-06-01"}, 0,
			[]string{"b.yaml: nothing to mend"}, "attempts"},
		{"none", map[string]string{"b.yaml": ruledBrief}, nil, 1,
			[]string{"b.yaml, line 13, column 58: There is no rule set “limits” here. Name the file or the folder of the centre's rule sets: --rules PATH.", "limit: {rule: limits/cpc}}\n", "^"}, "nothing to mend"},
		{"no edition in force", map[string]string{"b.yaml": ruledBrief, "1.yaml": one}, []string{"--on=2026-06-01"}, 1,
			[]string{"line 13, column 58: No edition of the rule set “limits” is in force on 1 June 2026."}, "b.yaml: nothing"},
		{"the limit's model answer under a later edition", map[string]string{"b.yaml": ruledBrief, "1.yaml": one, "2.yaml": two}, []string{"--on=2026-06-01"}, 1,
			[]string{"The model answer for R does not mark itself full"}, "b.yaml: nothing"},
		{"a gap", map[string]string{"1.yaml": one, "2.yaml": limitsEdition("2", "2026-02-01", "", "0.2 Ω")}, []string{"--on=2025-06-01"}, 1,
			[]string{"2.yaml, line 5, column 13: No edition of “limits” is in force from 1 January 2026 to 31 January 2026", "valid-from: 2026-02-01\n", "1.yaml: nothing to mend"}, "2.yaml: nothing"},
		{"an overlap", map[string]string{"1.yaml": one, "2.yaml": limitsEdition("2", "2025-12-31", "", "0.2 Ω")}, []string{"--on=2025-06-01"}, 1,
			[]string{"2.yaml, line 5, column 13: Two editions of “limits” are in force on 31 December 2025"}, "2.yaml: nothing"},
		{"unchecked", map[string]string{"b.yaml": ruledBrief, "1.yaml": strings.Replace(one, "checked-by: B\n", "", 1)}, []string{"--on=2025-06-01"}, 1,
			[]string{"1.yaml, line 1, column 1: Edition “1” of “limits” would be in force on 1 June 2025, but nobody has checked it", "nobody else has checked edition “1” yet"}, "nothing to mend"},
		{"checked by who entered it", map[string]string{"1.yaml": strings.Replace(one, "checked-by: B", "checked-by: A", 1)}, []string{"--on=2025-06-01"}, 1,
			[]string{"1.yaml, line 9, column 13: ", "checked-by: A\n"}, "nothing to mend"},
		{"a rule set that cannot be read", map[string]string{"1.yaml": strings.Replace(one, "source: invented\n", "", 1)}, nil, 1,
			[]string{"1.yaml, line 1, column 1: A rule set needs the member “source”"}, "nothing to mend"},
		{"a mistake in a rule", map[string]string{"1.yaml": strings.Replace(one, "0.5 Ω", "0.5 Ωx", 1)}, []string{"--on=2025-06-01"}, 1,
			[]string{"1.yaml, line 11, column 45: "}, "nothing to mend"},
		{"a rule of another dimension", map[string]string{"b.yaml": ruledBrief, "1.yaml": strings.Replace(one, "0.5 Ω", "0.5 bar", 1)}, []string{"--on=2025-06-01"}, 1,
			[]string{"1.yaml: nothing to mend", "b.yaml, line 13, column 58: “limits/cpc” is 0.5 bar, which does not fit here, where Ω is asked"}, "b.yaml: nothing"},
	} {
		t.Run(c.name, func(t *testing.T) {
			out, err := do(t, nil, append([]string{"check", folder(t, c.files)}, c.args...)...)
			if code := codeOf(err); code != c.code {
				t.Errorf("exit code %d (%v), want %d\n%s", code, err, c.code, out)
			}
			contains(t, out, c.want...)
			if strings.Contains(out, c.not) {
				t.Errorf("%q stands in\n%s", c.not, out)
			}
		})
	}
}

// Rule sets may lie elsewhere; a file that is named twice is read once.
func TestRuleSetsFromElsewhere(t *testing.T) {
	rules := folder(t, map[string]string{"1.yaml": limitsEdition("1", "2025-01-01", "", "0.5 Ω"), "notes.yaml": "nothing: here\n"})
	b := file(t, "b.yaml", ruledBrief)
	for _, path := range []string{rules, filepath.Join(rules, "1.yaml")} {
		out, err := do(t, nil, "check", b, "--rules", path, "--rules", rules)
		if err != nil {
			t.Errorf("%s: %v\n%s", path, err, out)
		}
		contains(t, out, "b.yaml: nothing to mend", "1.yaml: nothing to mend")
	}
	_, err := do(t, nil, "check", b, "--rules", t.TempDir())
	refused(t, err, "there is no rule set in", "rule-set:")
	_, err = do(t, nil, "check", b, "--rules", filepath.Join(rules, "gone"))
	refused(t, err, "gone", "no such file")
	_, err = do(t, nil, "check", b, "--rules", rules, "--on", "2026-02-29")
	refused(t, err, "--on takes a day such as 2026-01-31", "2026-02-29")
}

// A submission is marked by the edition of the day, and the result names it.
func TestMarkWithRuleSets(t *testing.T) {
	dir := folder(t, map[string]string{
		"b.yaml": ruledBrief, "rules/1.yaml": limitsEdition("1", "2025-01-01", "2025-12-31", "0.5 Ω"), "rules/2.yaml": limitsEdition("2", "2026-01-01", "", "0.2 Ω"),
		"s/one.yaml": "entries:\n  - {item: R, text: \"0.3\"}\n",
	})
	b, s := filepath.Join(dir, "b.yaml"), filepath.Join(dir, "s", "one.yaml")
	for on, want := range map[string]string{"2025-12-31": `"rules":[{"set":"limits","edition":"1"}]`, "2026-01-01": `"rules":[{"set":"limits","edition":"2"}]`} {
		out, err := do(t, nil, "mark", b, s, "--rules", filepath.Join(dir, "rules"), "--on", on, "--json")
		if err != nil {
			t.Error(err)
		}
		verdict := map[string]string{"2025-12-31": "within_limit", "2026-01-01": "outside_limit"}[on]
		contains(t, out, want, `"verdict":"`+verdict+`"`)
	}
	// In a folder of submissions rule sets are rule sets.
	out, err := do(t, nil, "mark", b, dir, "--on", "2025-06-01", "--json")
	if got := objects(t, out); err != nil || len(got) != 1 || !strings.HasSuffix(got[0].File, "one.yaml") {
		t.Errorf("got %v, %v", out, err)
	}
	_, err = do(t, nil, "mark", b, s)
	refused(t, err, "There is no rule set “limits” here", "--rules PATH")
	broken := file(t, "broken.yaml", strings.Replace(limitsEdition("1", "2025-01-01", "", "0.5 Ω"), "0.5 Ω", "0.5 Ωx", 1))
	_, err = do(t, nil, "mark", b, s, "--rules", broken)
	refused(t, err, "broken.yaml:\nline 10, column 45: ")
}
