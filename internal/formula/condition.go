package formula

import (
	"math"
	"slices"
	"strings"
)

// Comparison is the sign between two formulas of a condition.
type Comparison uint8

const (
	// Less is <.
	Less Comparison = iota
	// LessOrEqual is ≤, also typed <=.
	LessOrEqual
	// Greater is >.
	Greater
	// GreaterOrEqual is ≥, also typed >=.
	GreaterOrEqual
	// Equal is =.
	Equal
)

// String prints the sign.
func (c Comparison) String() string {
	return [...]string{"<", "≤", ">", "≥", "="}[min(c, Equal)]
}

// Holds compares two numbers; within a relative 1e-9 they count as equal.
func (c Comparison) Holds(a, b float64) bool {
	near := math.Abs(a-b) <= 1e-9*max(math.Abs(a), math.Abs(b))
	switch c {
	case Less:
		return a < b && !near
	case LessOrEqual:
		return a < b || near
	case Greater:
		return a > b && !near
	case GreaterOrEqual:
		return a > b || near
	case Equal:
		return near
	}
	return false
}

// Condition is a condition that was read: comparisons of formulas joined by and and or. Only a brief's choices and
// cross-checks have conditions; formulas have no comparison.
type Condition struct {
	source string
	root   *test
	timesX int // as of an Expr
}

// test is one comparison (join 0), or the parts joined by and or or.
type test struct {
	join        joint
	parts       []*test
	left, right *Node
	sign        Comparison
	pos         int
}

type joint uint8

const (
	compared joint = iota
	allOf
	anyOf
)

// Source gives the text as typed.
func (c *Condition) Source() string { return c.source }

// ParseCondition reads a condition such as "tr < tf and tf ≤ 85 °C". A chain 0 K < dT ≤ 30 K means both comparisons.
// "and" binds more tightly than "or"; brackets group. The error is an *Error.
func ParseCondition(src string) (*Condition, error) {
	var p parser
	if err := p.begin(src, MaxFormula); err != nil {
		return nil, err
	}
	p.findConditions()
	root, err := p.anyOf()
	if err == nil {
		err = p.end()
	}
	if err != nil {
		return nil, err
	}
	return &Condition{source: src, root: root, timesX: p.timesX}, nil
}

func (p *parser) anyOf() (*test, error)  { return p.joined(anyOf, "or", p.allOf) }
func (p *parser) allOf() (*test, error)  { return p.joined(allOf, "and", p.comparison) }
func (p *parser) takeWord(w string) bool { p.space(); return p.word() == w && p.take(w) }

func (p *parser) joined(join joint, word string, part func() (*test, error)) (*test, error) {
	t, err := part()
	if err != nil {
		return nil, err
	}
	parts := []*test{t}
	for p.takeWord(word) {
		if t, err = part(); err != nil {
			return nil, err
		}
		parts = append(parts, t)
	}
	if len(parts) == 1 {
		return t, nil
	}
	return &test{join: join, parts: parts, pos: parts[0].pos}, nil
}

// comparison reads formula sign formula { sign formula }, or a condition in brackets.
func (p *parser) comparison() (*test, error) {
	p.space()
	if _, ok := slices.BinarySearch(p.conditions, p.pos); ok {
		return p.bracketedCondition()
	}
	left, err := p.sum()
	if err != nil {
		return nil, err
	}
	var parts []*test
	for {
		p.space()
		pos := p.pos
		sign, ok := p.sign()
		if !ok {
			break
		}
		right, err := p.sum()
		if err != nil {
			return nil, err
		}
		parts = append(parts, &test{left: left, right: right, sign: sign, pos: p.offsets.At(pos)})
		left = right
	}
	switch len(parts) {
	case 0:
		if p.pos < len(p.s) && !reserved(p.word()) && !p.at(")") {
			return nil, p.unexpected()
		}
		return nil, p.fail(p.pos, "A comparison is missing here: <, ≤, >, ≥ or =.")
	case 1:
		return parts[0], nil
	}
	return &test{join: allOf, parts: parts, pos: parts[0].pos}, nil
}

