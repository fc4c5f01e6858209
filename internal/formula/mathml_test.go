package formula_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

func alone(t *testing.T, text string) formula.Line {
	t.Helper()
	e, err := formula.Parse(text)
	if err != nil {
		t.Fatalf("%s", caret(err))
	}
	return e.Alone()
}

func TestMathML(t *testing.T) {
	const minus, times, plus = `<mo lspace="0.25em" rspace="0.25em">−</mo>`, `<mo lspace="0.25em" rspace="0.25em">×</mo>`, `<mo lspace="0.25em" rspace="0.25em">+</mo>`
	for _, c := range []struct{ text, words, want string }{
		{"tf − tr", "tf minus tr", "<mrow><mi>tf</mi></mrow>|<mrow>" + minus + "<mi>tr</mi></mrow>"},
		{"a/2", "a over 2", "<mrow><mfrac><mi>a</mi><mn>2</mn></mfrac></mrow>"},
		{"(a + b)²", "open bracket a plus b close bracket squared", `<mrow><msup><mrow><mo>(</mo><mrow><mi>a</mi>` + plus + `<mi>b</mi></mrow><mo>)</mo></mrow><mn>2</mn></msup></mrow>`},
		{"√(t1)", "the square root of t1", `<mrow><msqrt><msub><mi>t</mi><mi mathvariant="normal">1</mi></msub></msqrt></mrow>`},
		{"1.2e-3 kJ/(kg·K)", "1.2 times 10 to the power of minus 3 kJ/(kg·K)", `<mrow><mrow><mn>1.2</mn>` + times + `<msup><mn>10</mn><mrow><mo lspace="0" rspace="0">−</mo><mn>3</mn></mrow></msup><mtext>` + "\u2009" + `kJ/(kg·K)</mtext></mrow></mrow>`},
		{"½ a", "1 over 2 times a", `<mrow><mfrac><mn>1</mn><mn>2</mn></mfrac></mrow>|<mrow>` + times + `<mi>a</mi></mrow>`},
		{"a × (−3 K)", "a times open bracket minus 3 K close bracket", `<mrow><mi>a</mi></mrow>|<mrow>` + times + `<mrow><mo>(</mo><mrow><mo lspace="0" rspace="0">−</mo><mrow><mn>3</mn><mtext>` + "\u2009" + `K</mtext></mrow></mrow><mo>)</mo></mrow></mrow>`},
		{"a × (b/c)", "a times open bracket b over c close bracket", "<mrow><mi>a</mi></mrow>|<mrow>" + times + "<mfrac><mi>b</mi><mi>c</mi></mfrac></mrow>"},
	} {
		var want strings.Builder
		want.WriteString(`<span class="math" role="math" aria-label="` + c.words + `">`)
		for piece := range strings.SplitSeq(c.want, "|") {
			want.WriteString(`<math aria-hidden="true">` + piece + `</math>`)
		}
		want.WriteString(`</span>`)
		if got := formula.MathML(alone(t, c.text)); got != want.String() {
			t.Errorf("%q\n got %s\nwant %s", c.text, got, want.String())
		}
	}
}

// TestMathMLWellFormed reads what is typeset from every right case back with an XML reader.
func TestMathMLWellFormed(t *testing.T) {
	for _, c := range cases(t, "right.txt") {
		d := xml.NewDecoder(strings.NewReader(formula.MathML(alone(t, c["formula"]))))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%q: %v", c["formula"], err)
			}
		}
	}
}
