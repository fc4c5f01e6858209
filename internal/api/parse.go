package api

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"
)

// Limits on a body's text (our own values). The reading of a body costs some ten times its size at most.
const (
	deepest    = 32
	mostValues = 20_000
)

// form is a kind of JSON value.
type form byte

// The forms, as RFC 8259 names them.
const (
	object form = iota
	array
	text
	number
	boolean
	null
)

// words is the form as people read it.
func (f form) words() string {
	return [...]string{"an object", "an array", "a text", "a number", "true or false", "null"}[f]
}

// node is one JSON value: text holds a text's characters, a number's digits, or "true".
type node struct {
	form    form
	text    string
	members []member
	items   []node
}

type member struct {
	name  string
	value node
}

// unread says why a text is not taken as JSON; at counts bytes from 0.
type unread struct {
	at     int
	detail string
}

func (u *unread) Error() string { return fmt.Sprintf("Byte %d: %s", u.at+1, u.detail) }

// parse reads exactly one JSON value (RFC 8259), more strictly than most readers: no member twice (nor in another case), no
// lone surrogates, no NUL, no broken UTF-8, nothing after the value, at most deepest levels and mostValues values.
func parse(b []byte) (node, error) {
	if !utf8.Valid(b) {
		at := 0
		for at < len(b) {
			r, n := utf8.DecodeRune(b[at:])
			if r == utf8.RuneError && n == 1 {
				break
			}
			at += n
		}
		return node{}, &unread{at, "this is not UTF-8."}
	}
	p := &scanner{b: b}
	n, err := p.value(0)
	if err != nil {
		return node{}, err
	}
	p.space()
	if p.at < len(b) {
		return node{}, p.say("something stands after the end of the value.")
	}
	return n, nil
}

type scanner struct {
	b      []byte
	at     int
	values int
}

func (p *scanner) say(format string, args ...any) error {
	return &unread{p.at, fmt.Sprintf(format, args...)}
}

func (p *scanner) space() {
	for p.at < len(p.b) && strings.IndexByte(" \t\r\n", p.b[p.at]) >= 0 {
		p.at++
	}
}

// next skips space and gives the byte there, 0 at the end: no value starts with 0.
func (p *scanner) next() byte {
	p.space()
	if p.at == len(p.b) {
		return 0
	}
	return p.b[p.at]
}

// value reads the value that starts here, depth levels down.
func (p *scanner) value(depth int) (node, error) {
	if p.values++; p.values > mostValues {
		return node{}, p.say("there are more than %d values.", mostValues)
	}
	c := p.next()
	if (c == '{' || c == '[') && depth == deepest {
		return node{}, p.say("the value is nested more than %d levels deep.", deepest)
	}
	switch {
	case c == '{':
		return p.object(depth + 1)
	case c == '[':
		return p.array(depth + 1)
	case c == '"':
		s, err := p.text()
		return node{form: text, text: s}, err
	case c == '-' || c >= '0' && c <= '9':
		return p.number()
	case p.at == len(p.b):
		return node{}, p.say("the text ends where a value should stand.")
	}
	for word, f := range map[string]form{"true": boolean, "false": boolean, "null": null} {
		if strings.HasPrefix(string(p.b[p.at:min(p.at+len(word), len(p.b))]), word) {
			p.at += len(word)
			return node{form: f, text: word}, nil
		}
	}
	return node{}, p.say("this starts no JSON value.")
}

func (p *scanner) object(depth int) (node, error) {
	n := node{form: object}
	seen := map[string]bool{}
	p.at++
	if p.next() == '}' {
		p.at++
		return n, nil
	}
	for {
		if p.next() != '"' {
			return node{}, p.say("a member's name in double quotes should stand here.")
		}
		at := p.at
		name, err := p.text()
		if err != nil {
			return node{}, err
		}
		if folded := strings.ToLower(name); seen[folded] {
			p.at = at
			return node{}, p.say("the member %s stands here a second time.", quoted(name))
		} else {
			seen[folded] = true
		}
		if p.next() != ':' {
			return node{}, p.say("a colon should stand here.")
		}
		p.at++
		v, err := p.value(depth)
		if err != nil {
			return node{}, err
		}
		n.members = append(n.members, member{name, v})
		switch p.next() {
		case ',':
			p.at++
		case '}':
			p.at++
			return n, nil
		default:
			return node{}, p.say("a comma or the object's end should stand here.")
		}
	}
}

