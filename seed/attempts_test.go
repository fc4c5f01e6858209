package seed

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// kinds are the example attempts that every brief has.
var kinds = []string{"careless", "copied", "good", "half-done", "unsafe-order", "wrong-units"}

// foretold is attempts/NAME/expected.yaml: what the marker has to say of each example attempt at a brief, written from the
// brief and the marking policy before the marker saw them. Lines that it does not name are right and hold nothing up.
type foretold struct {
	Brief    string                         `yaml:"brief"`
	Worked   string                         `yaml:"worked"` // by hand or by which program
	Attempts map[string]map[string]foreseen `yaml:"attempts"`
}

// foreseen is what has to be said of a line (item, item#part, item@phase), of every line of an item or of every line of a
// stage; the narrowest counts. Of the whole sheet, whose name is "sheet", it is a flag alone.
type foreseen struct {
	Verdict marking.Verdict `yaml:"verdict"`
	Slip    string          `yaml:"slip"`  // named, or among the candidates
	Flag    string          `yaml:"flag"`  // a flag's code, beside others perhaps, or the code of the reason
	Fault   string          `yaml:"fault"` // of a functional test: the likely faults, by key with commas between them
	Stage   string          `yaml:"stage"` // the stage that is meant, whatever the name
}

// TestExampleAttempts marks the example attempts and holds every line against what was foretold.
func TestExampleAttempts(t *testing.T) {
	folders, err := filepath.Glob("attempts/*/expected.yaml")
	if err != nil || len(folders) == 0 {
		t.Fatalf("no example attempts: %v", err)
	}
	for _, file := range folders {
		folder := filepath.Dir(file)
		name := filepath.Base(folder)
		t.Run(name, func(t *testing.T) {
			want := foretell(t, file)
			c := compiledFile(t, filepath.Join("briefs", want.Brief+".yaml"))
			if want.Brief != name || want.Worked == "" {
				t.Errorf("%s is about %q and was worked %q", file, want.Brief, want.Worked)
			}
			if got := slices.Sorted(maps.Keys(want.Attempts)); !slices.Equal(got, kinds) {
				t.Fatalf("%s has %v, want %v", file, got, kinds)
			}
			for _, kind := range kinds {
				src, err := os.ReadFile(filepath.Join(folder, kind+".yaml"))
				if err != nil {
					t.Fatal(err)
				}
				t.Run(kind, func(t *testing.T) { compareAttempt(t, c, src, want.Attempts[kind], kind == "good") })
			}
		})
	}
}

