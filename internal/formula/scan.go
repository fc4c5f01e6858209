package formula

import (
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// reserved words join conditions; they are no names.
var reserved = map[string]bool{"and": true, "or": true}

func (p *parser) at(s string) bool { return strings.HasPrefix(p.s[p.pos:], s) }

func (p *parser) take(s string) bool {
	if !p.at(s) {
		return false
	}
	p.pos += len(s)
	return true
}

func (p *parser) space() {
	for p.pos < len(p.s) {
		switch {
		case p.s[p.pos] == ' ' || p.s[p.pos] == '\n' || p.s[p.pos] == '\r':
			p.pos++
		case p.at("\u2009"):
			p.pos += len("\u2009")
		default:
			return
		}
	}
}

// nameStart reports whether a name may begin with r: Latin and Greek letters.
func nameStart(r rune) bool {
	return 'a' <= r && r <= 'z' || 'A' <= r && r <= 'Z' || 'α' <= r && r <= 'ω' || 'Α' <= r && r <= 'Ω'
}

// nameRune reports whether a name may go on with r.
func nameRune(r rune) bool {
	return nameStart(r) || '0' <= r && r <= '9' || r == '_' || r == '′'
}

// word gives the name that begins at pos, or "".
func (p *parser) word() string {
	rest := p.s[p.pos:]
	n := 0
	for n < len(rest) {
		r, size := utf8.DecodeRuneInString(rest[n:])
		if n == 0 && !nameStart(r) || !nameRune(r) {
			break
		}
		n += size
		if r == 'π' && n == size {
			break // π stands alone, so that πd² is π × d²
		}
	}
	return rest[:n]
}

// foreignLetter finds a Greek capital that cannot be told from a Latin one: nobody types it on purpose.
func foreignLetter(word string) rune {
	for _, r := range word {
		if strings.ContainsRune("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", r) {
			return r
		}
	}
	return 0
}

// maxUnitAhead bounds how far a unit is looked for behind a number.
const maxUnitAhead = 64

// unitAhead finds the longest unit that stands here, after at most one space, and gives the bytes up to its end. The
// text of a unit has no spaces; it ends where no letter, digit or exponent follows.
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
	ends := unitEnds(rest[:min(len(rest), maxUnitAhead)])
	for i := len(ends) - 1; i >= 0; i-- {
		text := rest[:ends[i]]
		if u, err := quantity.ParseUnit(text); err == nil && u.String() != "" {
			return u, skip + ends[i]
		}
		if !p.working || ends[i] < 2 {
			continue
		}
		if u, err := quantity.ParseUnitAnyCase(text); err == nil {
			p.notes = append(p.notes, quantity.NoteCase.String())
			return u, skip + ends[i]
		}
	}
	return quantity.One, 0
}

// unitEnds lists where a unit that begins s may end.
func unitEnds(s string) []int {
	var ends []int
	i, afterLetter := 0, false
	for i < len(s) {
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case quantity.IsUnitLetter(r) && r != '"':
			afterLetter = true
			i += size
		case afterLetter && ('0' <= r && r <= '9' || strings.ContainsRune("⁰¹²³⁴⁵⁶⁷⁸⁹⁻", r)):
			i += size
		case afterLetter && r == '^':
			n := hatExponent(s[i:])
			if n == 0 {
				return append(ends, i)
			}
			i += n
		case afterLetter && (r == '/' || r == '·' || r == '.'):
			next, _ := utf8.DecodeRuneInString(s[i+size:])
			ends = append(ends, i)
			if next != '(' && (!quantity.IsUnitLetter(next) || next == '"') {
				return ends
			}
			i += size
			if next == '(' {
				n := bracketEnd(s[i:])
				if n == 0 {
					return ends
				}
				i += n
			}
		case afterLetter && r == '(':
			ends = append(ends, i)
			n := bracketEnd(s[i:]) // bar(g), K(abs)
			if n == 0 || n > len("(gauge)") {
				return ends
			}
			return append(ends, i+n)
		default:
			if i > 0 && !nameRune(r) {
				ends = append(ends, i)
			}
			return ends
		}
	}
	if i > 0 {
		ends = append(ends, i)
	}
	return ends
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

// superscriptNumber reads ² or ⁻¹² at the beginning of s: the number without its sign, and the bytes it takes.
func superscriptNumber(s string) (n quantity.Number, negative bool, size int) {
	var plain []byte
	at := 0
	for at < len(s) {
		r, width := utf8.DecodeRuneInString(s[at:])
		if r == '⁻' && at == 0 {
			at += width
			continue
		}
		d := strings.IndexRune("⁰¹²³⁴⁵⁶⁷⁸⁹", r)
		if d < 0 || len(plain) == 2 {
			break
		}
		plain = append(plain, byte('0'+superscriptValue(r)))
		at += width
	}
	if len(plain) == 0 {
		return quantity.Number{}, false, 0
	}
	num, _, err := quantity.ScanNumber(string(plain))
	if err != nil {
		return quantity.Number{}, false, 0
	}
	return num, strings.HasPrefix(s, "⁻"), at
}

func superscriptValue(r rune) int {
	for i, d := range []rune("⁰¹²³⁴⁵⁶⁷⁸⁹") {
		if d == r {
			return i
		}
	}
	return 0
}

// unexpected explains the character at pos.
func (p *parser) unexpected() error {
	r, _ := utf8.DecodeRuneInString(p.s[p.pos:])
	switch {
	case p.at("**"):
		return p.fail(p.pos, "Write a power with ^, as in d^2.")
	case r == '<' || r == '>' || r == '≤' || r == '≥' || r == '=':
		return p.fail(p.pos, "A formula has no comparison: %q belongs into a condition.", r)
	case r == '(':
		return p.fail(p.pos, "A sign is missing here: write × before the bracket; a function's bracket follows its name without a space.")
	case r == ')':
		return p.fail(p.pos, "This bracket closes nothing.")
	case r == ',':
		return p.fail(p.pos, "A comma separates values only inside a function's brackets; for decimals write a point.")
	case strings.ContainsRune("!;|&[]{}\"′:?\\$#@~`", r):
		return p.fail(p.pos, "The character %q is not part of the notation.", r)
	case invisible(r):
		return p.fail(p.pos, "There is an invisible character here (U+%04X): delete it and type on.", r)
	case nameStart(r) || '0' <= r && r <= '9':
		return p.fail(p.pos, "A sign is missing here: write ×, /, + or − between the two.")
	case strings.ContainsRune("+-×·*/÷^", r):
		return p.fail(p.pos, "A number, a name or a bracket is expected before %q.", r)
	}
	return p.fail(p.pos, "The character %q is not part of the notation.", r)
}

func invisible(r rune) bool {
	return r < ' ' || r == 0x7f || 0x200b <= r && r <= 0x200f || 0x202a <= r && r <= 0x202e || 0x2060 <= r && r <= 0x206f || r == 0xfeff
}
