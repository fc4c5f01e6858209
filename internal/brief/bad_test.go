package brief_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// bomb is levels of aliases of aliases: nine entries of the level above in each.
func bomb(levels int) string {
	var b strings.Builder
	b.WriteString("a0: &a0 [x, x, x, x, x, x, x, x, x]\n")
	for i := 1; i < levels; i++ {
		fmt.Fprintf(&b, "a%d: &a%d [%s]\n", i, i, strings.TrimSuffix(strings.Repeat(fmt.Sprintf("*a%d, ", i-1), 9), ", "))
	}
	return b.String()
}

// Bad files give a problem at a place with a caret under it, whichever step finds it, and no brief.
func TestBadBriefFiles(t *testing.T) {
	src, err := brief.Print(sample.Brief())
	if err != nil {
		t.Fatal(err)
	}
	good := string(src)
	with := func(old, new string) string {
		t.Helper()
		if strings.Count(good, old) == 0 {
			t.Fatalf("%q is not in the sample", old)
		}
		return strings.Replace(good, old, new, 1)
	}
	for _, c := range []struct{ name, src, says, caret string }{
		{"anchors within anchors", bomb(9), "A brief has no anchors", "&a0"},
		{"a tag of bytes", with("title: Prove the heat", "title: !!binary aGVsbG8= # Prove the heat"), "no tags", "!!binary"},
		{"a tag of a program", with("title: Prove the heat", "title: !!python/object/apply:os.system ['ls'] # Prove the heat"), "no tags", "!!python"},
		{"a switch in the words of Norway", with("must-be-seen: true", "must-be-seen: no"), "either true or false", "no"},
		{"a number with a nought before it", with("repeats: 3", "repeats: 03"), "whole number", "03"},
		{"a number by sixties", with("repeats: 3", "repeats: 1:30"), "whole number", "1:30"},
		{"a number with an underscore", with("repeats: 3", "repeats: 1_0"), "whole number", "1_0"},
		{"another edition", with("brief: 1", "brief: 2"), "edition 2", "2"},
		{"an edition in hexadecimal", with("brief: 1", "brief: 0x1"), "whole number", "0x1"},
		{"an unknown member", with("about: |", "colour: green\nabout: |"), "no member “colour”", "colour"},
		{"a member twice", with("about: |", "title: again\nabout: |"), "second time", "title"},
		{"a member in other letters", with("about: |", "Title: again\nabout: |"), "no member “Title”", "Title"},
		{"NUL", with("title: Prove", "title: Pro\x00ve"), "U+0000", "?ve"},
		{"NUL as an escape", with("title: Prove the heat output of Bay 7", `title: "a\u0000b"`), "U+0000", `"a\u0000b"`},
		{"a mark that turns the reading", with("title: Prove", "title: Pro\u202eve"), "U+202E", "?ve"},
		{"a mark of bytes inside", with("title: Prove", "title: Pro\ufeffve"), "U+FEFF", "?ve"},
		{"not UTF-8", with("title: Prove", "title: Pro\xffve"), "UTF-8", "?ve"},
		{"an overlong zero", with("title: Prove", "title: Pro\xc0\x80ve"), "UTF-8", "?"},
		{"UTF-16", "\xff\xfeb\x00r\x00", "UTF-8", "?"},
		{"a letter of another script in a name", with("name: load", "name: lоad"), "letters, digits", "lоad"},
		{"a range backwards", with("from: 12 kW", "from: 19 kW"), "one value at most", ""},
		{"a step of nothing", with("step: 0.5 kW", "step: 0 kW"), "more than nothing", "0 kW"},
		{"infinity in a quantity", with("value: 45 W", "value: .inf"), "", ".inf"},
		{"not a number in a quantity", with("value: 45 W", "value: NaN W"), "", "NaN"},
		{"a decimal comma", with("value: 45 W", "value: 4,5 W"), "", ",5 W"},
		{"a tolerance of 1e400", with("absolute: 0.1 K", "absolute: 1e400 K"), "at most two digits", "e400 K"},
		{"a negative tolerance", with("absolute: 0.1 K", "absolute: -0.1 K"), "more than nothing", "-0.1 K"},
		{"a limit upside down", with("at-least: 60 °C", "at-least: 90 °C"), "Nothing keeps this limit", ""},
		{"a bomb of brackets in a formula", with("formula: tf − tr", "formula: "+strings.Repeat("(", 3000)+"tf"+strings.Repeat(")", 3000)), "", "("},
		{"a formula that is none", with("formula: tf − tr", "formula: 1;drop"), "", ";drop"},
		{"a circle", with("formula: tf − tr", "formula: tf − tr + 0 K × share"), "go round in a circle", "share"},
		{"a name that comes later", with("formula: load + 2 kW", "formula: load + 2 kW × tube"), "is no value", "tube"},
	} {
		t.Run(c.name, func(t *testing.T) {
			ps := problemsOf(t, []byte(c.src))
			if len(ps) == 0 {
				t.Fatal("nothing to mend")
			}
			p := ps[0]
			line, caret, _ := strings.Cut(strings.SplitN(p.String()+"\n", "\n", 2)[1], "\n")
			at := strings.IndexByte(caret, '^')
			if p.Line == 0 || at < 0 {
				t.Fatalf("no place: %v", p)
			}
			if shown := string([]rune(line)[at:]); !strings.Contains(p.Text+p.Hint, c.says) || !strings.HasPrefix(shown, c.caret) {
				t.Errorf("got %v, want “%s” at “%s”", p, c.says, c.caret)
			}
			if len(ps) > 3 && !strings.Contains(c.name, "anchors") {
				t.Errorf("one mistake, %d problems:\n%v", len(ps), ps)
			}
		})
	}
}

// problemsOf is what reading or checking finds.
func problemsOf(t *testing.T, src []byte) brief.Problems {
	t.Helper()
	b, err := brief.Read(src)
	var ps brief.Problems
	if errors.As(err, &ps) {
		if b != nil {
			t.Error("half a brief came back")
		}
		return ps
	} else if err != nil {
		t.Fatal(err)
	}
	return brief.Check(b, functions(), nil).Located(src).Failures()
}

// 10 MB of anything is refused by its size alone.
func TestLargeBriefFiles(t *testing.T) {
	for _, unit := range []string{"a", "[", "- ", "a: &a [*a]\n", "\xff"} {
		_, err := brief.Read([]byte(strings.Repeat(unit, 10<<20/len(unit))))
		if err == nil || !strings.Contains(err.Error(), "too large: a brief has 262144 bytes at most") {
			t.Errorf("%q: %v", unit, err)
		}
	}
}
