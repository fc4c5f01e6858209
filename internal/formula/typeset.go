package formula

import (
	"strings"

	"witnessmark/internal/quantity"
)

// Set is a formula as it stands on paper: what is set beside, over and under what. Pages draw it as MathML, the portfolio
// with its own pen.
type Set struct {
	Kind  SetKind
	Text  string
	Parts []Set
}

// SetKind says how a Set is drawn.
type SetKind uint8

const (
	// SetRow is its parts side by side.
	SetRow SetKind = iota
	// SetNumber is upright digits: Text.
	SetNumber
	// SetName is the name of a value, in italics: Text.
	SetName
	// SetUpright is a function's name, the words of a subscript or π: Text.
	SetUpright
	// SetUnit is a unit, upright, a thin space after what it belongs to: Text.
	SetUnit
	// SetSign is a sign between two parts, with room on both sides: Text.
	SetSign
	// SetMinus is a minus sign before one part, close to it.
	SetMinus
	// SetComma parts the arguments of a function.
	SetComma
	// SetBrackets is round brackets, as tall as Parts[0] between them.
	SetBrackets
	// SetFraction is Parts[0] over Parts[1].
	SetFraction
	// SetRaised is Parts[0] with Parts[1] raised behind it.
	SetRaised
	// SetLowered is Parts[0] with Parts[1] lowered behind it.
	SetLowered
	// SetRoot is the square root of Parts[0].
	SetRoot
)

// Line is sides that are equal, or nearly so: P = qv × dT = 12.4 L/min × 18.5 K ≈ 16 kW.
type Line []Side

// Side is one side of a line behind its sign: "" at the beginning, then "=" or "≈", or a Comparison's.
type Side struct {
	Sign string
	Node *Node
}

// Name is a node for a name that stands alone, such as the figure before the first sign of equality.
func Name(name string) *Node { return &Node{Kind: NodeName, Literal: noLiteral, Name: name} }

// Value is a node for a number with its unit; quantity.One is none.
func Value(n quantity.Number, u quantity.Unit) *Node {
	return &Node{Kind: NodeNumber, Literal: &Literal{Number: n, Unit: u, HasUnit: u.String() != ""}}
}

// Pieces typesets a line as rows that follow one another; the line may be broken before each of them. Each but the first
// begins with its sign.
func (l Line) Pieces() []Set {
	var out []Set
	for _, s := range l {
		out = appendPieces(out, s.Sign, s.Node, precSum)
	}
	return out
}

// appendPieces takes sums and products apart at their signs, and what stands in long brackets. A fraction is one piece.
func appendPieces(out []Set, sign string, n *Node, least int) []Set {
	switch brackets := bracketed(n, least); {
	case brackets && leaves(n) > leavesTogether:
		return appendBetween(out, sign, "", []*Node{n})
	case brackets:
	case n.Kind == NodeAdd:
		return appendPieces(appendPieces(out, sign, n.Args[0], precSum), "+", n.Args[1], behind(n.Args[1], precSum+1))
	case n.Kind == NodeSub:
		return appendPieces(appendPieces(out, sign, n.Args[0], precSum), "−", n.Args[1], behind(n.Args[1], precSum+1))
	case n.Kind == NodeMul:
		return appendPieces(appendPieces(out, sign, n.Args[0], precProduct), "×", n.Args[1], behind(n.Args[1], precProduct+1))
	case n.Kind == NodeCall && len(n.Args) > 1:
		return appendBetween(out, sign, n.Name, n.Args)
	}
	var row []Set
	if sign != "" {
		row = append(row, Set{Kind: SetSign, Text: sign})
	}
	return append(out, Set{Parts: append(row, typeset(n, least))})
}

// leavesTogether is how many values stand in brackets that are not taken apart.
const leavesTogether = 6

func leaves(n *Node) int {
	if len(n.Args) == 0 {
		return 1
	}
	sum := 0
	for _, a := range n.Args {
		sum += leaves(a)
	}
	return sum
}

// appendBetween takes what stands between brackets apart: a function's arguments behind their commas too.
func appendBetween(out []Set, sign, name string, args []*Node) []Set {
	first := len(out)
	for i, a := range args {
		out = appendPieces(out, "", a, precSum)
		end := Set{Kind: SetComma}
		if i == len(args)-1 {
			end = Set{Kind: SetUpright, Text: ")"}
		}
		last := &out[len(out)-1]
		last.Parts = append(last.Parts, end)
	}
	var begin []Set
	if sign != "" {
		begin = append(begin, Set{Kind: SetSign, Text: sign})
	}
	if name != "" {
		begin = append(begin, typesetFunction(name))
	}
	begin = append(begin, Set{Kind: SetUpright, Text: "("})
	out[first].Parts = append(begin, out[first].Parts...)
	return out
}

// bracketed reports whether n stands in brackets where it has to hold together as least asks. The bar of a fraction or a
// root groups by itself, but not under a power.
func bracketed(n *Node, least int) bool {
	if n.Kind == NodeDiv || n.Kind == NodeRoot {
		return least > precUnary
	}
	return precedence(n) < least
}

