package formula_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

func TestCondition(t *testing.T) {
	for _, c := range []struct {
		text, prints string
		want         bool
	}{
		{"tr < tf", "tr < tf", true},
		{"tf < tr or n >= 1.3", "tf < tr or n ≥ 1.3", true},
		{"tr < tf and tf ≤ 85 °C", "tr < tf and tf ≤ 85 °C", true},
		{"0 K < tf − tr ≤ 18.5 K", "0 K < tf - tr and tf - tr ≤ 18.5 K", true},
		{"tf − tr < 18.5 K", "tf - tr < 18.5 K", false},
		{"(tf < tr or tr < tf) and (d > 20 mm)", "(tf < tr or tr < tf) and d > 20 mm", true},
		{"(tf − tr)/2 > 9 K", "(tf - tr) / 2 > 9 K", true},
		{"(tf − tr) > 9 K and d = 0.022 m", "tf - tr > 9 K and d = 0.022 m", true},
		{"((d < 1 mm))", "d < 1 mm", false},
		{"tf < tr and 1 / (n - 1.3) > 2", "tf < tr and 1 / (n - 1.3) > 2", false}, // the second part is not looked at
		{"p1 ≥ 1.5 bar", "p1 ≥ 1.5 bar", true},
	} {
		cond, err := formula.ParseCondition(c.text)
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		if cond.String() != c.prints {
			t.Errorf("%q prints %q, want %q", c.text, cond, c.prints)
		}
		p, err := formula.CompileCondition(cond, testEnv())
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		got, err := p.Eval(values(t, p.Names()))
		if err != nil || got != c.want {
			t.Errorf("%q = %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

// A trace decides as Eval does, and stops where that stops.
func TestConditionTrace(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"tr < tf", "tr < tf: true"},
		{"tf < tr or n ≥ 1.3", "tf < tr: false, or n ≥ 1.3: true"},
		{"tr < tf or n ≥ 1.3", "tr < tf: true"},
		{"tf < tr and n ≥ 1.3", "tf < tr: false"},
		{"0 K < tf − tr ≤ 18.5 K", "0 K < tf − tr: true, and tf − tr ≤ 18.5 K: true"},
		{"tf < tr and n ≥ 1.3 or d > 20 mm", "tf < tr: false, or d > 20 mm: true"},
		{"(tf < tr or tr < tf) and (d > 20 mm)", "tf < tr: false, or tr < tf: true, and d > 20 mm: true"},
		{"tr < tf and 1 / (n − 1.3) > 2", "tr < tf: true, no value"},
	} {
		cond, err := formula.ParseCondition(c.text)
		if err != nil {
			t.Fatal(caret(err))
		}
		p, err := formula.CompileCondition(cond, testEnv())
		if err != nil {
			t.Fatal(caret(err))
		}
		looked, holds, err := p.Trace(values(t, p.Names()))
		var parts []string
		for _, l := range looked {
			x := cond.Comparisons()[l.At]
			line := formula.Line{{Node: x.Left.Root()}, {Sign: x.Sign.String(), Node: x.Right.Root()}}
			if x.Sign.Holds(l.Left, l.Right) != l.Holds {
				t.Errorf("%s: %v %s %v is not %v", c.text, l.Left, x.Sign, l.Right, l.Holds)
			}
			parts = append(parts, strings.TrimSpace(fmt.Sprintf("%s %s: %v", x.Join, line.Text(), l.Holds)))
		}
		if err != nil {
			parts = append(parts, "no value")
		}
		if got := strings.Join(parts, ", "); got != c.want {
			t.Errorf("%s: %s, want %s", c.text, got, c.want)
		}
		if got, evalErr := p.Eval(values(t, p.Names())); got != holds || (err == nil) != (evalErr == nil) {
			t.Errorf("%s: %v, %v traced and %v, %v decided", c.text, holds, err, got, evalErr)
		}
	}
}

func TestComparisonsAreReadAloud(t *testing.T) {
	for text, want := range map[string]string{"d < 1 mm": "d is less than 1 mm", "d ≤ 1 mm": "d is at most 1 mm", "d > 1 mm": "d is more than 1 mm", "d ≥ 1 mm": "d is at least 1 mm"} {
		cond, err := formula.ParseCondition(text)
		if err != nil {
			t.Fatal(caret(err))
		}
		x := cond.Comparisons()[0]
		line := formula.Line{{Node: x.Left.Root()}, {Sign: x.Sign.String(), Node: x.Right.Root()}}
		if line.Words() != want {
			t.Errorf("%s reads %q, want %q", text, line.Words(), want)
		}
		if !strings.Contains(formula.MathML(line), want) {
			t.Errorf("%s: %s does not say it", text, formula.MathML(line))
		}
	}
}

func TestConditionWrong(t *testing.T) {
	for _, c := range []struct {
		text, wrong string
		at          int
	}{
		{"tf", "A comparison is missing here", 2},
		{"tf <", "Something is missing here", 4},
		{"tf < tr and", "Something is missing here", 11},
		{"tf < 5 K", "The left side is a temperature (°C)", 3},
		{"d < qv", "The left side is a length (m)", 2},
		{"d < 5", "The left side is a length (m), the right side is a plain number", 2},
		{"p1 < 2 bar(a)", "The left side is a gauge pressure", 3},
		{"tff < tr", "There is no \"tff\" here; did you mean tf?", 0},
		{"tf < tr; d", "The character ';'", 7},
		{"(tf < tr", "This bracket is not closed.", 0},
		{strings.Repeat("(", 3000), "Brackets and powers are nested more than 40 deep", 41},
	} {
		cond, err := formula.ParseCondition(c.text)
		if err == nil {
			_, err = formula.CompileCondition(cond, testEnv())
		}
		var e *formula.Error
		if !errors.As(err, &e) || !strings.HasPrefix(e.Message, c.wrong) || e.Pos != c.at {
			t.Errorf("%.40q: got %v, want at %d %q", c.text, err, c.at, c.wrong)
			if e != nil {
				t.Logf("%d\n%s", e.Pos, e.Caret())
			}
		}
	}
}
