package formula_test

import (
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestLineText keeps a formula's meaning: what is written in plain text reads back as the same tree.
func TestLineText(t *testing.T) {
	for _, c := range cases(t, "right.txt") {
		e, err := formula.Parse(c["formula"])
		if err != nil {
			t.Fatal(caret(err))
		}
		text := e.Alone().Text()
		back, err := formula.Parse(text)
		if err != nil {
			t.Errorf("%q became %q, which cannot be read:\n%s", c["formula"], text, caret(err))
			continue
		}
		if back.String() != e.String() {
			t.Errorf("%q became %q, which is %s and not %s", c["formula"], text, back, e)
		}
	}
}

func TestLineOfSeveralSides(t *testing.T) {
	n, err := quantity.ParseNumber("15.8")
	if err != nil {
		t.Fatal(err)
	}
	u, err := quantity.ParseUnit("kW")
	if err != nil {
		t.Fatal(err)
	}
	l := formula.Line{{Node: formula.Name("P_1")}, {Sign: "=", Node: alone(t, "a/b × c")[0].Node}, {Sign: "≈", Node: formula.Value(n, u)}}
	if got, want := l.Text(), "P_1 = a ÷ b × c ≈ 15.8 kW"; got != want {
		t.Errorf("text %q, want %q", got, want)
	}
	if got, want := l.Words(), "P 1 equals a over b times c is about 15.8 kW"; got != want {
		t.Errorf("words %q, want %q", got, want)
	}
	if got := len(l.Pieces()); got != 4 { // P, = a/b, × c, ≈ 15.8 kW
		t.Errorf("%d pieces, want 4", got)
	}
}

func TestPiecesBreakWhereALineMay(t *testing.T) {
	for _, c := range []struct {
		text   string
		pieces int
	}{
		{"a/b", 1},
		{"a + b × c − d", 4},
		{"(a + b) × c", 2},
		{"−a × b", 2},
		{"cp((a + b)/2)", 1},
		{"max(a, b + c, d)", 4},
		{"(a + b + c + d + e_1 + f + g) × h", 8},
		{"(a + b + c + d + e_1 + f + g)²", 1},
	} {
		if got := len(alone(t, c.text).Pieces()); got != c.pieces {
			t.Errorf("%s: %d pieces, want %d", c.text, got, c.pieces)
		}
	}
}

func TestCompilePart(t *testing.T) {
	celsius, err := quantity.ParseUnit("°C")
	if err != nil {
		t.Fatal(err)
	}
	env := formula.Env{Names: map[string]quantity.Unit{"tf": celsius, "tr": celsius}}
	e, err := formula.Parse("(tf + tr) / 2")
	if err != nil {
		t.Fatal(err)
	}
	values := func(name string) (float64, bool) { return map[string]float64{"tf": 343.15, "tr": 323.15}[name], true }
	if _, err := formula.CompilePart(e, e.Root().Args[0], env); err == nil {
		t.Error("the sum of two temperatures is no value of its own")
	}
	p, err := formula.CompilePart(e, e.Root(), env)
	if err != nil {
		t.Fatal(err)
	}
	if si, err := p.SI(values); err != nil || si != 333.15 || p.Kind != quantity.TemperaturePoint {
		t.Errorf("the mean is %v, %s (%v), want 333.15, a temperature", si, p.Kind, err)
	}
}
