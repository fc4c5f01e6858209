package ui

import (
	"html/template"

	"witnessmark/internal/formula"
)

// drawn is a line of formulas as MathML. This is the one place where text becomes mark-up unescaped. It is safe because
// formula.MathML writes nothing but its own fixed elements around names, numbers and units, and escapes every one of them.
func drawn(l formula.Line) template.HTML { return template.HTML(formula.MathML(l)) }

// typeset draws a formula, and its own text, escaped as in a template, where it cannot be read.
func typeset(source string) template.HTML {
	e, err := formula.Parse(source)
	if err != nil {
		return template.HTML("<code>" + template.HTMLEscapeString(source) + "</code>")
	}
	return drawn(e.Alone())
}

// typesetAny draws a formula or a condition. One whose brackets decide between “and” and “or” keeps its own text.
func typesetAny(source string) template.HTML {
	c, err := formula.ParseCondition(source)
	if err != nil {
		return typeset(source)
	}
	var out template.HTML
	join := ""
	for i, x := range c.Comparisons() {
		if i > 1 && x.Join != join {
			return template.HTML("<code>" + template.HTMLEscapeString(source) + "</code>")
		}
		if join = x.Join; i > 0 {
			out += template.HTML(" " + template.HTMLEscapeString(join) + " ")
		}
		out += drawn(formula.Line{{Node: x.Left.Root()}, {Sign: x.Sign.String(), Node: x.Right.Root()}})
	}
	return out
}
