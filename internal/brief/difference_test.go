package brief_test

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
)

func shownLines(ls []brief.DiffLine) string {
	var b strings.Builder
	for _, l := range ls {
		switch {
		case l.Skipped:
			b.WriteString("…\n")
		case l.Now == 0:
			fmt.Fprintf(&b, "-%d %s\n", l.Was, l.Text)
		case l.Was == 0:
			fmt.Fprintf(&b, "+%d %s\n", l.Now, l.Text)
		default:
			fmt.Fprintf(&b, " %d %d %s\n", l.Was, l.Now, l.Text)
		}
	}
	return b.String()
}

func TestDifferences(t *testing.T) {
	for _, test := range []struct{ name, was, now, want string }{
		{"the same", "a\nb\n", "a\nb\n", ""},
		{"one line changed", "a\nb\nc\n", "a\nx\nc\n", " 1 1 a\n-2 b\n+2 x\n 3 3 c\n"},
		{"put in", "a\nb\n", "a\nx\nb\n", " 1 1 a\n+2 x\n 2 3 b\n"},
		{"taken out at the end", "a\nb\n", "a\n", " 1 1 a\n-2 b\n"},
		{"far from the ends", "1\n2\n3\n4\n5\n6\n7\n8\n9\n", "1\n2\n3\n4\n5\nsix\n7\n8\n9\n", "…\n 3 3 3\n 4 4 4\n 5 5 5\n-6 6\n+6 six\n 7 7 7\n 8 8 8\n 9 9 9\n"},
		// The example of Myers' paper, figure 1: five edits.
		{"ABCABBA to CBABAC", "A\nB\nC\nA\nB\nB\nA\n", "C\nB\nA\nB\nA\nC\n", "-1 A\n-2 B\n 3 1 C\n+2 B\n 4 3 A\n 5 4 B\n-6 B\n 7 5 A\n+6 C\n"},
	} {
		if got := shownLines(brief.Differences(test.was, test.now)); got != test.want {
			t.Errorf("%s: got\n%swant\n%s", test.name, got, test.want)
		}
	}
}

// What is said to be taken out and put in leads from one text to the other.
func TestDifferencesLeadFromOneToTheOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c", ""}), 1, 30)
		a, b := text.Draw(t, "was"), text.Draw(t, "now")
		was, now := strings.Join(a, "\n")+"\n", strings.Join(b, "\n")+"\n"
		lines := brief.Differences(was, now)
		out := map[int]bool{}
		in := map[int]string{}
		for _, l := range lines {
			switch {
			case !l.Changed():
			case l.Now == 0:
				if a[l.Was-1] != l.Text {
					t.Fatalf("line %d was %q, not %q", l.Was, a[l.Was-1], l.Text)
				}
				out[l.Was-1] = true
			default:
				in[l.Now-1] = l.Text
			}
		}
		var got []string
		next := 0
		for i := range b {
			if s, ok := in[i]; ok {
				got = append(got, s)
				continue
			}
			for out[next] {
				next++
			}
			got = append(got, a[next])
			next++
		}
		if strings.Join(got, "\n") != strings.Join(b, "\n") {
			t.Fatalf("from %q the lines lead to %q, not %q", a, got, b)
		}
	})
}

// Two long texts with nothing in common are told to be rewritten.
func TestDifferencesOfTwoStrangers(t *testing.T) {
	lines := brief.Differences(strings.Repeat("a\n", 4000), strings.Repeat("b\n", 4000))
	if len(lines) != 8000 {
		t.Errorf("got %d lines, want 8000", len(lines))
	}
}
