package brief_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/golden"
)

func TestRuleSetFiles(t *testing.T) {
	if ps := brief.CheckRules(sample.RuleSet()); len(ps) > 0 {
		t.Errorf("the sample has problems:\n%v", ps)
	}
	got, err := brief.PrintRules(sample.RuleSet())
	if err != nil {
		t.Fatal(err)
	}
	golden.Check(t, filepath.Join(testdata, "ruleset.yaml"), got)
	if got, err = brief.RulesSchema(); err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "ruleset.schema.json", got)
}

func TestRulesSchemaAdmitsTheSampleAndRefuses(t *testing.T) {
	s := schemaOf(t, brief.RulesSchema, brief.RulesSchemaID)
	src, err := brief.PrintRules(sample.RuleSet())
	if err != nil {
		t.Fatal(err)
	}
	if err := validate(t, s, src); err != nil {
		t.Error(err)
	}
	for _, c := range []struct{ name, from, to string }{
		{"another edition", "rule-set: 1", "rule-set: 2"},
		{"unknown member", "key: bay-7", "kee: 1\nkey: bay-7"},
		{"missing member", "title: Bay 7 limits\n", ""},
		{"a day in words", `valid-from: "2026-01-01"`, "valid-from: 1 January 2026"},
		{"a lookup of another kind", "between: exact", "between: nearest"},
		{"one row", "        - at: \"28\"\n          is: \"18\"\n        - at: \"35\"\n          is: \"27\"\n", ""},
	} {
		broken := bytes.Replace(src, []byte(c.from), []byte(c.to), 1)
		if bytes.Equal(broken, src) {
			t.Fatalf("%s: %q is not in\n%s", c.name, c.from, src)
		}
		if err := validate(t, s, broken); err == nil {
			t.Errorf("%s: the schema admits it", c.name)
		}
		if rs, err := brief.ReadRules(broken); err == nil && len(brief.CheckRules(rs).Failures()) == 0 {
			t.Errorf("%s: ReadRules and CheckRules admit it", c.name)
		}
	}
}

// schemaOf is a schema as an independent validator reads it.
func schemaOf(t *testing.T, emit func() ([]byte, error), id string) *jsonschema.Schema {
	t.Helper()
	src, err := emit()
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(src))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource(id, doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile(id)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The demonstration's rule sets are in order and in their canonical meaning; what they invent is marked as invented.
func TestDemonstrationRuleSets(t *testing.T) {
	files, err := filepath.Glob("../../seed/rules/*.yaml")
	if err != nil || len(files) < 4 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, f := range files {
		src, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		rs, err := brief.ReadRules(src)
		if err != nil {
			t.Errorf("%s:\n%v", f, err)
			continue
		}
		if ps := brief.CheckRules(rs).Located(src); len(ps) > 0 {
			t.Errorf("%s:\n%v", f, ps)
		}
		if rs.Key+".yaml" != filepath.Base(f) || !rs.Demonstration || !strings.Contains(rs.Source, "enter your own from the current standard") {
			t.Errorf("%s holds %s (demonstration: %v, %q)", f, rs.Key, rs.Demonstration, rs.Source)
		}
	}
}

func TestIsRules(t *testing.T) {
	for src, want := range map[string]bool{
		"rule-set: 1\n": true, "# ours\n\n---\nrule-set: 1\n": true, "\ufeffrule-set: 1\r\n": true, `{"rule-set": 1}`: true, "'rule-set' : 1": true,
		"{\n  rule-set: 1}": true, "": false, "brief: 1\nrule-set: 1\n": false, "rule-sets: 1": false, "  # rule-set: 1\nbrief: 1": false, "a rule-set: 1": false,
	} {
		if got := brief.IsRules([]byte(src)); got != want {
			t.Errorf("%q: got %v", src, got)
		}
	}
}

func TestFirstMember(t *testing.T) {
	for src, want := range map[string]string{
		"brief: 1\nkey: a\n": "brief", "# ours\n\nattempts: {}\n": "attempts", `{"brief": 1}`: "brief", "trainee: T-07\nentries: []\n": "trainee",
		"": "", "- brief: 1\n": "", "[brief]": "", "a brief: 1": "", "# brief: 1\n": "",
	} {
		if got := brief.FirstMember([]byte(src)); got != want {
			t.Errorf("%q: got %q, want %q", src, got, want)
		}
	}
}

func anyRuleSet(t *rapid.T) *brief.RuleSet {
	var rs brief.RuleSet
	fill(t, reflect.ValueOf(&rs).Elem(), "rules", 0)
	rs.Format = brief.RulesEdition
	return &rs
}

func TestRuleSetRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		want := anyRuleSet(t)
		src, err := brief.PrintRules(want)
		if err != nil {
			t.Fatalf("PrintRules: %v", err)
		}
		got, err := brief.ReadRules(src)
		if err != nil {
			t.Fatalf("ReadRules: %v\n%s", err, src)
		}
		if d := cmp.Diff(want, got, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("(-want +got):\n%s\n%s", d, src)
		}
		if !brief.IsRules(src) {
			t.Fatalf("it does not look like a rule set:\n%s", src)
		}
		if ps := brief.CheckRules(got).Located(src); len(ps) == 0 {
			t.Fatal("a rule set of noise has no problem")
		}
		brief.BookOn([]brief.RuleSet{*got, *sample.RuleSet()}, got.ValidFrom)
	})
}

