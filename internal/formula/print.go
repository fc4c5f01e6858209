package formula

import (
	"strconv"
	"strings"
)

// Binding strengths, weakest first.
const (
	precSum = iota + 1
	precProduct
	precUnary
	precPower
	precPrimary
)

// String prints the formula in canonical form; Parse reads the same tree back from it.
func (e *Expr) String() string {
	var b strings.Builder
	printNode(&b, e.root, precSum)
	return b.String()
}

// precedence says how strongly a node holds together when printed.
func precedence(n *Node) int {
	switch n.Kind {
	case NodeAdd, NodeSub:
		return precSum
	case NodeMul, NodeDiv:
		return precProduct
	case NodeNeg, NodeRoot:
		return precUnary
	case NodePow, NodeUnit:
		return precPower
	case NodeNumber:
		if n.Number.Negative() {
			return precUnary
		}
		if n.HasUnit || n.Number.IsFraction() {
			return precPower
		}
	case NodeName, NodePi, NodeCall:
	}
	return precPrimary
}

func printNode(b *strings.Builder, n *Node, least int) {
	if precedence(n) < least {
		b.WriteByte('(')
		defer b.WriteByte(')')
	}
	switch n.Kind {
	case NodeNumber:
		b.WriteString(printedNumber(n))
		printUnit(b, n)
	case NodeName:
		b.WriteString(n.Name)
	case NodePi:
		b.WriteString("π")
	case NodeNeg:
		b.WriteByte('-')
		printNode(b, n.Args[0], precUnary)
	case NodeAdd:
		printPair(b, n, " + ", precSum)
	case NodeSub:
		printPair(b, n, " - ", precSum)
	case NodeMul:
		printPair(b, n, " × ", precProduct)
	case NodeDiv:
		printPair(b, n, " / ", precProduct)
	case NodePow:
		printNode(b, n.Args[0], precPrimary)
		printExponent(b, n.Args[1])
	case NodeRoot:
		printRoot(b, n.Args[0])
	case NodeUnit:
		printUnitOf(b, n)
	case NodeCall:
		b.WriteString(n.Name)
		b.WriteByte('(')
		for i, a := range n.Args {
			if i > 0 {
				b.WriteString(", ")
			}
			printNode(b, a, precSum)
		}
		b.WriteByte(')')
	}
}

// printedNumber prints a fraction as it was typed, 1/2 or ½: before a unit the first can be read two ways.
func printedNumber(n *Node) string {
	text := n.Number.Canonical()
	if n.slash || !n.Number.IsFraction() {
		return text
	}
	sign := ""
	if n.Number.Negative() {
		sign, text = "-", text[1:]
	}
	before, after, _ := strings.Cut(text, "/")
	top, err := strconv.Atoi(before)
	bottom, err2 := strconv.Atoi(after)
	if err != nil || err2 != nil || bottom == 0 {
		return sign + text
	}
	mark, ok := vulgarMarks[[2]int{top % bottom, bottom}]
	switch {
	case !ok:
		return sign + text
	case top > bottom:
		return sign + strconv.Itoa(top/bottom) + mark
	}
	return sign + mark
}

var vulgarMarks = map[[2]int]string{
	{1, 2}: "½", {1, 4}: "¼", {3, 4}: "¾", {1, 3}: "⅓", {2, 3}: "⅔", {1, 8}: "⅛", {3, 8}: "⅜", {5, 8}: "⅝", {7, 8}: "⅞", {1, 5}: "⅕", {1, 6}: "⅙",
}

func printUnit(b *strings.Builder, n *Node) {
	if n.HasUnit {
		b.WriteByte(' ')
		b.WriteString(n.Unit.Inline())
	}
}

func printPair(b *strings.Builder, n *Node, sign string, prec int) {
	printNode(b, n.Args[0], prec)
	b.WriteString(sign)
	if n.Kind == NodeDiv && n.Args[1].slash {
		prec = precPrimary // behind / a fraction stands in brackets
	}
	printNode(b, n.Args[1], prec+1)
}

// printExponent prints small integers raised, names and numbers bare, all else in brackets.
func printExponent(b *strings.Builder, n *Node) {
	sign := ""
	x := n
	if n.Kind == NodeNeg {
		sign, x = "⁻", n.Args[0]
	}
	if text, ok := raised(x); ok {
		b.WriteString(sign)
		b.WriteString(text)
		return
	}
	b.WriteByte('^')
	if n.Kind == NodeName || n.Kind == NodePi || n.Kind == NodeNumber && precedence(n) == precPrimary {
		printNode(b, n, precSum)
		return
	}
	b.WriteByte('(')
	printNode(b, n, precSum)
	b.WriteByte(')')
}

// raised gives the superscript of an integer of one or two digits.
func raised(n *Node) (string, bool) {
	if n.Kind != NodeNumber || n.HasUnit || n.Number.IsFraction() || n.Number.Negative() {
		return "", false
	}
	text := n.Number.Canonical()
	if len(text) > 2 || strings.Trim(text, "0123456789") != "" {
		return "", false
	}
	var b strings.Builder
	for _, d := range text {
		b.WriteString([]string{"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"}[d-'0'])
	}
	return b.String(), true
}

func printRoot(b *strings.Builder, arg *Node) {
	b.WriteString("√")
	if arg.Kind == NodeName || arg.Kind == NodePi || arg.Kind == NodeNumber && precedence(arg) == precPrimary {
		printNode(b, arg, precSum)
		return
	}
	b.WriteByte('(')
	printNode(b, arg, precSum)
	b.WriteByte(')')
}

// printUnitOf prints (3 + 4) m, and 10³ W without brackets.
func printUnitOf(b *strings.Builder, n *Node) {
	arg := n.Args[0]
	if bareLiteralPower(arg) {
		printNode(b, arg, precPower)
	} else {
		b.WriteByte('(')
		printNode(b, arg, precSum)
		b.WriteByte(')')
	}
	b.WriteByte(' ')
	b.WriteString(n.Unit.Inline())
}

// bareLiteralPower reports a power whose base is printed as a number without brackets.
func bareLiteralPower(n *Node) bool {
	return n.Kind == NodePow && n.Args[0].Kind == NodeNumber && precedence(n.Args[0]) == precPrimary
}
