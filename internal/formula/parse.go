package formula

import (
	"fmt"
	"strings"
	"sync"
	"unicode/utf8"
	"unsafe"

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
	p, _ := parsers.Get().(*parser)
	defer parsers.Put(p)
	p.arena = arena{} // the tree keeps the old one
	if err := p.begin(src, MaxFormula); err != nil {
		return nil, err
	}
	root, err := p.sum()
	if err == nil {
		err = p.end()
	}
	if err != nil {
		return nil, err
	}
	return &Expr{source: src, root: root, timesX: p.timesX, fraction: p.fraction}, nil
}

// parsers are kept for their room.
var parsers = sync.Pool{New: func() any { return new(parser) }}

// parser reads folded text; every position it reports is one in the text as typed. It may be used for one text after
// another: begin keeps the room of the last one.
type parser struct {
	source  string
	s       string
	offsets quantity.Offsets
	pos     int
	terms   int
	depth   int
	calls   int // open function calls: there a comma separates
	steps   int // bytes looked at and rules tried: what reading costs
	// working says that a trainee's line is read: × may be left out between names, and the letter case of a unit may be
	// wrong where only one can be meant; notes tell of it.
	working bool
	notes   []string
	// noFraction says that the next number is an exponent, behind which a slash divides.
	noFraction bool
	// timesX is the place of the first x that was read as a times sign, plus one; 0 where there is none.
	timesX   int
	fraction *Node // as of an Expr
	// conditions are the places of brackets that hold a comparison.
	conditions []int

	arena   arena
	units   unitCache
	folded  []byte // what s and offsets use where folding changes the text
	places  quantity.Offsets
	pending []*Node // arguments of the calls being read
}

// begin takes up a text of at most limit bytes.
func (p *parser) begin(src string, limit int) error {
	if len(src) > limit {
		return &Error{Source: src[:0], Message: fmt.Sprintf(
			"This is %d bytes long; at most %d are read. Split it into several figures.", len(src), limit)}
	}
	p.arena.room(src)
	p.arena.reset()
	*p = parser{
		source: src, s: src, steps: len(src), arena: p.arena, units: p.units,
		folded: p.folded[:0], places: p.places[:0], notes: p.notes[:0], pending: p.pending[:0],
	}
	var changed bool
	if !utf8.ValidString(src) {
		return brokenBytes(src)
	}
	if p.folded, p.places, changed = quantity.AppendFold(p.folded, p.places, src); changed {
		// The bytes are not written again before the next begin, when nothing read from them is used any longer.
		p.s, p.offsets = unsafe.String(unsafe.SliceData(p.folded), len(p.folded)), p.places
	}
	return nil
}

// brokenBytes points at the first byte that belongs to no character.
func brokenBytes(src string) error {
	pos := 0
	for pos < len(src) {
		r, size := utf8.DecodeRuneInString(src[pos:])
		if r == utf8.RuneError && size == 1 {
			break
		}
		pos += size
	}
	shown := src[:pos] + strings.ToValidUTF8(src[pos:], "?")
	return &Error{Source: shown, Pos: pos, End: pos, Message: "There are bytes here that are no characters: delete them and type on."}
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

// nameAt reports whether a name begins here that is no word of conditions.
func (p *parser) nameAt() bool {
	r, _ := utf8.DecodeRuneInString(p.s[p.pos:])
	return nameStart(r) && !reserved(p.word())
}

// unary = (−|+) unary | power
func (p *parser) unary() (*Node, error) {
	p.space()
	p.steps++
	start := p.pos
	minus := p.take("-")
	if !minus && !p.take("+") {
		return p.power(true)
	}
	if err := p.enter(); err != nil {
		return nil, err
	}
	x, err := p.unary()
	p.depth--
	switch {
	case err != nil || !minus:
		return x, err
	case x.Kind == NodeNumber && x.HasUnit && x.Unit.Kind() == quantity.TemperaturePoint:
		// −3 °C is a temperature, not minus one times 276.15 K.
		x.Number, x.Pos = x.Number.Neg(), p.offsets.At(start)
		return x, nil
	}
	return p.node(NodeNeg, start, x), nil
}

// power = primary [superscript] [^ exponent]; units bind to a number, a bracket, or a power of a bare number.
func (p *parser) power(units bool) (*Node, error) {
	p.space()
	start := p.pos
	bracketed := p.at("(")
	base, err := p.primary(units)
	if err != nil {
		return nil, err
	}
	bare := base.Kind == NodeNumber && !base.HasUnit && !bracketed
	raised := false
	for p.exponentAhead() {
		exp, found, err := p.exponent()
		if err != nil {
			return nil, err
		}
		if !found {
			break
		}
		if bare && base.slash {
			return nil, p.twoReadings(start, "This can be read two ways: put the fraction in brackets.")
		}
		base, raised = p.node(NodePow, start, base, exp), true
	}
	if raised && bare && units {
		return p.withUnit(base, start)
	}
	return base, nil
}

// exponentAhead reports whether an exponent may stand here; a raised digit is no ASCII.
func (p *parser) exponentAhead() bool {
	p.steps++
	i := p.pos
	for i < len(p.s) && p.s[i] == ' ' {
		i++
	}
	return i < len(p.s) && (p.s[i] == '^' || p.s[i] >= utf8.RuneSelf)
}

// exponent reads ², ⁻³, ^2, ^-2, ^n or ^(…); found says whether there is one.
func (p *parser) exponent() (x *Node, found bool, err error) {
	p.steps++
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
	x, err := p.nested()
	p.noFraction = false
	return x, err
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
	x, err := p.power(false)
	p.depth--
	return x, err
}

func (p *parser) binary(kind NodeKind, left, right *Node) *Node {
	p.steps++
	n := p.arena.node(kind)
	n.Pos, n.End, n.Args = left.Pos, right.End, p.arena.list([]*Node{left, right})
	return n
}

// node makes a node from folded offset start to here.
func (p *parser) node(kind NodeKind, start int, args ...*Node) *Node {
	p.steps++
	n := p.arena.node(kind)
	n.Pos, n.End = p.offsets.At(start), p.offsets.At(p.pos)
	if len(args) > 0 {
		n.Args = p.arena.list(args)
	}
	return n
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
