package formula_test

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

func TestMathML(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"tf − tr", "<mrow><mrow><mi>tf</mi></mrow><mo>−</mo><mrow><mi>tr</mi></mrow></mrow>"},
		{"a/2", "<mrow><mfrac><mrow><mi>a</mi></mrow><mrow><mn>2</mn></mrow></mfrac></mrow>"},
		{"(a + b)²", "<mrow><msup><mrow><mo>(</mo><mrow><mi>a</mi></mrow><mo>+</mo><mrow><mi>b</mi></mrow><mo>)</mo></mrow><mrow><mn>2</mn></mrow></msup></mrow>"},
		{"√(t1)", "<mrow><msqrt><mrow><msub><mi>t</mi><mi>1</mi></msub></mrow></msqrt></mrow>"},
		{"1.2e-3 kJ/(kg·K)", `<mrow><mn>1.2</mn><mo>×</mo><msup><mn>10</mn><mn>−3</mn></msup><mspace width="0.17em"></mspace><mtext>kJ/(kg·K)</mtext></mrow>`},
		{"½ a", "<mrow><mrow><mfrac><mn>1</mn><mn>2</mn></mfrac></mrow><mo>×</mo><mrow><mi>a</mi></mrow></mrow>"},
	} {
		e, err := formula.Parse(c.text)
		if err != nil {
			t.Errorf("%s", caret(err))
			continue
		}
		want := `<math xmlns="http://www.w3.org/1998/Math/MathML">` + c.want + `</math>`
		if got := formula.MathML(e); got != want {
			t.Errorf("%q\n got %s\nwant %s", c.text, got, want)
		}
	}
}

// TestMathMLWellFormed reads what is typeset from every right case back with an XML reader.
func TestMathMLWellFormed(t *testing.T) {
	for _, c := range cases(t, "right.txt") {
		e, err := formula.Parse(c["formula"])
		if err != nil {
			t.Fatal(caret(err))
		}
		d := xml.NewDecoder(strings.NewReader(formula.MathML(e)))
		for {
			if _, err := d.Token(); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatalf("%q: %v", c["formula"], err)
			}
		}
	}
}
