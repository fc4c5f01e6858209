package marking

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
)

// checkChoice holds a choice's explanation to itself: what each comparison shows holds or not as it says, worked from its
// own text; the last option looked at is the one that decides; and the answer is the marker's.
func checkChoice(t testing.TB, where string, c *brief.Compiled, w Worked, answer string) {
	t.Helper()
	if w.Why != "" {
		return
	}
	if w.Answer != answer {
		t.Errorf("%s: comes to %q, the marker has %q", where, w.Answer, answer)
	}
	for i, o := range w.Options {
		if o.Holds && i < len(w.Options)-1 {
			t.Errorf("%s: %q holds and does not decide", where, o.Text)
		}
		for _, test := range o.Tests {
			if got := shownHolds(t, where, c, test.Last); got != test.Holds {
				t.Errorf("%s: “%s” is shown, and it %s", where, test.Last.Text(), test.Words())
			}
		}
		if n := len(o.Tests); n == 1 && o.Tests[0].Holds != o.Holds || n == 0 && !o.Holds {
			t.Errorf("%s: %q: holds %v with its tests %+v", where, o.Text, o.Holds, o.Tests)
		}
	}
	last := w.Options[len(w.Options)-1]
	if last.Holds != (answer != none) || last.Text != "" && last.Holds && last.Text != answer {
		t.Errorf("%s: ends with %+v and the answer is %q", where, last, answer)
	}
	if !strings.Contains(w.So, answer) {
		t.Errorf("%s: “%s” does not say %q", where, w.So, answer)
	}
}

// shownHolds works a comparison out from what it shows.
func shownHolds(t testing.TB, where string, c *brief.Compiled, l formula.Line) bool {
	t.Helper()
	condition, err := formula.ParseCondition(l.Text())
	if err != nil {
		t.Fatalf("%s: %s: %v", where, l.Text(), err)
	}
	p, err := formula.CompileCondition(condition, formula.Env{Functions: c.Functions})
	if err != nil {
		t.Fatalf("%s: %s: %v", where, l.Text(), err)
	}
	holds, err := p.Eval(nil)
	if err != nil {
		t.Fatalf("%s: %s: %v", where, l.Text(), err)
	}
	return holds
}

func TestExplainedChoices(t *testing.T) {
	choices := 0
	for name, c := range explainedBriefs(t) {
		r := Mark(c, ModelSheet(c))
		for _, e := range ExplainAll(c, ModelSheet(c)) {
			f := find(t, r, e.Item)
			if f.FromGiven != nil {
				continue
			}
			choices++
			where := name + ", " + e.Item
			if e.Given.Why != "" {
				t.Errorf("%s: %s", where, e.Given.Why)
				continue
			}
			checkWorked(t, where, c, e.Given, f.Expected)
		}
	}
	if choices < 20 {
		t.Errorf("only %d choices were looked at", choices)
	}
}