func FuzzReadRules(f *testing.F) {
	src, err := brief.PrintRules(sample.RuleSet())
	if err != nil {
		f.Fatal(err)
	}
	f.Add(src)
	f.Add([]byte("rule-set: 1\nkey: a\nrules:\n  - {key: d2, is: x, table: {of: mm, gives: m, rows: [{at: 22, is: 9}], between: exact}}\n"))
	f.Add([]byte("{\"rule-set\": 1, a: &a [*a]}\n? b\n: !!c {<<: *a}\n--- \n%D\n"))
	f.Fuzz(func(t *testing.T, in []byte) {
		rs, err := brief.ReadRules(in)
		if err != nil {
			if len(err.Error()) > 60_000 {
				t.Errorf("the answer has %d bytes", len(err.Error()))
			}
			return
		}
		brief.CheckRules(rs).Located(in)
		brief.BookOn([]brief.RuleSet{*rs, *sample.RuleSet()}, rs.ValidTo)
		out, err := brief.PrintRules(rs)
		if err != nil {
			return // a file near the limit may grow over it in print
		}
		again, err := brief.ReadRules(out)
		if err != nil {
			t.Fatalf("printed and read again: %v\n%s", err, out)
		}
		if d := cmp.Diff(rs, again, cmpopts.EquateEmpty()); d != "" {
			t.Errorf("(-first +again):\n%s\n%s", d, out)
		}
		if twice, err := brief.PrintRules(again); err != nil || !bytes.Equal(out, twice) {
			t.Errorf("printed again, %v:\n%s\nwant\n%s", err, twice, out)
		}
	})
}

