package formula

import "strings"

// Text is the line in plain text, with ÷ for a division so that it is not taken for part of a unit.
func (l Line) Text() string {
	var b strings.Builder
	for _, s := range l {
		if s.Sign != "" {
			b.WriteString(" " + s.Sign + " ")
		}
		var side strings.Builder
		printNode(&side, s.Node, precSum)
		b.WriteString(plainSigns.Replace(side.String()))
	}
	return b.String()
}

// plainSigns turns canonical print into what people write; a slash with spaces is a division, one without belongs to a
// unit or a fraction.
var plainSigns = strings.NewReplacer(" / ", " ÷ ", "-", "−")

// Words is the line as it is read aloud: for people who hear a page.
func (l Line) Words() string {
	var b strings.Builder
	for _, s := range l {
		switch s.Sign {
		case "=":
			b.WriteString(" equals ")
		case "≈":
			b.WriteString(" is about ")
		case "<":
			b.WriteString(" is less than ")
		case "≤":
			b.WriteString(" is at most ")
		case ">":
			b.WriteString(" is more than ")
		case "≥":
			b.WriteString(" is at least ")
		}
		b.WriteString(words(s.Node, precSum))
	}
	return b.String()
}

func words(n *Node, least int) string {
	if precedence(n) < least {
		return "open bracket " + words(n, precSum) + " close bracket"
	}
	switch n.Kind {
	case NodeNumber:
		return wordsNumber(n)
	case NodeName:
		return strings.ReplaceAll(n.Name, "_", " ")
	case NodePi:
		return "pi"
	case NodeNeg:
		return "minus " + words(n.Args[0], behind(n.Args[0], precUnary))
	case NodeAdd:
		return wordsPair(n, " plus ", precSum)
	case NodeSub:
		return wordsPair(n, " minus ", precSum)
	case NodeMul:
		return wordsPair(n, " times ", precProduct)
	case NodeDiv:
		return wordsPair(n, " over ", precProduct)
	case NodePow:
		return wordsPower(n)
	case NodeRoot:
		return "the square root of " + words(n.Args[0], precUnary)
	case NodeUnit:
		return words(n.Args[0], precPower) + " " + n.Unit.String()
	case NodeCall:
		var args []string
		for _, a := range n.Args {
			args = append(args, words(a, precSum))
		}
		return strings.ReplaceAll(n.Name, "_", " ") + " of " + strings.Join(args, ", ")
	}
	return ""
}

func wordsNumber(n *Node) string {
	s := strings.TrimPrefix(n.Number.Canonical(), "-")
	if mantissa, power, ok := strings.Cut(s, "e"); ok {
		s = mantissa + " times 10 to the power of " + strings.Replace(power, "-", "minus ", 1)
	}
	s = strings.ReplaceAll(s, "/", " over ")
	if n.Number.Negative() {
		s = "minus " + s
	}
	if n.HasUnit {
		s += " " + n.Unit.String()
	}
	return s
}

func wordsPair(n *Node, sign string, p int) string {
	return words(n.Args[0], p) + sign + words(n.Args[1], behind(n.Args[1], p+1))
}

func wordsPower(n *Node) string {
	base, exponent := words(n.Args[0], precPrimary), words(n.Args[1], precPower)
	switch exponent {
	case "2":
		return base + " squared"
	case "3":
		return base + " cubed"
	}
	return base + " to the power of " + exponent
}
