package formula_test

import (
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

// maxSteps bounds what reading n bytes may cost; a short text has a few steps besides.
func maxSteps(n int) int { return 64*n + 64 }

// TestSteps: what reading costs grows with the length of the text alone, for the shapes that make readers slow.
func TestSteps(t *testing.T) {
	for _, c := range []struct{ name, part string }{
		{"brackets", "("}, {"closed brackets", "((1))"}, {"signs", "-"}, {"powers", "2^"}, {"roots", "√"}, {"calls", "abs("}, {"commas", "min(1, "},
		{"no units", "1a/a/a/a/a/a/a/a/a/a/a/a/a/a/a/a"}, {"units", "1 m·m·m·m·m·m·m·m·m"}, {"unit brackets", "1 W/(m·(m·(m·(m"}, {"unit powers", "1 m^2^2^2"},
		{"spaces", "1          +"}, {"thin spaces", "1\u2009\u2009\u2009"}, {"digits", "1234567890"}, {"names", "aaaaaaaaaaaaaaaa "}, {"delta", "delta delta "},
		{"x", "1 x "}, {"xx", "x x x x"}, {"equals", "1="}, {"colons", "a:"}, {"less", "(1<"}, {"or", "1<1 or "}, {"conditions", "(((1<1)))or"}, {"folded", "℃㎡"},
		{"percent", "%%%%"}, {"superscripts", "2²³⁴"}, {"fractions", "1/2 m/1/2 m "}, {"earlier results", "0.988+0.204+"},
	} {
		sheet := heatSheet()
		for _, size := range []int{10, 100, 400, 4000} {
			text := strings.Repeat(c.part, size/len(c.part)+1)
			text = text[:strings.LastIndex(text, c.part[len(c.part)-1:])+1]
			for name, steps := range map[string]int{
				"formula": formula.ParseSteps(text), "condition": formula.ConditionSteps(text), "line": formula.LineSteps(text, sheet),
			} {
				if steps > maxSteps(len(text)) {
					t.Errorf("%s as a %s: %d steps for %d bytes, %d a byte", c.name, name, steps, len(text), steps/len(text))
				}
			}
		}
	}
}