// findConditions finds the brackets that hold a comparison: a formula has none, so they are conditions. Brackets deeper
// than any that are read do not matter.
func (p *parser) findConditions() {
	var open []int
	for i := 0; i < len(p.s); i++ {
		switch c := p.s[i]; {
		case c == '(' && len(open) <= maxDepth:
			open = append(open, i)
		case c == ')' && len(open) > 0:
			open = open[:len(open)-1]
		case c == '<' || c == '>' || c == '=' || strings.HasPrefix(p.s[i:], "≤") || strings.HasPrefix(p.s[i:], "≥"):
			p.conditions = append(p.conditions, open...)
			open = open[:0]
		}
	}
	p.steps += 2 * len(p.s)
}

// bracketedCondition reads the condition in the bracket at pos.
func (p *parser) bracketedCondition() (*test, error) {
	open := p.pos
	p.pos++
	if err := p.enter(); err != nil {
		return nil, err
	}
	t, err := p.anyOf()
	if err != nil {
		return nil, err
	}
	if p.space(); !p.take(")") {
		if p.pos == len(p.s) {
			return nil, p.fail(open, "This bracket is not closed.")
		}
		return nil, p.unexpected()
	}
	p.depth--
	if p.space(); p.pos < len(p.s) && !p.at(")") && !reserved(p.word()) {
		return nil, p.fail(p.pos, "Behind a condition in brackets only and, or, or a closing bracket may follow.")
	}
	return t, nil
}

func (p *parser) sign() (Comparison, bool) {
	for _, s := range []struct {
		text string
		sign Comparison
	}{{"<=", LessOrEqual}, {">=", GreaterOrEqual}, {"≤", LessOrEqual}, {"≥", GreaterOrEqual}, {"<", Less}, {">", Greater}, {"=", Equal}} {
		if p.take(s.text) {
			return s.sign, true
		}
	}
	return 0, false
}

// String prints the condition in canonical form; ParseCondition reads the same from it.
func (c *Condition) String() string {
	var b strings.Builder
	printTest(&b, c.root, compared)
	return b.String()
}

func printTest(b *strings.Builder, t *test, outer joint) {
	if t.join == compared {
		printNode(b, t.left, precSum)
		b.WriteString(" " + t.sign.String() + " ")
		printNode(b, t.right, precSum)
		return
	}
	if outer != compared {
		b.WriteByte('(')
		defer b.WriteByte(')')
	}
	for i, part := range t.parts {
		if i > 0 {
			b.WriteString(" " + t.word() + " ")
		}
		printTest(b, part, t.join)
	}
}

// ConditionNames lists the names a condition uses, each once, in the order of their first use.
func ConditionNames(c *Condition) []string {
	var names []string
	c.root.each(func(t *test) {
		names = appendNames(appendNames(names, t.left), t.right)
	})
	return names
}

func (t *test) each(f func(*test)) {
	if t.join == compared {
		f(t)
	}
	for _, part := range t.parts {
		part.each(f)
	}
}

// Compared is one comparison of a condition: its sides, each a formula of its own, and the sign between them.
type Compared struct {
	Join        string // "and" or "or", how it is joined to what stands before it; "" of the first
	Left, Right *Expr
	Sign        Comparison
}

// Comparisons lists the comparisons of a condition as they stand, brackets aside; a chain is several, joined by and.
func (c *Condition) Comparisons() []Compared { return c.comparisons(nil, c.root, "") }

func (c *Condition) comparisons(out []Compared, t *test, join string) []Compared {
	if t.join == compared {
		of := func(n *Node) *Expr { return &Expr{source: c.source, root: n, timesX: c.timesX} }
		return append(out, Compared{join, of(t.left), of(t.right), t.sign})
	}
	for i, part := range t.parts {
		if i > 0 {
			join = t.word()
		}
		out = c.comparisons(out, part, join)
	}
	return out
}

// word is what joins the parts of a test.
func (t *test) word() string {
	if t.join == anyOf {
		return "or"
	}
	return "and"
}