// TestEveryBriefHasExampleAttempts wants a folder of attempts for each brief of the demonstration.
func TestEveryBriefHasExampleAttempts(t *testing.T) {
	for _, name := range order {
		if _, err := os.Stat(filepath.Join("attempts", name, "expected.yaml")); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func foretell(t *testing.T, file string) foretold {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var want foretold
	if err := yaml.UnmarshalWithOptions(src, &want, yaml.Strict()); err != nil {
		t.Fatalf("%s:\n%v", file, err)
	}
	return want
}

// ruled is a day on which the demonstration's rule sets are in force.
const ruled brief.Day = "2026-11-02"

// rulebook is the demonstration's rule sets as they are in force.
func rulebook(t *testing.T) brief.Book {
	t.Helper()
	files, err := RuleSets()
	if err != nil {
		t.Fatal(err)
	}
	var sets []brief.RuleSet
	for _, f := range files {
		rs, err := brief.ReadRules(f.Source)
		if err != nil {
			t.Fatalf("%s:\n%v", f.File, err)
		}
		sets = append(sets, *rs)
	}
	book, ps := brief.BookOn(sets, ruled)
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	return book
}

// compiledFile reads one brief of the demonstration and compiles it under the rule sets.
func compiledFile(t *testing.T, file string) *brief.Compiled {
	t.Helper()
	src, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	b, err := brief.Read(src)
	if err != nil {
		t.Fatalf("%s:\n%v", file, err)
	}
	b, lacking := b.Under(rulebook(t))
	c, ps := brief.Compile(b, functions())
	if ps = append(lacking, ps...); ps.Err() != nil {
		t.Fatalf("%s:\n%v", file, ps.Located(src))
	}
	return c
}

// compareAttempt marks one submission and compares every line and the whole sheet.
func compareAttempt(t *testing.T, c *brief.Compiled, src []byte, want map[string]foreseen, good bool) {
	t.Helper()
	if good == (len(want) > 0) {
		t.Errorf("%d lines are foretold: the good attempt has none that are not right, any other has some", len(want))
	}
	sheet, err := marking.ReadSheet(src)
	if err != nil {
		t.Fatal(err)
	}
	r := marking.Mark(c, sheet)
	used := map[string]bool{}
	for i := range r.Findings {
		f := &r.Findings[i]
		compareLine(t, c, f, want, used)
		if good && slices.ContainsFunc(f.Flags, func(f marking.Flag) bool { return f.Code != marking.FlagRetested }) {
			t.Errorf("%s of a good attempt has flags: %v", f.Line(), f.Flags)
		}
	}
	for name, w := range want {
		if w.Fault != "" {
			used[name] = true
			if got := likely(r.Diagnoses, name); got != w.Fault {
				t.Errorf("%s: the likely faults are %q, want %q", name, got, w.Fault)
			}
		}
	}
	compareSheet(t, r.Flags, want["sheet"], used)
	for name := range want {
		if !used[name] {
			t.Errorf("%s is foretold and is no line, item or stage, or only ever overruled by something narrower", name)
		}
	}
}

func compareLine(t *testing.T, c *brief.Compiled, f *marking.Finding, want map[string]foreseen, used map[string]bool) {
	t.Helper()
	name, w, ok := narrowest(c, f, want)
	if !ok {
		right := f.Verdict == marking.Correct || f.Verdict == marking.WithinLimit || f.Verdict == marking.Recorded
		if !right || f.Blocks {
			t.Errorf("%s is %s, want nothing to say of it: %s %v", f.Line(), f.Verdict, f.Tutor, f.Flags)
		}
		return
	}
	used[name] = true
	if f.Verdict != w.Verdict {
		t.Errorf("%s is %s, want %s: %s %v", f.Line(), f.Verdict, w.Verdict, f.Tutor, f.Flags)
	}
	if w.Slip != "" && !hasSlip(f, w.Slip) {
		t.Errorf("%s: the slip is not told as %s: %+v %+v", f.Line(), w.Slip, f.Slip, f.Candidates)
	}
	if w.Flag != "" && w.Flag != f.Code && !flagged(f.Flags, w.Flag) {
		t.Errorf("%s: there is no flag %s: %s %v", f.Line(), w.Flag, f.Code, f.Flags)
	}
}

// narrowest is what is foretold of a line: under its own name, its item's, or its stage's.
func narrowest(c *brief.Compiled, f *marking.Finding, want map[string]foreseen) (name string, w foreseen, ok bool) {
	for _, name := range []string{f.Line(), f.Item} {
		if w, ok := want[name]; ok && w.Verdict != "" {
			return name, w, true
		}
	}
	_, st, _ := c.Brief.Item(f.Item)
	for name, w := range want {
		if w.Stage == st.Key {
			return name, w, true
		}
	}
	return "", foreseen{}, false
}

// likely are the faults that a functional test's wrong cells point at.
func likely(ds []marking.Diagnosis, item string) string {
	var keys []string
	for _, d := range ds {
		for _, f := range d.Likely {
			if d.Item == item {
				keys = append(keys, f.Key)
			}
		}
	}
	return strings.Join(keys, ", ")
}

func hasSlip(f *marking.Finding, key string) bool {
	return f.Slip != nil && f.Slip.Key == key || slices.ContainsFunc(f.Candidates, func(s marking.SlipMatch) bool { return s.Key == key })
}

func flagged(flags []marking.Flag, code string) bool {
	return slices.ContainsFunc(flags, func(f marking.Flag) bool { return f.Code == code })
}

// compareSheet wants the flag that is foretold of the whole sheet, and none that is not.
func compareSheet(t *testing.T, flags []marking.Flag, want foreseen, used map[string]bool) {
	t.Helper()
	used["sheet"] = true
	if want.Flag != "" && !flagged(flags, want.Flag) {
		t.Errorf("the sheet has no flag %s: %v", want.Flag, flags)
	}
	for _, f := range flags {
		if f.Code != want.Flag {
			t.Errorf("the sheet has a flag %s that is not foretold: %s", f.Code, f.Text)
		}
	}
}
