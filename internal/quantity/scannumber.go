package quantity

import (
	"math"
	"strings"
	"unicode/utf8"
)

// ScanNumber reads the unsigned number at the beginning of s, which must be folded text (see Fold), and gives how many
// bytes it takes. It knows digits with one decimal point, thousands in groups of three set off by commas or thin spaces,
// e3 powers, the fractions ½ ¼ ¾ ⅓ ⅔ ⅛ ⅜ ⅝ ⅞ (also after an integer: 2½) and 1/2 without spaces.
//
// The error is an *Error whose Text is s: ErrAmbiguous at a comma that groups no thousands, ErrRange, ErrNotNumber.
// Nothing of ScanNumber depends on what follows the number, except that e is a power only before a digit or sign.
func ScanNumber(s string) (Number, int, error) {
	if n, size, ok := scanPlain(s); ok {
		return n, size, nil
	}
	sc := numberScanner{s: s}
	n, err := sc.scan()
	if err != nil {
		return Number{}, 0, err
	}
	return n, sc.pos, nil
}

const (
	outOfProportion = "This number is out of all proportion: between 1e-30 and 1e30 is taken."
	// largestPower is that of ten in MaxMagnitude.
	largestPower = 30
	// maxPower bounds the power of ten behind a number.
	maxPower = 99
)

// inProportion reports whether the absolute value is 0 or lies within MaxMagnitude and its inverse.
func (n Number) inProportion() bool {
	if n.den != 0 || n.n == 0 {
		n.neg = false
		return n.n == 0 || n.Value() <= MaxMagnitude && n.Value() >= 1/MaxMagnitude
	}
	switch m := int(n.n) + int(n.exp); m { // the value is 0.digits × 10^m
	case largestPower + 1:
		return n.digits[0] == '1' && strings.Trim(string(n.digits[1:n.n]), "0") == ""
	default:
		return m >= 1-largestPower && m <= largestPower
	}
}

type numberScanner struct {
	s        string
	pos      int
	num      Number
	spacesTo int // up to here an ordinary space, too, stands between thousands
}

func (sc *numberScanner) fail(pos int, reason error, message string) error {
	return &Error{Text: sc.s, Pos: pos, Reason: reason, Message: message}
}

func (sc *numberScanner) scan() (Number, error) {
	if f, size := vulgar(sc.s); size > 0 {
		sc.pos = size
		return f, nil
	}
	whole, err := sc.integer()
	if err != nil {
		return Number{}, err
	}
	if f, size := vulgar(sc.s[sc.pos:]); size > 0 && whole > 0 {
		return sc.mixed(f, size)
	}
	frac := 0
	if sc.at('.') && (digitAt(sc.s, sc.pos+1) || whole > 0 && !sc.letterAt(sc.pos+1)) {
		sc.pos++
		sc.num.point = true
		for ; digitAt(sc.s, sc.pos); sc.pos++ {
			frac++
			if err := sc.push(sc.s[sc.pos]); err != nil {
				return Number{}, err
			}
		}
		sc.num.exp, sc.num.places = int16(-frac), int8(frac)
		sc.num.point = frac > 0
	}
	if whole+frac == 0 {
		return Number{}, sc.fail(sc.pos, ErrNotNumber, stray(sc.s[sc.pos:]))
	}
	if err := sc.afterDigits(whole, frac); err != nil {
		return Number{}, err
	}
	if err := sc.power(); err != nil {
		return Number{}, err
	}
	if err := sc.slash(whole, frac); err != nil {
		return Number{}, err
	}
	if !sc.num.inProportion() {
		return Number{}, sc.fail(0, ErrRange, outOfProportion)
	}
	return sc.num, nil
}

// integer reads digits with groups and counts them.
func (sc *numberScanner) integer() (digits int, err error) {
	start := sc.pos
	for digitAt(sc.s, sc.pos) {
		if err := sc.push(sc.s[sc.pos]); err != nil {
			return 0, err
		}
		sc.pos++
	}
	digits = sc.pos - start
	if digits == 0 || digits > 3 || sc.s[start] == '0' {
		return digits, nil
	}
	comma, first := false, true
	for {
		c, size := sc.groupMark()
		p := sc.pos + size
		if size == 0 || c != comma && !first || !digitAt(sc.s, p) || !digitAt(sc.s, p+1) || !digitAt(sc.s, p+2) || digitAt(sc.s, p+3) {
			return digits, nil
		}
		comma, first = c, false
		for i := range 3 {
			if err := sc.push(sc.s[p+i]); err != nil {
				return 0, err
			}
		}
		sc.pos, digits = p+3, digits+3
	}
}

// groupMark gives the bytes of the mark between thousands at pos, and whether it is a comma.
func (sc *numberScanner) groupMark() (comma bool, size int) {
	switch {
	case sc.at(','):
		return true, 1
	case sc.at(' ') && sc.pos < sc.spacesTo:
		return false, 1
	case strings.HasPrefix(sc.s[sc.pos:], thin):
		return false, len(thin)
	}
	return false, 0
}

// push appends one digit to the coefficient; leading zeros do not count.
func (sc *numberScanner) push(d byte) error {
	if sc.pos >= maxNumberText || sc.pos == maxNumberText-1 && sc.s[0] == '.' { // printed, a 0 stands before the point
		return sc.fail(sc.pos, ErrRange, "This number is too long: at most 64 characters are taken.")
	}
	if sc.num.n == 0 && d == '0' {
		return nil
	}
	if sc.num.n == maxDigits {
		return sc.fail(sc.pos, ErrRange, "This number has too many digits: at most 24 are taken.")
	}
	sc.num.digits[sc.num.n] = d
	sc.num.n++
	return nil
}

