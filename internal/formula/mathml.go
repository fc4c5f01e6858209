package formula

import (
	"html"
	"strings"
)

// MathML typesets a line for pages: one MathML element for each piece, so that a narrow page breaks the line before a sign
// and nowhere else, in a span that says the line in words. All text is escaped. The mark-up needs no styles and no script.
func MathML(l Line) string {
	var m mathWriter
	m.b.WriteString(`<span class="math" role="math" aria-label="` + html.EscapeString(l.Words()) + `">`)
	for _, piece := range l.Pieces() {
		m.b.WriteString(`<math aria-hidden="true">`)
		m.set(piece)
		m.b.WriteString(`</math>`)
	}
	m.b.WriteString(`</span>`)
	return m.b.String()
}

// Alone is a formula as a line of one side.
func (e *Expr) Alone() Line { return Line{{Node: e.root}} }

type mathWriter struct{ b strings.Builder }

func (m *mathWriter) tag(open, text string) {
	name, _, _ := strings.Cut(open, " ")
	m.b.WriteString("<" + open + ">" + html.EscapeString(text) + "</" + name + ">")
}

func (m *mathWriter) around(name string, parts []Set) {
	m.b.WriteString("<" + name + ">")
	for _, p := range parts {
		m.set(p)
	}
	m.b.WriteString("</" + name + ">")
}

func (m *mathWriter) set(s Set) {
	switch s.Kind {
	case SetRow:
		m.around("mrow", s.Parts)
	case SetNumber:
		m.tag("mn", s.Text)
	case SetName:
		m.tag("mi", s.Text)
	case SetUpright:
		m.tag(`mi mathvariant="normal"`, s.Text)
	case SetUnit:
		m.tag("mtext", "\u2009"+s.Text)
	case SetSign:
		m.tag(`mo lspace="0.25em" rspace="0.25em"`, s.Text) // said here: a piece begins with it
	case SetMinus:
		m.tag(`mo lspace="0" rspace="0"`, "−")
	case SetComma:
		m.tag("mo", ",")
	case SetBrackets:
		m.b.WriteString("<mrow>")
		m.tag("mo", "(")
		m.set(s.Parts[0])
		m.tag("mo", ")")
		m.b.WriteString("</mrow>")
	case SetFraction:
		m.around("mfrac", s.Parts)
	case SetRaised:
		m.around("msup", s.Parts)
	case SetLowered:
		m.around("msub", s.Parts)
	case SetRoot:
		m.around("msqrt", s.Parts)
	}
}