// behind is how strongly n has to hold together behind a sign that asks for least: a minus of its own is put in brackets.
func behind(n *Node, least int) int {
	if beginsWithMinus(n) {
		return precPrimary + 1
	}
	return least
}

func beginsWithMinus(n *Node) bool {
	switch n.Kind {
	case NodeNeg:
		return true
	case NodeNumber:
		return n.Number.Negative()
	case NodeAdd, NodeSub, NodeMul:
		return beginsWithMinus(n.Args[0])
	case NodeName, NodePi, NodeDiv, NodePow, NodeRoot, NodeUnit, NodeCall:
	}
	return false
}

func typeset(n *Node, least int) Set {
	if bracketed(n, least) {
		return Set{Kind: SetBrackets, Parts: []Set{typeset(n, precSum)}}
	}
	switch n.Kind {
	case NodeNumber:
		return typesetNumber(n)
	case NodeName:
		return typesetName(n.Name)
	case NodePi:
		return Set{Kind: SetUpright, Text: "π"}
	case NodeNeg:
		return row(Set{Kind: SetMinus}, typeset(n.Args[0], behind(n.Args[0], precUnary)))
	case NodeAdd:
		return pair(n, "+", precSum)
	case NodeSub:
		return pair(n, "−", precSum)
	case NodeMul:
		return pair(n, "×", precProduct)
	case NodeDiv:
		return two(SetFraction, typeset(n.Args[0], precSum), typeset(n.Args[1], precSum))
	case NodePow:
		return two(SetRaised, typeset(n.Args[0], precPrimary), typeset(n.Args[1], precSum))
	case NodeRoot:
		return Set{Kind: SetRoot, Parts: []Set{typeset(n.Args[0], precSum)}}
	case NodeUnit:
		return row(typeset(n.Args[0], precPower), Set{Kind: SetUnit, Text: n.Unit.String()})
	case NodeCall:
		return typesetCall(n)
	}
	return Set{}
}

func row(parts ...Set) Set           { return Set{Parts: parts} }
func two(kind SetKind, a, b Set) Set { return Set{Kind: kind, Parts: []Set{a, b}} }
func pair(n *Node, sign string, p int) Set {
	return row(typeset(n.Args[0], p), Set{Kind: SetSign, Text: sign}, typeset(n.Args[1], behind(n.Args[1], p+1)))
}

func typesetCall(n *Node) Set {
	var args []Set
	for i, a := range n.Args {
		if i > 0 {
			args = append(args, Set{Kind: SetComma})
		}
		args = append(args, typeset(a, precSum))
	}
	return row(typesetFunction(n.Name), Set{Kind: SetBrackets, Parts: []Set{{Parts: args}}})
}

// typesetFunction sets a function's name upright, and u_mean, which is an uncertainty's sign and no word, with the end
// lowered.
func typesetFunction(name string) Set {
	base, sub, ok := strings.Cut(name, "_")
	if _, own := builtins[name]; !ok || !own {
		return Set{Kind: SetUpright, Text: name}
	}
	return two(SetLowered, Set{Kind: SetUpright, Text: base}, Set{Kind: SetUpright, Text: sub})
}

// typesetNumber sets a literal with its unit: 1.2 × 10³ kW, ½ as a fraction, 12 500 in groups.
func typesetNumber(n *Node) Set {
	text := strings.TrimPrefix(n.Number.Canonical(), "-")
	mantissa, power, isPower := strings.Cut(text, "e")
	top, bottom, isFraction := strings.Cut(text, "/")
	var parts []Set
	if n.Number.Negative() {
		parts = append(parts, Set{Kind: SetMinus})
	}
	switch {
	case isFraction:
		parts = append(parts, two(SetFraction, digits(top), digits(bottom)))
	case isPower:
		exponent := digits(strings.TrimPrefix(power, "-"))
		if strings.HasPrefix(power, "-") {
			exponent = row(Set{Kind: SetMinus}, exponent)
		}
		parts = append(parts, digits(mantissa), Set{Kind: SetSign, Text: "×"}, two(SetRaised, digits("10"), exponent))
	default:
		parts = append(parts, digits(text))
	}
	if n.HasUnit {
		parts = append(parts, Set{Kind: SetUnit, Text: n.Unit.String()})
	}
	if len(parts) == 1 {
		return parts[0]
	}
	return row(parts...)
}

// digits groups five digits and more before the point by thin spaces.
func digits(text string) Set {
	whole, rest, point := strings.Cut(text, ".")
	if len(whole) >= 5 {
		for i := len(whole) - 3; i > 0; i -= 3 {
			whole = whole[:i] + "\u2009" + whole[i:]
		}
	}
	if point {
		whole += "." + rest
	}
	return Set{Kind: SetNumber, Text: whole}
}

// typesetName sets tf as it stands, and t1 or t_f with the end lowered.
func typesetName(name string) Set {
	base, sub, ok := strings.Cut(name, "_")
	if !ok {
		base = strings.TrimRight(name, "0123456789")
		sub = strings.TrimPrefix(name, base)
	}
	if base == "" || sub == "" {
		return Set{Kind: SetName, Text: name}
	}
	return two(SetLowered, Set{Kind: SetName, Text: base}, Set{Kind: SetUpright, Text: strings.ReplaceAll(sub, "_", " ")})
}
