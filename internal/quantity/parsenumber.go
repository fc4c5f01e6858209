package quantity

import (
	"errors"
	"strings"
)

// ParseNumber reads a number as a person types it into an answer: with a sign, thousands groups (1,250 or 1 250), a
// power of ten (1.2×10^3, 1.2x10³, 1.2e3), a fraction (½, 1/2, 2½, 2 1/2), a bound (>200, <0.5, ≥, ≤) or OL.
//
// NaN, infinity, hexadecimal and underscores are not numbers. The error is an *Error with ErrEmpty, ErrAmbiguous (the
// tutor reads it), ErrNotNumber or ErrRange, and the byte position in text.
func ParseNumber(text string) (Number, error) {
	n, rest, err := leadingNumber(text)
	if err != nil {
		return Number{}, err
	}
	if rest.text != "" {
		return Number{}, &Error{Text: text, Pos: rest.pos, Reason: ErrNotNumber, Message: "Only a number is expected here; this does not belong to it."}
	}
	return n, nil
}

// remainder is what stands behind a number, trimmed, and where it began in the typed text.
type remainder struct {
	text string
	pos  int
}

// maxAnswerText bounds what is read at all as number and unit.
const maxAnswerText = 200

// leadingNumber reads sign, bound and number at the beginning of an answer.
func leadingNumber(text string) (Number, remainder, error) {
	if len(text) > maxAnswerText {
		return Number{}, remainder{}, &Error{Pos: 0, Reason: ErrRange, Message: "This is too long for a number: at most 200 characters are read."}
	}
	s, offsets := Fold(text)
	pos := skipSpace(s, 0)
	if nothing(s[pos:]) {
		return Number{}, remainder{}, &Error{Text: text, Pos: offsets.At(pos), Reason: ErrEmpty, Message: "No number is stated here."}
	}
	if size := overRange(s[pos:]); size > 0 {
		return Number{Bound: OverRange}, rest(s, offsets, pos+size), nil
	}
	bound, size := boundSign(s[pos:])
	pos = skipSpace(s, pos+size)
	neg := false
	if pos < len(s) && (s[pos] == '-' || s[pos] == '+') {
		neg = s[pos] == '-'
		pos = skipSpace(s, pos+1)
	}
	sc := numberScanner{s: s[pos:], spacesTo: spacedGroups(s[pos:])}
	n, err := sc.scan()
	if err != nil {
		return Number{}, remainder{}, moved(err, text, offsets, pos)
	}
	n, end := mixedWithSpace(n, s, pos+sc.pos)
	n.Bound, n.neg = bound, neg && n.n > 0 // −0 is 0
	n, end, err = powerOfTen(n, s, end)
	if err != nil {
		return Number{}, remainder{}, &Error{Text: text, Pos: offsets.At(end), Reason: ErrRange, Message: err.Error()}
	}
	if !n.inProportion() {
		return Number{}, remainder{}, &Error{Text: text, Pos: offsets.At(pos), Reason: ErrRange, Message: outOfProportion}
	}
	return n, rest(s, offsets, end), nil
}

// nothing reports whether s says in words that no number is stated.
func nothing(s string) bool {
	switch s = strings.TrimSpace(s); len(s) {
	case 0:
		return true
	case 1:
		return s == "-"
	case 2, 3, 4:
		return strings.EqualFold(s, "n/a") || strings.EqualFold(s, "na") || strings.EqualFold(s, "none") || strings.EqualFold(s, "nil")
	}
	return false
}

// moved gives the error of a reading that began at byte pos of the folded text, as one on the typed text.
func moved(err error, text string, offsets Offsets, pos int) error {
	var e *Error
	if !errors.As(err, &e) {
		return err
	}
	return &Error{Text: text, Pos: min(offsets.At(pos+e.Pos), len(text)), Reason: e.Reason, Message: e.Message}
}

func rest(s string, offsets Offsets, pos int) remainder {
	pos = skipSpace(s, pos)
	return remainder{strings.TrimRight(s[pos:], " "+thin), offsets.At(pos)}
}

// powerOfTen reads ×10^3 and ×10³ behind a number: the power shifts the value, the digits stay as stated.
// The second result is where it ends, or where it cannot be read.
func powerOfTen(n Number, s string, pos int) (Number, int, error) {
	p := skipSpace(s, pos)
	size := 0
	for _, mark := range [...]string{"×", "x", "X", "*", "·"} {
		if strings.HasPrefix(s[p:], mark) {
			size = len(mark)
		}
	}
	p = skipSpace(s, p+size)
	if size == 0 || !strings.HasPrefix(s[p:], "10") || digitAt(s, p+2) {
		return n, pos, nil
	}
	exp, size, err := exponent(s[p+2:], maxPower)
	if err != nil {
		return n, p + 2, err
	}
	if size == 0 { // 5 × 10 is a sum to work out, not a number
		return n, pos, nil
	}
	n.exp += int16(exp)
	return n, p + 2 + size, nil
}

// mixedWithSpace reads the fraction of "2 1/2" behind the integer.
func mixedWithSpace(n Number, s string, end int) (Number, int) {
	if n.den != 0 || n.exp != 0 || n.point || n.n > 3 || end >= len(s) || s[end] != ' ' {
		return n, end
	}
	p := skipSpace(s, end)
	if _, size := vulgar(s[p:]); size == 0 && !digitAt(s, p) {
		return n, end
	}
	f, size, err := ScanNumber(s[p:])
	if err != nil || f.den == 0 || f.n == 0 || f.Value() >= 1 || f.den > 64 {
		return n, end
	}
	return fractionNumber(n.top()*int(f.den)+f.top(), f.den), p + size
}

// spacedGroups gives the length of 1 250 000 at the beginning of s, where groups of three leave no other reading of the
// ordinary spaces; 0 where there is no such number.
func spacedGroups(s string) int {
	i := 0
	for digitAt(s, i) {
		i++
	}
	if i == 0 || i > 3 || s[0] == '0' {
		return 0
	}
	for i+3 < len(s) && s[i] == ' ' && digitAt(s, i+1) && digitAt(s, i+2) && digitAt(s, i+3) && !digitAt(s, i+4) {
		i += 4
	}
	if i < len(s) && s[i] == '/' {
		return 0
	}
	return i
}

func skipSpace(s string, i int) int {
	for i < len(s) {
		switch {
		case s[i] == ' ':
			i++
		case strings.HasPrefix(s[i:], thin):
			i += len(thin)
		default:
			return i
		}
	}
	return i
}

// overRange reads OL as instruments show it.
func overRange(s string) int {
	for _, w := range []string{"O.L.", "O.L", "O/L", "OL", "0L"} {
		if len(s) >= len(w) && strings.EqualFold(s[:len(w)], w) {
			if rest := s[len(w):]; rest == "" || rest[0] == ' ' || strings.HasPrefix(rest, thin) {
				if w == "0L" && s[:2] != "0L" || w == "0L" && strings.TrimSpace(rest) == "" {
					continue // 0 L is zero litres
				}
				return len(w)
			}
		}
	}
	return 0
}

func boundSign(s string) (Bound, int) {
	for _, b := range []struct {
		sign  string
		bound Bound
	}{{">=", AtLeast}, {"<=", AtMost}, {"≥", AtLeast}, {"≤", AtMost}, {">", Above}, {"<", Below}} {
		if strings.HasPrefix(s, b.sign) {
			return b.bound, len(b.sign)
		}
	}
	return Exactly, 0
}
