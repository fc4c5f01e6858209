package formula

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// Limits of one formula. They bound the time that reading, compiling and evaluating can take.
const (
	// MaxFormula is the longest formula of a tutor, in bytes.
	MaxFormula = 4096
	// MaxLine is the longest line of a trainee's working, in bytes.
	MaxLine  = 400
	maxTerms = 200 // numbers, names and calls in one formula
	maxName  = 80  // bytes of one name
	maxDepth = 40  // brackets, powers and signs inside one another
)

// Parse reads a formula in the notation of the package comment. The error is an *Error.
func Parse(src string) (*Expr, error) {
	p, err := newParser(src, MaxFormula)
	if err != nil {
		return nil, err
	}
	root, err := p.sum()
	if err == nil {
		err = p.end()
	}
	if err != nil {
		return nil, err
	}
	return &Expr{source: src, root: root}, nil
}

// parser reads folded text; every position it reports is one in the text as typed.
type parser struct {
	source  string
	s       string
	offsets quantity.Offsets
	pos     int
	terms   int
	depth   int
	calls   int // open function calls: there a comma separates
	// working says that a trainee's line is read: × may be left out between names, and the letter case of a unit may be
	// wrong where only one can be meant; notes tell of it.
	working bool
	notes   []string
	// noFraction says that the next number is an exponent, behind which a slash divides.
	noFraction bool
	// attempts counts brackets tried as conditions, so that trying stays cheap.
	attempts int
}

func newParser(src string, limit int) (*parser, error) {
	if len(src) > limit {
		return nil, &Error{Source: src[:0], Message: fmt.Sprintf(
			"This is %d bytes long; at most %d are read. Split it into several figures.", len(src), limit)}
	}
	if !utf8.ValidString(src) {
		return nil, &Error{Source: strings.ToValidUTF8(src, "?"), Message: "The text holds bytes that are no characters: type it again."}
	}
	s, offsets := quantity.Fold(src)
	return &parser{source: src, s: s, offsets: offsets}, nil
}

// fail reports a fault at folded offset pos.
func (p *parser) fail(pos int, format string, args ...any) error {
	at := p.offsets.At(pos)
	return &Error{Source: p.source, Pos: at, End: at, Message: fmt.Sprintf(format, args...)}
}

func (p *parser) twoReadings(pos int, format string, args ...any) error {
	at := p.offsets.At(pos)
	return &Error{Source: p.source, Pos: at, End: at, Reason: quantity.ErrAmbiguous, Message: fmt.Sprintf(format, args...)}
}

func (p *parser) end() error {
	p.space()
	if p.pos < len(p.s) {
		return p.unexpected()
	}
	return nil
}

// sum = product { (+|−) product }
func (p *parser) sum() (*Node, error) {
	left, err := p.product()
	for err == nil {
		p.space()
		kind := NodeAdd
		switch {
		case p.take("+"):
		case p.take("-"):
			kind = NodeSub
		default:
			return left, nil
		}
		var right *Node
		if right, err = p.product(); err == nil {
			left = p.binary(kind, left, right)
		}
	}
	return nil, err
}

