package ui

import (
	"html/template"

	"witnessmark/internal/formula"
)

// typeset draws a formula as MathML, and as its own text where it cannot be read. This is the one place where text becomes
// mark-up unescaped. It is safe because formula.MathML writes nothing but its own fixed elements around names, numbers and
// units, and escapes every one of them; the text that cannot be read goes through the template's own escaping.
func typeset(source string) template.HTML {
	e, err := formula.Parse(source)
	if err != nil {
		return template.HTML("<code>" + template.HTMLEscapeString(source) + "</code>")
	}
	return template.HTML(formula.MathML(e.Alone()))
}
