package formula

import (
	"strings"
	"unicode/utf8"
)

// product = unary { (×|/) unary | implicit }
func (p *parser) product() (*Node, error) {
	p.space()
	bracketed := p.at("(")
	left, err := p.unary()
	last := factor{node: left, bracketed: bracketed}
	for err == nil {
		kind, found, implicit := p.mulSign(last)
		if !found {
			return left, nil
		}
		if implicit && last.divides() {
			return nil, p.twoReadings(p.pos, "This can be read two ways: put brackets round what is divided by, or write × here.")
		}
		p.space()
		at := p.pos
		bracketed = p.at("(")
		var right *Node
		if right, err = p.unary(); err == nil {
			if kind == NodeDiv && right.slash && !bracketed {
				return nil, p.twoReadings(at, "This can be read two ways: put the fraction in brackets, or spaces round the second /.")
			}
			left = p.binary(kind, left, right)
			last = factor{node: right, bracketed: bracketed, divisor: kind == NodeDiv || implicit && last.divisor}
		}
	}
	return nil, err
}

// factor is the last operand of a product, which decides whether a sign may be left out behind it.
type factor struct {
	node      *Node
	bracketed bool
	divisor   bool
}

// divides reports a divisor, or a fraction typed with a slash: behind one, a × left out could belong to either side.
func (f factor) divides() bool {
	return f.divisor || f.node.Kind == NodeNumber && f.node.slash && !f.bracketed && !f.node.HasUnit
}

// mulSign reads a multiplication or division sign. Multiplication is implicit before a bracket and √, and before a name
// behind a number or π. The letter x stands for × where a space, digit or bracket follows and then a value.
func (p *parser) mulSign(last factor) (kind NodeKind, found, implicit bool) {
	p.space()
	if p.pos == len(p.s) {
		return 0, false, false
	}
	switch c := p.s[p.pos]; {
	case c == '*':
		if p.at("**") {
			return 0, false, false
		}
		p.pos++
		return NodeMul, true, false
	case c == '/':
		p.pos++
		return NodeDiv, true, false
	case c == '+' || c == '-' || c == ')' || c == '=':
		return 0, false, false
	case (c == 'x' || c == 'X') && p.timesSign():
		p.pos++
		return NodeMul, true, false
	case c == '(' || p.at("√"):
		return NodeMul, last.node.Kind != NodeName || last.bracketed || p.working, true
	case c >= utf8.RuneSelf && (p.take("×") || p.take("·")):
		return NodeMul, true, false
	case c >= utf8.RuneSelf && p.take("÷"):
		return NodeDiv, true, false
	case p.working && last.node.Kind == NodeName && p.nameAt():
		return NodeMul, true, true
	}
	number := last.node.Kind == NodeNumber && !last.node.HasUnit || last.node.Kind == NodePi
	if number && !last.bracketed && p.nameAt() {
		return NodeMul, true, true
	}
	return 0, false, false
}

// timesSign reports whether the x at pos is a times sign: a space, digit, point or bracket follows, and then a value. In
// 3 x - 2 the x is a name, in 3 x -2 a sign.
func (p *parser) timesSign() bool {
	rest := p.s[p.pos+1:]
	after := strings.TrimLeft(rest, " \u2009")
	p.steps += 1 + len(rest) - len(after)
	if after == "" {
		return false
	}
	r, _ := utf8.DecodeRuneInString(after)
	spaced := len(after) < len(rest)
	value := '0' <= r && r <= '9' || r == '.' || r == '(' || r == '√'
	switch {
	case !spaced:
	case r == '-':
		next, _ := utf8.DecodeRuneInString(after[1:])
		value = next != ' ' && next != '\u2009'
	default:
		value = value || nameStart(r) || vulgarFraction(r)
	}
	if value && p.timesX == 0 {
		p.timesX = p.offsets.At(p.pos) + 1
	}
	return value
}