// afterDigits refuses what may not follow: a comma that groups nothing, a second point, an underscore, 0x.
func (sc *numberScanner) afterDigits(whole, frac int) error {
	switch {
	case sc.at(',') && sc.num.point && digitAt(sc.s, sc.pos+1):
		return sc.fail(sc.pos, ErrNotNumber, "A comma stands after the decimal point here: write the number with one point.")
	case sc.at(',') && digitAt(sc.s, sc.pos+1) && whole > 0:
		return sc.fail(sc.pos, ErrAmbiguous, "There is a comma here: for decimals write a point; thousands need groups of three.")
	case sc.at(',') && whole > 0 && strings.TrimSpace(sc.s[sc.pos+1:]) == "":
		return sc.fail(sc.pos, ErrAmbiguous, "The number ends in a comma: write a point and the rest, or leave it out.")
	case sc.at('.') && (frac > 0 || sc.pos > 0 && sc.s[sc.pos-1] == '.'):
		return sc.fail(sc.pos, ErrNotNumber, "There is a second point in this number.")
	case sc.at('_'):
		return sc.fail(sc.pos, ErrNotNumber, "An underscore does not belong into a number.")
	case whole == 1 && sc.num.n == 0 && (sc.at('x') || sc.at('X')) && hexAt(sc.s, sc.pos+1):
		return sc.fail(sc.pos, ErrNotNumber, "Write the number with decimal digits; put a space before and after a times sign.")
	}
	return nil
}

// power reads e3, E-3; an e before anything else belongs to what follows.
func (sc *numberScanner) power() error {
	if !sc.at('e') && !sc.at('E') {
		return nil
	}
	p, neg := sc.pos+1, false
	if p < len(sc.s) && (sc.s[p] == '-' || sc.s[p] == '+') {
		neg = sc.s[p] == '-'
		p++
	}
	first, value := p, 0
	for ; digitAt(sc.s, p); p++ {
		if p-first == 2 {
			return sc.fail(sc.pos, ErrRange, "A power of ten has at most two digits.")
		}
		value = value*10 + int(sc.s[p]-'0')
	}
	if p == first {
		return nil
	}
	if neg {
		value = -value
	}
	sc.num.exp += int16(value)
	sc.pos = p
	return nil
}

// slash reads the rest of a fraction between two plain integers without spaces.
func (sc *numberScanner) slash(whole, frac int) error {
	if !sc.at('/') || frac > 0 || sc.num.point || sc.num.exp != 0 || whole > 6 || !digitAt(sc.s, sc.pos+1) {
		return nil
	}
	p, den := sc.pos+1, uint32(0)
	for ; digitAt(sc.s, p) && p-sc.pos <= 6; p++ {
		den = den*10 + uint32(sc.s[p]-'0')
	}
	if digitAt(sc.s, p) || p < len(sc.s) && (sc.s[p] == '.' || sc.s[p] == ',' || sc.s[p] == 'e' || sc.s[p] == '/' || sc.s[p] == '^') || superscriptAt(sc.s[p:]) {
		return nil // an ordinary division
	}
	if den == 0 {
		return sc.fail(sc.pos+1, ErrRange, "This fraction divides by zero.")
	}
	sc.num.den, sc.pos = den, p
	return nil
}

// mixed reads 2½ as 5/2.
func (sc *numberScanner) mixed(f Number, size int) (Number, error) {
	if sc.num.n > 3 {
		return Number{}, sc.fail(sc.pos, ErrRange, "This mixed number is too large.")
	}
	sc.pos += size
	return fractionNumber(sc.num.top()*int(f.den)+f.top(), f.den), nil
}

// top is the numerator of a fraction without a power of ten.
func (n Number) top() int {
	top := 0
	for _, d := range n.digits[:n.n] {
		top = top*10 + int(d-'0')
	}
	return top
}

// fractionNumber gives top/den.
func fractionNumber(top int, den uint32) Number {
	var n Number
	for div := int(math.Pow10(9)); div > 0; div /= 10 {
		d := byte('0' + top/div%10)
		if n.n > 0 || d != '0' {
			n.digits[n.n] = d
			n.n++
		}
	}
	n.den = den
	return n
}

// vulgar reads one fraction character.
func vulgar(s string) (Number, int) {
	if s == "" || s[0] < utf8.RuneSelf {
		return Number{}, 0
	}
	for _, v := range vulgars {
		if strings.HasPrefix(s, v.text) {
			return fractionNumber(v.top, v.den), len(v.text)
		}
	}
	return Number{}, 0
}

var vulgars = []struct {
	text string
	top  int
	den  uint32
}{
	{"½", 1, 2}, {"¼", 1, 4}, {"¾", 3, 4}, {"⅓", 1, 3}, {"⅔", 2, 3},
	{"⅛", 1, 8}, {"⅜", 3, 8}, {"⅝", 5, 8}, {"⅞", 7, 8}, {"⅕", 1, 5}, {"⅙", 1, 6},
}

func (sc *numberScanner) at(c byte) bool { return sc.pos < len(sc.s) && sc.s[sc.pos] == c }

func (sc *numberScanner) letterAt(i int) bool {
	return i < len(sc.s) && (sc.s[i]|0x20 >= 'a' && sc.s[i]|0x20 <= 'z' || sc.s[i] >= 0x80)
}

func digitAt(s string, i int) bool { return i < len(s) && s[i] >= '0' && s[i] <= '9' }

func hexAt(s string, i int) bool {
	return digitAt(s, i) || i < len(s) && s[i]|0x20 >= 'a' && s[i]|0x20 <= 'f'
}

func superscriptAt(s string) bool {
	for _, r := range s {
		return r == '⁻' || superscriptDigit(r) >= 0
	}
	return false
}
