package pdf

import (
	"strings"
	"testing"
	"unicode"
)

func measuring(t testing.TB) *flow {
	t.Helper()
	faces, err := parseFaces()
	if err != nil {
		t.Fatal(err)
	}
	return newFlow(t.Context(), Document{}, newMemory(faces), index{})
}

func (n line) String() string {
	s := ""
	for _, p := range n.pieces {
		s += p.text
	}
	return s
}

func TestSet(t *testing.T) {
	f := measuring(t)
	for _, c := range []struct {
		name, text string
		wide       float64
		want       []string
	}{
		{"empty", "", 100, []string{""}},
		{"fits", "one two", 100, []string{"one two"}},
		{"breaks at a space", "one two three", 45, []string{"one two", "three"}},
		{"keeps value and unit together", "gives 12.4\u2009L/min", 55, []string{"gives", "12.4\u2009L/min"}},
		{"line feed", "one\ntwo\n\nthree", 100, []string{"one", "two", "", "three"}},
		{"too long a word", "abcdefghij", 25, []string{"abcd", "efghi", "j"}},
		{"narrower than a letter", "WW", 1, []string{"W", "W"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got []string
			for _, l := range f.set(Plain(c.text), body, c.wide) {
				got = append(got, l.String())
			}
			if strings.Join(got, "|") != strings.Join(c.want, "|") {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// No text loses a rune on its way into lines, and no line is wider than asked
// unless a single rune is.
func FuzzSet(f *testing.F) {
	for _, s := range []string{"plain text of some words", "Zoë 👩\u200d🔧 12.4\u2009L/min", "נועה לוי 12 a", "a\nb  c\td", "\xff\x00"} {
		f.Add(s, 50.0)
	}
	fl := measuring(f)
	f.Fuzz(func(t *testing.T, s string, wide float64) {
		if !(wide >= 0 && wide < 1e4) || len(s) > 1e4 {
			t.Skip()
		}
		count := map[rune]int{}
		for _, r := range clean(s) {
			if !unicode.IsSpace(r) {
				count[r] += 2 // set twice below
			}
		}
		for _, l := range fl.set(Text{{Text: s}, {Text: s, Bold: true, Mono: true}}, body, wide) {
			if runes := []rune(l.String()); l.wide > wide+0.01 && len(runes) > 1 && wide > body.size {
				t.Errorf("line %q is %v wide, not %v", l, l.wide, wide)
			}
			for _, r := range l.String() {
				if !unicode.IsSpace(r) {
					count[r]--
				}
			}
		}
		for r, n := range count {
			if n != 0 {
				t.Errorf("%q was set %d times too few", r, n)
			}
		}
	})
}
