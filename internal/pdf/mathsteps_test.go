package pdf

import (
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

// mathCases are formulas of every form, and some that nobody would print.
func mathCases(t *testing.T) []formula.Line {
	t.Helper()
	texts := []string{
		"a", "tf − tr", "qv × rho(tr) × cp((tf + tr)/2) × (tf − tr)", "√(2 × g × h) + √(1 + (a/b)²) × (1 + ½)³",
		"−a^n × (−3 K) × ((a/b + c)/(d + e_1/f))^2 × 1.2e-3 kJ/(kg·K) × π", "1/(1/(1/(1/(1/(1/(1/(a + b)))))))",
		"interp(x" + strings.Repeat(", 1234.5 kJ/(kg·K)", 60) + ")",
		"(a" + strings.Repeat(" + a_long_name_that_a_tutor_gave", 40) + ")² / 2",
		strings.Repeat("a_name_of_its_own × ", 60) + "b",
	}
	var ls []formula.Line
	for _, s := range texts {
		e, err := formula.Parse(s)
		if err != nil {
			t.Fatalf("%s: %v", s, err)
		}
		ls = append(ls, formula.Line{{Node: formula.Name("y_1")}, {Sign: "=", Node: e.Root()}})
	}
	return ls
}

// TestStepsStayOnThePage measures every line: none is wider than its column, and what is drawn lies inside of what was
// measured.
func TestStepsStayOnThePage(t *testing.T) {
	faces, err := parseFaces()
	if err != nil {
		t.Fatal(err)
	}
	f := newFlow(t.Context(), Document{}, newMemory(faces), index{})
	for _, wide := range []float64{textRight - textLeft, 260, 90} {
		for _, l := range mathCases(t) {
			for i, ml := range (Step{Line: l, Note: "measured by the trainee with an instrument that was issued"}).set(f, wide) {
				b := ml.box()
				if end := ml.in + b.wide + ml.note.wide; end > wide+0.01 {
					t.Errorf("%.60s: line %d ends at %.1f of %.0f points", l.Text(), i, end, wide)
				}
				if b.wide < 0 || b.up < 0 || b.down < 0 || ml.high() <= 0 {
					t.Errorf("%.60s: line %d has no size: %+v", l.Text(), i, b)
				}
			}
		}
	}
}

// TestMathBoxes holds the measures of what is set against those of its parts.
func TestMathBoxes(t *testing.T) {
	faces, err := parseFaces()
	if err != nil {
		t.Fatal(err)
	}
	f := newFlow(t.Context(), Document{}, newMemory(faces), index{})
	box := func(text string) mathBox {
		e, err := formula.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		return beside(f.mathRow(e.Alone().Pieces(), mathSize))
	}
	a, sum, fraction := box("a"), box("a + b"), box("(a + b)/c")
	switch {
	case fraction.up <= a.up || fraction.down <= a.down:
		t.Errorf("a fraction reaches %v up and %v down, a letter %v and %v", fraction.up, fraction.down, a.up, a.down)
	case fraction.wide <= sum.wide:
		t.Errorf("a fraction is %v wide, its numerator %v", fraction.wide, sum.wide)
	}
	if power := box("a²"); power.up <= a.up || power.down != a.down {
		t.Errorf("a power reaches %v up and %v down, a letter %v and %v", power.up, power.down, a.up, a.down)
	}
	if low := box("a_1"); low.down <= a.down || low.up != a.up {
		t.Errorf("a subscript reaches %v up and %v down, a letter %v and %v", low.up, low.down, a.up, a.down)
	}
	if root := box("√(a/b)"); root.up <= box("a/b").up {
		t.Error("the bar of a root stands above what it covers")
	}
	if grown := box("(a/b + 1)²"); grown.up <= box("a/b").up {
		t.Error("brackets are as tall as what they hold")
	}
}
