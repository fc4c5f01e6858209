package formula

import (
	"errors"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// primary reads a number, a bracket, a root, a name or a call.
func (p *parser) primary(units bool) (*Node, error) {
	p.space()
	p.steps++
	start := p.pos
	if p.pos == len(p.s) {
		return nil, p.fail(p.pos, "Something is missing here: a number, a name or a bracket.")
	}
	r := rune(p.s[p.pos])
	if r >= utf8.RuneSelf {
		r, _ = utf8.DecodeRuneInString(p.s[p.pos:])
	}
	switch {
	case '0' <= r && r <= '9' || r == '.' || vulgarFraction(r):
		return p.number(units)
	case r == '(':
		return p.bracket(units)
	case nameStart(r):
		return p.name()
	case r == '√':
		p.pos += len("√")
		x, err := p.nested()
		if err != nil {
			return nil, err
		}
		return p.node(NodeRoot, start, x), nil
	}
	return nil, p.unexpected()
}

func (p *parser) bracket(units bool) (*Node, error) {
	open := p.pos
	p.pos++
	if err := p.enter(); err != nil {
		return nil, err
	}
	calls := p.calls
	p.calls, p.noFraction = 0, false
	x, err := p.sum()
	p.depth--
	p.calls = calls
	if err != nil {
		return nil, err
	}
	p.space()
	if !p.take(")") {
		if p.pos == len(p.s) {
			return nil, p.fail(open, "This bracket is not closed.")
		}
		return nil, p.unexpected()
	}
	if !units {
		return x, nil
	}
	return p.withUnit(x, open)
}

// withUnit gives a bracket or a power the unit that follows it, if one does.
func (p *parser) withUnit(x *Node, start int) (*Node, error) {
	u, size := p.unitAhead()
	if size == 0 {
		return x, nil
	}
	p.pos += size
	n := p.node(NodeUnit, start, x)
	n.Unit, n.HasUnit = u, true
	return n, nil
}

func (p *parser) number(units bool) (*Node, error) {
	start := p.pos
	text := p.s[p.pos:]
	if p.noFraction {
		text, _, _ = strings.Cut(text[:min(len(text), maxExponent)], "/")
		p.noFraction = false
	}
	num, size, err := quantity.ScanNumber(text)
	p.steps += size
	if err != nil {
		return nil, p.numberError(start, err)
	}
	typed := p.s[start : start+size]
	if p.calls > 0 {
		if comma := strings.IndexByte(typed, ','); comma >= 0 {
			return nil, p.twoReadings(start+comma, argumentComma)
		}
	}
	p.pos += size
	if err := p.count(start); err != nil {
		return nil, err
	}
	var unit quantity.Unit
	hasUnit := false
	if units && !p.at("^") {
		if u, size := p.unitAhead(); size > 0 {
			unit, hasUnit = u, true
			p.pos += size
		}
	}
	n := p.node(NodeNumber, start)
	n.Number, n.Unit, n.HasUnit = num, unit, hasUnit
	if n.slash = num.IsFraction() && strings.IndexByte(typed, '/') >= 0; n.slash && hasUnit && p.fraction == nil {
		p.fraction = n
	}
	return n, nil
}

// maxExponent is more than the text of any number: what is cut there is refused as too long.
const maxExponent = 128

const argumentComma = "This comma can be read two ways: put a space behind a comma between two values."

// numberError places what is wrong with the number at start.
func (p *parser) numberError(start int, err error) error {
	var e *quantity.Error
	if !errors.As(err, &e) {
		return err
	}
	at := p.offsets.At(start + e.Pos)
	message := e.Message
	if p.calls > 0 && errors.Is(e, quantity.ErrAmbiguous) {
		message = argumentComma
	}
	return &Error{Source: p.source, Pos: at, End: at, Message: message, Reason: e.Reason}
}

// name reads a name, π, or a call where a bracket follows.
func (p *parser) name() (*Node, error) {
	start := p.pos
	word := p.word()
	p.pos += len(word)
	if p.working && (word == "delta" || word == "Delta") && p.at(" ") {
		p.pos++
		if next := p.word(); next != "" {
			word = p.s[start : p.pos+len(next)] // delta T is one name
		}
		p.pos = start + len(word)
	}
	if reserved(word) {
		return nil, p.fail(start, "%q joins conditions and is no name.", word)
	}
	if len(word) > maxName {
		return nil, p.fail(start, "A name has at most %d bytes.", maxName)
	}
	if r := foreignLetter(word); r != 0 {
		return nil, p.fail(start+strings.IndexRune(word, r), "The letter %q looks like a Latin one and is another: type it again.", r)
	}
	if err := p.count(start); err != nil {
		return nil, err
	}
	word = p.kept(word, start)
	if word == "π" || word == "pi" {
		return p.node(NodePi, start), nil
	}
	if p.at("(") {
		return p.call(word, start)
	}
	n := p.node(NodeName, start)
	n.Name = word
	return n, nil
}

// kept gives a word that was read at start for a tree that outlives the parser: out of the text as typed where it stands
// there so. A Reader's trees do not outlive it.
func (p *parser) kept(word string, start int) string {
	if p.offsets == nil || p.working {
		return word
	}
	if typed := p.source[p.offsets.At(start):p.offsets.At(start+len(word))]; typed == word {
		return typed
	}
	return strings.Clone(word)
}

func (p *parser) call(name string, start int) (*Node, error) {
	open := p.pos
	p.pos++
	if err := p.enter(); err != nil {
		return nil, err
	}
	p.calls++
	p.noFraction = false
	first := len(p.pending)
	if p.pending == nil {
		p.pending = make([]*Node, 0, 16)
	}
	p.space()
	for !p.take(")") {
		if len(p.pending) > first && !p.take(",") {
			if p.pos == len(p.s) {
				return nil, p.fail(open, "This bracket is not closed.")
			}
			return nil, p.unexpected()
		}
		x, err := p.sum()
		if err != nil {
			return nil, err
		}
		p.pending = append(p.pending, x)
		p.space()
	}
	args := p.pending[first:]
	p.pending = p.pending[:first]
	p.depth--
	p.calls--
	if name == "sqrt" && len(args) == 1 {
		return p.node(NodeRoot, start, args[0]), nil
	}
	n := p.node(NodeCall, start, args...)
	n.Name = name
	return n, nil
}
