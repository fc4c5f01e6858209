package formula

import (
	"html"
	"strings"
)

// MathML typesets a formula as a MathML element for pages: fractions stacked, roots and powers raised, units upright.
// All text is escaped. The mark-up needs no styles and no script.
func MathML(e *Expr) string {
	var m mathWriter
	m.b.WriteString(`<math xmlns="http://www.w3.org/1998/Math/MathML">`)
	m.row(e.root, precSum)
	m.b.WriteString(`</math>`)
	return m.b.String()
}

type mathWriter struct{ b strings.Builder }

func (m *mathWriter) tag(name, text string) {
	m.b.WriteString("<" + name + ">" + html.EscapeString(text) + "</" + name + ">")
}

// row writes a node as one group, in brackets where it holds together less strongly than least.
func (m *mathWriter) row(n *Node, least int) {
	m.b.WriteString("<mrow>")
	if mathPrecedence(n) < least {
		m.tag("mo", "(")
		m.node(n)
		m.tag("mo", ")")
	} else {
		m.node(n)
	}
	m.b.WriteString("</mrow>")
}

// mathPrecedence is precedence, but for fractions and roots, whose bars group by themselves.
func mathPrecedence(n *Node) int {
	switch n.Kind {
	case NodeRoot:
		return precPrimary
	case NodeDiv:
		return precProduct
	case NodeNumber, NodeName, NodePi, NodeNeg, NodeAdd, NodeSub, NodeMul, NodePow, NodeUnit, NodeCall:
	}
	return precedence(n)
}

func (m *mathWriter) node(n *Node) {
	switch n.Kind {
	case NodeNumber:
		m.number(n)
	case NodeName:
		m.name(n.Name)
	case NodePi:
		m.tag("mi", "π")
	case NodeNeg:
		m.tag("mo", "−")
		m.row(n.Args[0], precUnary)
	case NodeAdd:
		m.pair(n, "+", precSum)
	case NodeSub:
		m.pair(n, "−", precSum)
	case NodeMul:
		m.pair(n, "×", precProduct)
	case NodeDiv:
		m.group("mfrac", n.Args[0], n.Args[1], precSum)
	case NodePow:
		m.group("msup", n.Args[0], n.Args[1], precPrimary)
	case NodeRoot:
		m.b.WriteString("<msqrt>")
		m.row(n.Args[0], precSum)
		m.b.WriteString("</msqrt>")
	case NodeUnit:
		m.row(n.Args[0], precPrimary)
		m.unit(n)
	case NodeCall:
		m.tag("mi", n.Name)
		m.tag("mo", "(")
		for i, a := range n.Args {
			if i > 0 {
				m.tag("mo", ",")
			}
			m.row(a, precSum)
		}
		m.tag("mo", ")")
	}
}

// group writes a fraction or a power; the exponent and both parts of a fraction need no brackets.
func (m *mathWriter) group(tag string, a, b *Node, least int) {
	m.b.WriteString("<" + tag + ">")
	m.row(a, least)
	m.row(b, precSum)
	m.b.WriteString("</" + tag + ">")
}

func (m *mathWriter) pair(n *Node, sign string, prec int) {
	m.row(n.Args[0], prec)
	m.tag("mo", sign)
	m.row(n.Args[1], prec+1)
}

func (m *mathWriter) number(n *Node) {
	text := n.Number.Canonical()
	mantissa, power, ok := strings.Cut(text, "e")
	top, bottom, isFraction := strings.Cut(text, "/")
	switch {
	case isFraction:
		m.b.WriteString("<mfrac>")
		m.tag("mn", top)
		m.tag("mn", bottom)
		m.b.WriteString("</mfrac>")
	case ok:
		m.tag("mn", strings.ReplaceAll(mantissa, "-", "−"))
		m.tag("mo", "×")
		m.b.WriteString("<msup>")
		m.tag("mn", "10")
		m.tag("mn", strings.ReplaceAll(power, "-", "−"))
		m.b.WriteString("</msup>")
	default:
		m.tag("mn", strings.ReplaceAll(text, "-", "−"))
	}
	if n.HasUnit {
		m.unit(n)
	}
}

func (m *mathWriter) unit(n *Node) {
	m.b.WriteString(`<mspace width="0.17em"></mspace>`)
	m.tag("mtext", n.Unit.String())
}

// name writes tf as it stands and t1 or t_f with the end lowered.
func (m *mathWriter) name(name string) {
	base, sub, ok := strings.Cut(name, "_")
	if !ok {
		base = strings.TrimRight(name, "0123456789")
		sub = strings.TrimPrefix(name, base)
	}
	if base == "" || sub == "" {
		m.tag("mi", name)
		return
	}
	m.b.WriteString("<msub>")
	m.tag("mi", base)
	m.tag("mi", sub)
	m.b.WriteString("</msub>")
}