func (p *scanner) array(depth int) (node, error) {
	n := node{form: array}
	p.at++
	if p.next() == ']' {
		p.at++
		return n, nil
	}
	for {
		v, err := p.value(depth)
		if err != nil {
			return node{}, err
		}
		n.items = append(n.items, v)
		switch p.next() {
		case ',':
			p.at++
		case ']':
			p.at++
			return n, nil
		default:
			return node{}, p.say("a comma or the array's end should stand here.")
		}
	}
}

// number reads a number's characters: RFC 8259, section 6.
func (p *scanner) number() (node, error) {
	start := p.at
	digits := func() bool {
		from := p.at
		for p.at < len(p.b) && p.b[p.at] >= '0' && p.b[p.at] <= '9' {
			p.at++
		}
		return p.at > from
	}
	has := func(chars string) bool {
		if p.at < len(p.b) && strings.IndexByte(chars, p.b[p.at]) >= 0 {
			p.at++
			return true
		}
		return false
	}
	has("-")
	whole := has("0") || digits()
	if whole && has(".") {
		whole = digits()
	}
	if whole && has("eE") {
		has("+-")
		whole = digits()
	}
	if !whole {
		return node{}, p.say("the number breaks off here.")
	}
	return node{form: number, text: string(p.b[start:p.at])}, nil
}

// text reads a string and gives its characters.
func (p *scanner) text() (string, error) {
	p.at++
	start := p.at
	for p.at < len(p.b) { // most texts have no escape and need no copying
		switch c := p.b[p.at]; {
		case c == '"':
			p.at++
			return string(p.b[start : p.at-1]), nil
		case c == '\\':
			return p.escaped(start)
		case c < 0x20:
			return "", p.say("a control character must be written as an escape.")
		}
		p.at++
	}
	return "", p.say("the text ends inside double quotes.")
}

// escaped reads the rest of a string that has an escape here.
func (p *scanner) escaped(start int) (string, error) {
	out := append([]byte{}, p.b[start:p.at]...)
	for p.at < len(p.b) {
		switch c := p.b[p.at]; {
		case c == '"':
			p.at++
			return string(out), nil
		case c < 0x20:
			return "", p.say("a control character must be written as an escape.")
		case c == '\\':
			r, err := p.escape()
			if err != nil {
				return "", err
			}
			out = utf8.AppendRune(out, r)
		default:
			out = append(out, c)
			p.at++
		}
	}
	return "", p.say("the text ends inside double quotes.")
}

// escape reads one escape, or two that make a surrogate pair.
func (p *scanner) escape() (rune, error) {
	if p.at+1 < len(p.b) {
		if i := strings.IndexByte(`"\/bfnrt`, p.b[p.at+1]); i >= 0 {
			p.at += 2
			return rune("\"\\/\b\f\n\r\t"[i]), nil
		}
	}
	r, ok := p.unicode(p.at)
	switch {
	case !ok:
		return 0, p.say("this escape is not known to JSON.")
	case r == 0:
		return 0, p.say("the character NUL cannot be kept.")
	case r < 0xD800 || r > 0xDFFF:
		p.at += 6
		return r, nil
	}
	low, ok := p.unicode(p.at + 6)
	if r > 0xDBFF || !ok || low < 0xDC00 || low > 0xDFFF {
		return 0, p.say("half a surrogate pair stands here alone.")
	}
	p.at += 12
	return (r-0xD800)<<10 | (low - 0xDC00) + 0x10000, nil
}

// unicode reads \uXXXX at a place.
func (p *scanner) unicode(at int) (rune, bool) {
	if at+6 > len(p.b) || p.b[at] != '\\' || p.b[at+1] != 'u' {
		return 0, false
	}
	n, err := strconv.ParseUint(string(p.b[at+2:at+6]), 16, 16)
	return rune(n), err == nil && n <= math.MaxUint16
}

// quoted is a name from outside in quotation marks, cut short.
func quoted(s string) string {
	if rs := []rune(s); len(rs) > 40 {
		s = string(rs[:40]) + "…"
	}
	return strconv.Quote(s)
}
