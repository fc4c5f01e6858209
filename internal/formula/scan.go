package formula

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// reserved words join conditions; they are no names.
func reserved(word string) bool { return word == "and" || word == "or" }

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
		switch c := p.s[p.pos]; {
		case c == ' ' || c == '\n' || c == '\r':
			p.pos++
		case c == "\u2009"[0] && p.at("\u2009"):
			p.pos += len("\u2009")
		default:
			return
		}
		p.steps++
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
	p.steps += n
	return rest[:n]
}

// foreignLetter finds a Greek capital that cannot be told from a Latin one: nobody types it on purpose.
func foreignLetter(word string) rune {
	for _, r := range word {
		if r >= utf8.RuneSelf && strings.ContainsRune("ΑΒΕΖΗΙΚΜΝΟΡΤΥΧο", r) {
			return r
		}
	}
	return 0
}

// superscriptNumber reads ² or ⁻¹² at the beginning of s: the number without its sign, and the bytes it takes.
func superscriptNumber(s string) (n quantity.Number, negative bool, size int) {
	if s == "" || s[0] < utf8.RuneSelf {
		return quantity.Number{}, false, 0
	}
	value, digits, at := 0, 0, 0
	for at < len(s) && digits < 2 {
		r, width := utf8.DecodeRuneInString(s[at:])
		if r == '⁻' && at == 0 {
			negative, at = true, width
			continue
		}
		d, ok := superscriptDigit(r)
		if !ok {
			break
		}
		value, digits, at = 10*value+d, digits+1, at+width
	}
	if digits == 0 {
		return quantity.Number{}, false, 0
	}
	num, _, err := quantity.ScanNumber(smallNumbers[value])
	return num, negative && err == nil, at
}

// smallNumbers are the numbers that two raised digits can state.
var smallNumbers = func() (texts [100]string) {
	for i := range texts {
		texts[i] = strconv.Itoa(i)
	}
	return texts
}()

func superscriptDigit(r rune) (int, bool) {
	switch r {
	case '¹':
		return 1, true
	case '²':
		return 2, true
	case '³':
		return 3, true
	case '⁰', '⁴', '⁵', '⁶', '⁷', '⁸', '⁹':
		return int(r - '⁰'), true
	}
	return 0, false
}

func vulgarFraction(r rune) bool {
	switch r {
	case '½', '¼', '¾', '⅓', '⅔', '⅛', '⅜', '⅝', '⅞', '⅕', '⅙':
		return true
	}
	return false
}
