package formula_test

import (
	"os"
	"strings"
	"testing"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// TestDocFormulas: the formulas that the package comment shows a tutor give what it says they give.
func TestDocFormulas(t *testing.T) {
	b, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(string(b), "// Some more, each with the unit its figure asks for:\n")
	text, _, _ = strings.Cut(text, "\n// # Numbers")
	env := formula.Env{Names: map[string]quantity.Unit{}}
	for name, unit := range map[string]string{
		"d": "mm", "U": "W/m²K", "A": "m²", "ti": "°C", "te": "°C", "n": "1/h", "V": "m³", "P50": "W", "tf": "°C", "tr": "°C", "e": "", "p0": "bar(g)",
		"pe": "bar(g)", "P": "W", "R": "Ω", "L": "m", "s": "mm", "In": "A", "It": "A",
	} {
		env.Names[name] = quantity.MustUnit(unit)
	}
	n := 0
	for line := range strings.Lines(text) {
		row, ok := strings.CutPrefix(line, "//\t")
		if !ok {
			continue
		}
		n++
		written, rest, _ := strings.Cut(row, "  ")
		asked := strings.Fields(rest)[0]
		if asked == "–" {
			asked = ""
		}
		e, err := formula.Parse(written)
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		if _, err := formula.Compile(e, env, quantity.MustUnit(asked)); err != nil {
			t.Errorf("%s", caret(err))
		}
	}
	if n != 7 {
		t.Errorf("%d formulas found in the package comment, want 7", n)
	}
}