// The demonstration's attempts, with their slips and whatever they make of the figures after them, are explained in steps
// that come out right, from the given values and from the trainee's own.
func TestAttemptsExplanationsReadBack(t *testing.T) {
	briefs := explainedBriefs(t)
	files, err := filepath.Glob("../../seed/attempts/*/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	attempts := 0
	for _, file := range files {
		c := briefs[filepath.Base(filepath.Dir(file))+".yaml"]
		if c == nil || filepath.Base(file) == "expected.yaml" {
			continue
		}
		src, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		s, err := ReadSheet(src)
		if err != nil {
			t.Fatal(err)
		}
		attempts++
		r := Mark(c, s)
		for _, e := range ExplainAll(c, s) {
			where, f := file+", "+e.Item, find(t, r, e.Item)
			checkWorked(t, where, c, e.Given, f.Expected)
			if e.Own != nil {
				checkWorked(t, where+" from own", c, *e.Own, f.ExpectedOwn)
			}
		}
	}
	if attempts < 60 {
		t.Errorf("only %d attempts were looked at", attempts)
	}
}

func checkWorked(t *testing.T, where string, c *brief.Compiled, w Worked, answer string) {
	t.Helper()
	for i, l := range w.Lines {
		checkLine(t, where, c, l, i > 0 || len(w.Lines) == 1)
	}
	if len(w.Options) == 0 {
		return
	}
	checkChoice(t, where, c, w, answer)
	for _, o := range w.Options {
		for _, test := range o.Tests {
			for i, l := range test.Lines {
				if i > 0 { // the first is in symbols
					checkLine(t, where, c, l, true)
				}
			}
		}
	}
}

// Whatever is typed, an explained choice is the marker's, from the given values and from the trainee's own.
func TestAnySheetsChoicesAreTheMarkers(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	texts := rapid.StringMatching(`-?[0-9]{1,3}([.][0-9]{1,6})?( ?(kW|W|L))?`)
	rapid.Check(t, func(rt *rapid.T) {
		s := bay7(t, c)
		for i := range s.Entries {
			if rapid.Bool().Draw(rt, "change") {
				s.Entries[i].Text = texts.Draw(rt, "text")
			}
		}
		r := Mark(c, s)
		for _, key := range []string{"enough", "size"} {
			e, err := Explain(c, s, key)
			if err != nil {
				rt.Fatal(err)
			}
			f := find(t, r, key)
			checkChoice(t, key, c, e.Given, f.Expected)
			if e.Own != nil {
				checkChoice(t, key+" from own", c, *e.Own, f.ExpectedOwn)
			}
			if known := f.ExpectedOwn != "" && f.ExpectedOwn != f.Expected; known != (e.Own != nil) {
				rt.Fatalf("%s: own explained %v, %q and %q expected", key, e.Own != nil, f.Expected, f.ExpectedOwn)
			}
		}
	})
}

// choices is a brief with one choice for each condition, which holds or is left for “no”.
func choices(conditions ...string) string {
	src := `brief: 1
key: choices
title: Choices
about: Nothing is built here.
criteria: [{unit: X-1, codes: ["1.1"]}]
given:
  - {name: a, is: a length, value: 2.50 m}
  - {name: b, is: another, value: 800 mm}
  - {name: t, is: a temperature, value: 20 °C}
  - {name: u, is: a hotter one, value: 60 °C}
  - {name: p, is: a gauge pressure, value: 1.5 bar(g)}
  - {name: n, is: a number, value: "3"}
  - {name: eta, is: an efficiency, value: 90 %}
  - {name: x, is: a fine length, value: 1.0000004 m}
stages:
  - key: s1
    title: All
    items:
`
	for i, when := range conditions {
		src += fmt.Sprintf("      - {key: c%d, title: Choice %d, criteria: [\"1.1\"], choice: {ask: it, options: [{text: \"yes\", when: \"%s\"}, {text: \"no\"}]}}\n", i, i, when)
	}
	return src
}

func TestExplainedConditions(t *testing.T) {
	for _, tt := range []struct{ when, want string }{
		{"a ≤ 3 m", "a ≤ 3 m; 2.50 m ≤ 3 m: holds"},
		{"a ≤ b", "a ≤ b; 800 mm = 0.8 m; 2.50 m ≤ 0.8 m: does not hold"},
		{"b < 1 m and a > 3 m", "b < 1 m; 1 m = 1000 mm; 800 mm < 1000 mm: holds; and; a > 3 m; 2.50 m > 3 m: does not hold"},
		{"a > 3 m or b < a", "a > 3 m; 2.50 m > 3 m: does not hold; or; b < a; 2.50 m = 2500 mm; 800 mm < 2500 mm: holds"},
		{"b < 900 mm or a > 3 m", "b < 900 mm; 800 mm < 900 mm: holds"},
		{"b / a < 0.95 × eta", "b ÷ a < 0.95 × eta; 800 mm = 0.8 m; 0.8 m ÷ 2.50 m = 0.32; 90 % = 0.9; 0.95 × 0.9 = 0.855; 0.32 < 0.855: holds"},
		{"abs(t − u) ≤ 30 K", "abs(t − u) ≤ 30 K; 20 °C − 60 °C = −40 K; abs(−40 K) = 40 K; 40 K ≤ 30 K: does not hold"},
		{"t − u > −50 K", "t − u > −50 K; 20 °C − 60 °C = −40 K; −40 K > −50 K: holds"},
		{"t + u > 70 °C + 20 °C", "t + u > 70 °C + 20 °C; 20 °C + 60 °C > 70 °C + 20 °C: does not hold"},
		{"0.3 × a < 1 m", "0.3 × a < 1 m; 0.3 × 2.50 m = 0.75 m; 0.75 m < 1 m: holds"},
		{"p ≥ 1.5 bar", "p ≥ 1.5 bar; 1.5 bar(g) ≥ 1.5 bar: holds"},
		{"x / 3 > 0.33333340 m", "x ÷ 3 > 0.33333340 m; 1.0000004 m ÷ 3 ≈ 0.3333335 m; 0.3333335 m > 0.33333340 m: holds"},
		{"x / 3 ≤ 1 m / 3", "x ÷ 3 ≤ 1 m ÷ 3; 1.0000004 m ÷ 3 ≈ 0.3333335 m; 1 m ÷ 3 ≈ 0.3333333 m; 0.3333335 m ≤ 0.3333333 m: does not hold"},
		{"n = 3", "n = 3; 3 = 3: holds"},
		{"exp(0 − n / 60) − exp(0 − n / 50) > 0.02", "exp(0 − n ÷ 60) − exp(0 − n ÷ 50) > 0.02; 0 − 3 ÷ 60 = −0.05; exp(−0.05) ≈ 0.951229; 0 − 3 ÷ 50 = −0.06; exp(−0.06) ≈ 0.941765; 0.951229 − 0.941765 ≈ 0.0094649; 0.0094649 > 0.02: does not hold"},
	} {
		c := compile(t, []byte(choices(tt.when)))
		e, err := Explain(c, ModelSheet(c), "c0")
		if err != nil {
			t.Fatal(err)
		}
		var parts []string
		for _, test := range e.Given.Options[0].Tests {
			if test.Join != "" {
				parts = append(parts, test.Join)
			}
			for _, l := range test.Lines {
				parts = append(parts, l.Text())
			}
			parts = append(parts, test.Last.Text()+": "+test.Words())
		}
		if got := strings.Join(parts, "; "); got != tt.want {
			t.Errorf("%s\n got %s\nwant %s", tt.when, got, tt.want)
		}
		if strings.HasPrefix(tt.when, "t + u") { // shown by its parts alone
			continue
		}
		checkChoice(t, tt.when, c, e.Given, find(t, Mark(c, ModelSheet(c)), "c0").Expected)
	}
}

func TestExplainedSize(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for stated, want := range map[string]string{
		"1.0":  "size = 5 L: 5 L ≥ 2 L",
		"3.84": "",
		"5.5":  "size = 12 L: 8 L ≥ 11 L does not; 12 L ≥ 11 L",
		"7":    "size = none of these: 12 L ≥ 14 L does not",
	} {
		s := bay7(t, c)
		for i := range s.Entries {
			if s.Entries[i].Item == "Ve" {
				s.Entries[i].Text = stated
			}
		}
		e, err := Explain(c, s, "size")
		if err != nil {
			t.Fatal(err)
		}
		if e.Formula.Text() != "size ≥ 2 × Ve" || e.Given.Lines[0].Text() != "size ≥ 2 × 3.84 L = 7.68 L" || e.Given.Answer != "8\u2009L" {
			t.Errorf("%s; %s; %s", e.Formula.Text(), e.Given.Lines[0].Text(), e.Given.Answer)
		}
		got := ""
		if e.Own != nil {
			var parts []string
			for _, o := range e.Own.Options {
				part := o.Tests[0].Last.Text()
				if !o.Holds {
					part += " does not"
				}
				parts = append(parts, part)
			}
			got = "size = " + strings.ReplaceAll(e.Own.Answer, "\u2009", " ") + ": " + strings.Join(parts, "; ")
		}
		if got != want {
			t.Errorf("Ve = %s: %q, want %q", stated, got, want)
		}
	}
}

func TestExplainedChoiceSaysWhatIsMissing(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	blank("tr")(&s)
	for i := range s.Entries {
		if s.Entries[i].Item == "P" || s.Entries[i].Item == "dT" {
			s.Entries[i].Text = ""
		}
	}
	e, err := Explain(c, s, "enough")
	if err != nil {
		t.Fatal(err)
	}
	if e.Given.Why != "Return temperature is not taken." || len(e.Given.Options) > 0 || e.Given.So != "" {
		t.Errorf("%+v", e.Given)
	}
}
