package formula

import (
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// maxUnitAhead bounds how far a unit is looked for behind a number.
const maxUnitAhead = 64

// unitAhead finds the longest unit that stands here, after at most one space, and gives the bytes up to its end. The
// text of a unit has no spaces but before net and gross; it ends where no letter, digit or exponent follows.
func (p *parser) unitAhead() (quantity.Unit, int) {
	rest := p.s[p.pos:]
	skip := 0
	switch {
	case strings.HasPrefix(rest, " "):
		skip = 1
	case strings.HasPrefix(rest, "\u2009"):
		skip = len("\u2009")
	}
	rest = rest[skip:]
	if rest == "" || rest[0] < utf8.RuneSelf && !quantity.IsUnitLetter(rune(rest[0])) {
		return quantity.One, 0
	}
	var ends unitEnds
	ends.find(rest[:min(len(rest), maxUnitAhead)])
	for i := ends.n - 1; i >= 0; i-- {
		size := int(ends.at[i])
		p.steps += size
		e := p.units.find(rest[:size], p.working)
		switch {
		case e.exact:
			return e.unit, skip + size
		case e.anyCase:
			p.notes = append(p.notes, quantity.NoteCase.String())
			return e.unit, skip + size
		}
	}
	return quantity.One, 0
}

// unitCache remembers how texts behind the numbers of working were read as units: it repeats the same few. Nil remembers
// nothing.
type unitCache map[string]unitEntry

// unitEntry says what a text is: a unit as it stands, one in another letter case, or none.
type unitEntry struct {
	unit           quantity.Unit
	exact, anyCase bool
}

// maxCachedUnits bounds what is remembered.
const maxCachedUnits = 512

func (c unitCache) find(text string, anyCase bool) unitEntry {
	if e, ok := c[text]; ok {
		return e
	}
	var e unitEntry
	if u, err := quantity.ParseUnit(text); err == nil {
		e = unitEntry{unit: u, exact: u.String() != ""}
	} else if anyCase && len(text) > 1 {
		u, err := quantity.ParseUnitAnyCase(text)
		e = unitEntry{unit: u, anyCase: err == nil}
	}
	if c != nil {
		if len(c) >= maxCachedUnits {
			clear(c)
		}
		c[strings.Clone(text)] = e
	}
	return e
}

// unitEnds are the places where a unit that begins a text may end.
type unitEnds struct {
	at [maxUnitAhead + 1]uint8
	n  int
}

func (e *unitEnds) add(i int) {
	if i > 0 {
		e.at[e.n] = uint8(i)
		e.n++
	}
}

// scaleEnd is where “net” or “gross” ends that stands behind a unit's end at i, after a space; 0 where none does.
func scaleEnd(s string, i int) int {
	for _, scale := range [...]string{" net", " gross"} {
		if rest, ok := strings.CutPrefix(s[i:], scale); ok {
			if next, _ := utf8.DecodeRuneInString(rest); rest == "" || !nameRune(next) {
				return i + len(scale)
			}
		}
	}
	return 0
}

func (e *unitEnds) find(s string) {
	i, afterLetter := 0, false
	for i < len(s) {
		if c := s[i] | 0x20; 'a' <= c && c <= 'z' {
			afterLetter = true
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		_, raised := superscriptDigit(r)
		switch {
		case quantity.IsUnitLetter(r) && r != '"':
			afterLetter = true
			i += size
		case afterLetter && ('0' <= r && r <= '9' || raised || r == '⁻'):
			i += size
		case afterLetter && r == '^':
			n := hatExponent(s[i:])
			if n == 0 {
				e.add(i)
				return
			}
			i += n
		case afterLetter && (r == '/' || r == '·' || r == '.'):
			e.add(i)
			next, _ := utf8.DecodeRuneInString(s[i+size:])
			if next != '(' && (!quantity.IsUnitLetter(next) || next == '"') {
				return
			}
			i += size
			if next == '(' {
				n := bracketEnd(s[i:])
				if n == 0 {
					return
				}
				i += n
			}
		case afterLetter && r == '(':
			e.add(i)
			if n := bracketEnd(s[i:]); n > 0 && n <= len("(gauge)") { // bar(g), K(abs)
				e.add(i + n)
			}
			return
		default:
			if !nameRune(r) {
				e.add(i)
				e.add(scaleEnd(s, i))
			}
			return
		}
	}
	e.add(i)
}

// hatExponent gives the length of ^2 or ^-2.
func hatExponent(s string) int {
	n := 1
	if n < len(s) && s[n] == '-' {
		n++
	}
	digits := n
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	if n == digits {
		return 0
	}
	return n
}

// bracketEnd gives the length of a bracket without inner spaces or brackets.
func bracketEnd(s string) int {
	n := strings.IndexByte(s, ')')
	if n < 0 || strings.ContainsAny(s[1:n], "( \u2009") {
		return 0
	}
	return n + 1
}