// Bad rule-set files give a problem at a place with a caret under it, and one mistake one problem.
func TestBadRuleSetFiles(t *testing.T) {
	src, err := brief.PrintRules(sample.RuleSet())
	if err != nil {
		t.Fatal(err)
	}
	good := string(src)
	with := func(old, new string) string {
		t.Helper()
		if strings.Count(good, old) == 0 {
			t.Fatalf("%q is not in\n%s", old, good)
		}
		return strings.Replace(good, old, new, 1)
	}
	const sizes = "          is: \"9\"\n        - at: \"28\""
	for _, c := range []struct{ name, src, says, caret string }{
		{"nothing", "", "A rule set starts with", ""},
		{"a brief", "brief: 1\n", "A rule set has no member “brief”", "brief"},
		{"anchors within anchors", bomb(9), "A rule set has no anchors", "&a0"},
		{"a tag of bytes", with("title: Bay 7", "title: !!binary aGVsbG8= # Bay 7"), "no tags", "!!binary"},
		{"a switch in the words of Norway", with("demonstration: true", "demonstration: no"), "either true or false", "no"},
		{"another edition of the format", with("rule-set: 1", "rule-set: 2"), "edition 2 of the rule set file", "2"},
		{"a number with a nought before it", with("rule-set: 1", "rule-set: 01"), "whole number", "01"},
		{"a number by sixties", with("rule-set: 1", "rule-set: 1:30"), "whole number", "1:30"},
		{"a number with an underscore", with("rule-set: 1", "rule-set: 1_0"), "whole number", "1_0"},
		{"an underscore in a row", with("is: \"9\"", "is: 1_000"), "", "_000"},
		{"aliases as deep as they go", "rule-set: 1\nkey: &a " + strings.Repeat("[", 12) + "*a" + strings.Repeat("]", 12) + "\n", "A rule set has no anchors", "&a"},
		{"two documents", good + "---\n" + good, "one rule set only", "---"},
		{"JSON of another edition", `{"rule-set": 2, "key": "a", "title": "b", "edition": "1", "valid-from": "2026-01-01", "source": "c", "rules": []}`, "edition 2", "2"},
		{"JSON with an unknown key", `{"rule-set": 1, "key": "a", "titel": "b", "edition": "1", "valid-from": "2026-01-01", "source": "c", "rules": []}`, "no member “titel”.Did you mean “title”", `"titel"`},
		{"an edition of the format in hexadecimal", with("rule-set: 1", "rule-set: 0x1"), "whole number", "0x1"},
		{"an unknown member", with("title:", "colour: green\ntitle:"), "A rule set has no member “colour”", "colour"},
		{"a member twice", with("title:", "key: again\ntitle:"), "second time", "key"},
		{"a missing member", with("title: Bay 7 limits\n", ""), "A rule set needs the member “title”", ""},
		{"NUL", with("title: Bay", "title: Ba\x00y"), "U+0000", "?y"},
		{"a mark that turns the reading", with("title: Bay", "title: Ba\u202ey"), "U+202E", "?y"},
		{"not UTF-8", with("title: Bay", "title: Ba\xffy"), "UTF-8", "?y"},
		{"a letter of another script in a key", with("key: bay-7", "key: bаy-7"), "small letters", "bаy-7"},
		{"a day that is none", with("2026-01-01", "2026-02-29"), "There is no such day as 2026-02-29", `"2026-02-29`},
		{"a leap day of 1900", with("2026-01-01", "1900-02-29"), "no such day", `"1900`},
		{"a month that is none", with("2026-01-01", "2026-13-01"), "no such day", `"2026-13`},
		{"a day in another order", with("2026-01-01", "01/02/2026"), "a day such as 2026-01-31", `"01/02`},
		{"a year of five digits", with("2026-12-31", "10000-01-01"), "11 characters", `"10000`},
		{"an end before the start", with("2026-12-31", "2025-12-31"), "ends on 31 December 2025, before it starts on 1 January 2026", `"2025`},
		{"checked by who entered it", with("checked-by: Ben Rowe", "checked-by: ada  quill"), "ada  quill entered this edition and has checked it as well", "ada"},
		{"no rules", with(good[strings.Index(good, "rules:"):], "rules: []\n"), "no entry yet", "[]"},
		{"a rule twice", with("key: cv", "key: flow"), "“flow” stands here a second time", "flow"},
		{"a rule that says nothing", with("    value: 39.2 MJ/m³\n", ""), "A rule says something", "key: cv"},
		{"a limit and a value", with("    value: 39.2 MJ/m³\n", "    value: 39.2 MJ/m³\n    at-most: 40 MJ/m³\n"), "A rule is one thing", "key: cv"},
		{"a margin without a limit", with("    value: 39.2 MJ/m³\n", "    value: 39.2 MJ/m³\n    carries-margin: true\n"), "Only a limit carries a margin", "true"},
		{"a limit upside down", with("at-least: 60 °C", "at-least: 90 °C"), "Nothing keeps this limit", ""},
		{"a limit of two dimensions", with("at-most: 80 °C", "at-most: 80 bar"), "bar", ""},
		{"a limit with a unit at one end", with("at-most: 80 °C", `at-most: "80"`), "The unit is missing", ""},
		{"a temperature against a difference", with("at-most: 80 °C", "at-most: 80 K"), "temperature", ""},
		{"a limit that is a bound", with("at-most: 0.5 Ω", "at-most: <0.5 Ω"), "without < or >", "<0.5 Ω"},
		{"an unknown unit", with("at-most: 0.5 Ω", "at-most: 0.5 Ωm²x"), "", ""},
		{"a decimal comma", with("value: 39.2", "value: 39,2"), "", ",2"},
		{"infinity", with("value: 39.2 MJ/m³", "value: .inf"), "", ".inf"},
		{"not a number", with("value: 39.2 MJ/m³", "value: NaN MJ/m³"), "", "NaN"},
		{"1e400", with("value: 39.2 MJ/m³", "value: 1e400 MJ/m³"), "at most two digits", "e400"},
		{"doubled rows", with(sizes, strings.Replace(sizes, "28", "22", 1)), "There is a row for 22 already", `"22"`},
		{"falling rows", with(sizes, strings.Replace(sizes, "28", "15", 1)), "Rows rise: 15 stands below 22", `"15"`},
		{"a unit in a row", with(sizes, strings.Replace(sizes, "28", "28 mm", 1)), "stands once, in “of”", `"28 mm"`},
		{"a row of words", with(sizes, strings.Replace(sizes, "28", "wide", 1)), "", `"wide"`},
		{"a row with a comma", with("is: \"9\"", "is: \"9,5\""), "", `,5`},
		{"a row that is a bound", with("is: \"9\"", "is: \"<9\""), "without < or >", `"<9`},
		{"one row", with("        - at: \"28\"\n          is: \"18\"\n        - at: \"35\"\n          is: \"27\"\n", ""), "needs at least 2", ""},
		{"an unknown unit of a table", with("gives: m\n", "gives: mx\n"), "", "mx"},
		{"no unit of a table", with("of: mm", "colour: mm"), "", ""},
		{"nothing about between", with("      between: exact\n", ""), "needs the member “between”", ""},
		{"another between", with("between: exact", "between: exakt"), "Did you mean “exact”", "exakt"},
	} {
		t.Run(c.name, func(t *testing.T) {
			ps := ruleProblems(t, []byte(c.src))
			if len(ps) == 0 {
				t.Fatal("nothing to mend")
			}
			p := ps[0]
			line, caret, _ := strings.Cut(strings.SplitN(p.String()+"\n\n", "\n", 2)[1], "\n")
			at := strings.IndexByte(caret, '^')
			if p.Line == 0 || at < 0 && c.src != "" {
				t.Fatalf("no place: %v", p)
			}
			if shown := string([]rune(line)[max(at, 0):]); !strings.Contains(p.Text+p.Hint, c.says) || !strings.HasPrefix(shown, c.caret) {
				t.Errorf("got %v, want “%s” at “%s”", p, c.says, c.caret)
			}
			if len(ps) > 2 && !strings.Contains(c.name, "anchors") && c.name != "a brief" {
				t.Errorf("one mistake, %d problems:\n%v", len(ps), ps)
			}
		})
	}
	if ps := brief.CheckRules(func() *brief.RuleSet { rs := sample.RuleSet(); rs.CheckedBy = " "; return rs }()); len(ps.Warnings()) != 1 || !strings.Contains(ps.Warnings()[0].Text, "does not count yet") {
		t.Errorf("unchecked: %v", ps)
	}
}

// 10 MB of anything is refused by its size alone, and so is depth.
func TestLargeRuleSetFiles(t *testing.T) {
	for _, unit := range []string{"a", "[", "- ", "a: &a [*a]\n", "\xff"} {
		_, err := brief.ReadRules([]byte(strings.Repeat(unit, 10<<20/len(unit))))
		if err == nil || !strings.Contains(err.Error(), "too large: a rule set has 262144 bytes at most") {
			t.Errorf("%q: %v", unit, err)
		}
	}
	for _, deep := range []string{"[", "{a: ", "- "} {
		if _, err := brief.ReadRules([]byte(strings.Repeat(deep, 10_000))); err == nil || !strings.Contains(err.Error(), "nested too deeply") {
			t.Errorf("%q: %.200v", deep, err)
		}
	}
}

// ruleProblems is what reading or checking finds.
func ruleProblems(t *testing.T, src []byte) brief.Problems {
	t.Helper()
	rs, err := brief.ReadRules(src)
	var ps brief.Problems
	if errors.As(err, &ps) {
		if rs != nil {
			t.Error("half a rule set came back")
		}
		return ps
	} else if err != nil {
		t.Fatal(err)
	}
	return brief.CheckRules(rs).Located(src).Failures()
}