// product = unary { (×|/) unary | implicit }
func (p *parser) product() (*Node, error) {
	start := p.pos
	left, err := p.unary()
	last := factor{node: left, bracketed: err == nil && p.bracketed(start)}
	for err == nil {
		kind, found, implicit := p.mulSign(last)
		if !found {
			return left, nil
		}
		if implicit && last.divides(p.source) {
			return nil, p.twoReadings(p.pos, "This can be read two ways: put brackets round what is divided by, or write × here.")
		}
		start = p.pos
		var right *Node
		if right, err = p.unary(); err == nil {
			left = p.binary(kind, left, right)
			last = factor{node: right, bracketed: p.bracketed(start), divisor: kind == NodeDiv || implicit && last.divisor}
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
func (f factor) divides(source string) bool {
	if f.divisor {
		return true
	}
	n := f.node
	return n.Kind == NodeNumber && !f.bracketed && !n.HasUnit && n.Number.IsFraction() && strings.ContainsAny(source[n.Pos:n.End], "/\u2044\u2215\uff0f")
}

// mulSign reads a multiplication or division sign. Multiplication is implicit before a bracket and √, and before a name
// behind a number or π. The letter x stands for × before a space, digit or bracket.
func (p *parser) mulSign(last factor) (kind NodeKind, found, implicit bool) {
	p.space()
	switch {
	case p.at("**"):
		return 0, false, false
	case p.take("×"), p.take("·"), p.take("*"):
		return NodeMul, true, false
	case p.take("/"), p.take("÷"):
		return NodeDiv, true, false
	case (p.at("x") || p.at("X")) && p.timesX():
		p.pos++
		return NodeMul, true, false
	case p.at("(") || p.at("√"):
		return NodeMul, last.node.Kind != NodeName || last.bracketed || p.working, true
	case p.working && last.node.Kind == NodeName && p.nameAt():
		return NodeMul, true, true
	}
	number := last.node.Kind == NodeNumber && !last.node.HasUnit || last.node.Kind == NodePi
	if number && !last.bracketed && p.nameAt() {
		return NodeMul, true, true
	}
	return 0, false, false
}

func (p *parser) timesX() bool {
	rest := p.s[p.pos+1:]
	if rest == "" {
		return false
	}
	r, _ := utf8.DecodeRuneInString(rest)
	return r == ' ' || r == '\u2009' || r == '(' || r == '√' || r == '.' || r == '-' || '0' <= r && r <= '9'
}

// nameAt reports whether a name begins here that is no word of conditions.
func (p *parser) nameAt() bool {
	r, _ := utf8.DecodeRuneInString(p.s[p.pos:])
	return nameStart(r) && !reserved[p.word()]
}

// unary = (−|+) unary | power
func (p *parser) unary() (*Node, error) {
	p.space()
	start := p.pos
	switch {
	case p.take("-"):
		if err := p.enter(); err != nil {
			return nil, err
		}
		x, err := p.unary()
		p.depth--
		if err != nil {
			return nil, err
		}
		// −3 °C is a temperature, not minus one times 276.15 K.
		if x.Kind == NodeNumber && x.HasUnit && x.Unit.Kind() == quantity.TemperaturePoint {
			n := *x
			n.Number, n.Pos = n.Number.Neg(), p.offsets.At(start)
			return &n, nil
		}
		return p.node(NodeNeg, start, x), nil
	case p.take("+"):
		if err := p.enter(); err != nil {
			return nil, err
		}
		x, err := p.unary()
		p.depth--
		return x, err
	}
	return p.power(true)
}

// power = primary [superscript] [^ exponent]; units bind to a number, a bracket, or a power of a bare number.
func (p *parser) power(units bool) (*Node, error) {
	start := p.pos
	base, err := p.primary(units)
	if err != nil {
		return nil, err
	}
	bare := base.Kind == NodeNumber && !base.HasUnit && !p.bracketed(start)
	raised := false
	for {
		exp, found, err := p.exponent()
		if err != nil {
			return nil, err
		}
		if !found {
			break
		}
		if base.Kind == NodeNumber && base.Number.IsFraction() && bare {
			return nil, p.twoReadings(start, "This can be read two ways: put the fraction in brackets.")
		}
		base, raised = p.node(NodePow, start, base, exp), true
	}
	if raised && bare && units {
		return p.withUnit(base, start)
	}
	return base, nil
}

// bracketed reports whether a primary that began at start was written in brackets.
func (p *parser) bracketed(start int) bool {
	return strings.HasPrefix(strings.TrimLeft(p.s[start:], " \u2009"), "(")
}

// exponent reads ², ⁻³, ^2, ^-2, ^n or ^(…); found says whether there is one.
func (p *parser) exponent() (x *Node, found bool, err error) {
	if n, negative, size := superscriptNumber(p.s[p.pos:]); size > 0 {
		start := p.pos
		p.pos += size
		if err := p.count(start); err != nil {
			return nil, false, err
		}
		num := p.node(NodeNumber, start)
		num.Number = n
		if negative {
			return p.node(NodeNeg, start, num), true, nil
		}
		return num, true, nil
	}
	mark := p.pos
	p.space()
	if !p.take("^") {
		p.pos = mark
		return nil, false, nil
	}
	p.space()
	start := p.pos
	if p.take("-") {
		x, err := p.exponentOperand()
		if err != nil {
			return nil, false, err
		}
		return p.node(NodeNeg, start, x), true, nil
	}
	x, err = p.exponentOperand()
	return x, true, err
}

// exponentOperand reads what stands behind ^. A slash behind its number is a division: d^2/4 is a quarter of d².
func (p *parser) exponentOperand() (*Node, error) {
	p.space()
	p.noFraction = true
	defer func() { p.noFraction = false }()
	return p.nested()
}

// nested reads a power inside another or under a root; its own brackets count its depth where it has some, so that what
// is printed with brackets nests no deeper than what was typed without.
func (p *parser) nested() (*Node, error) {
	if p.space(); p.at("(") {
		return p.power(false)
	}
	if err := p.enter(); err != nil {
		return nil, err
	}
	defer func() { p.depth-- }()
	return p.power(false)
}

func (p *parser) binary(kind NodeKind, left, right *Node) *Node {
	return &Node{Kind: kind, Pos: left.Pos, End: right.End, Args: []*Node{left, right}}
}

// node makes a node from folded offset start to here.
func (p *parser) node(kind NodeKind, start int, args ...*Node) *Node {
	return &Node{Kind: kind, Pos: p.offsets.At(start), End: p.offsets.At(p.pos), Args: args}
}

func (p *parser) enter() error {
	if p.depth++; p.depth > maxDepth {
		return p.fail(p.pos, "Brackets and powers are nested more than %d deep: split the formula into several figures.", maxDepth)
	}
	return nil
}

func (p *parser) count(pos int) error {
	if p.terms++; p.terms > maxTerms {
		return p.fail(pos, "The formula has more than %d terms: split it into several figures.", maxTerms)
	}
	return nil
}
