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
	fail := func(pos int, reason error, message string) (Number, remainder, error) {
		return Number{}, remainder{}, &Error{Text: text, Pos: offsets.At(pos), Reason: reason, Message: message}
	}
	pos := skipSpace(s, 0)
	switch w := strings.ToLower(strings.TrimSpace(s[pos:])); w {
	case "", "-", "n/a", "na", "none", "nil":
		return fail(pos, ErrEmpty, "No number is stated here.")
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
	n, size, err := ScanNumber(joinGroups(s[pos:]))
	var e *Error
	if errors.As(err, &e) {
		return fail(pos+unjoined(s[pos:], e.Pos), e.Reason, e.Message)
	}
	if err != nil {
		return Number{}, remainder{}, err
	}
	end := pos + unjoined(s[pos:], size)
	n, end = mixedWithSpace(n, s, end)
	n.Bound, n.neg = bound, neg
	return powerOfTen(n, s, end, offsets, fail)
}

func rest(s string, offsets Offsets, pos int) remainder {
	pos = skipSpace(s, pos)
	return remainder{strings.TrimRight(s[pos:], " "+thin), offsets.At(pos)}
}

// powerOfTen reads ×10^3 and ×10³ behind a number: the power shifts the value, the digits stay as stated.
func powerOfTen(n Number, s string, pos int, offsets Offsets, fail func(int, error, string) (Number, remainder, error)) (Number, remainder, error) {
	p := skipSpace(s, pos)
	var size int
	for _, mark := range []string{"×", "x", "X", "*", "·"} {
		if strings.HasPrefix(s[p:], mark) {
			size = len(mark)
		}
	}
	p = skipSpace(s, p+size)
	if size == 0 || !strings.HasPrefix(s[p:], "10") {
		return n, rest(s, offsets, pos), nil
	}
	up := unitParser{s: s[p+2:]}
	exp, err := up.exponent()
	if err != nil || up.pos == 0 || digitAt(s, p+2) {
		return n, rest(s, offsets, pos), nil
	}
	n.exp += int16(exp)
	if v := n.Value(); v > MaxMagnitude || v < -MaxMagnitude {
		return fail(pos, ErrRange, "This number is out of all proportion: between 1e-30 and 1e30 is taken.")
	}
	return n, rest(s, offsets, p+2+up.pos), nil
}

// mixedWithSpace reads the fraction of "2 1/2" behind the integer.
func mixedWithSpace(n Number, s string, end int) (Number, int) {
	if n.den != 0 || n.exp != 0 || n.point || n.n > 3 || end >= len(s) || s[end] != ' ' {
		return n, end
	}
	p := skipSpace(s, end)
	f, size, err := ScanNumber(s[p:])
	if err != nil || f.den == 0 || f.n == 0 || f.Value() >= 1 || f.den > 64 {
		return n, end
	}
	top := int(n.Value())*int(f.den) + int(f.Value()*float64(f.den)+0.5)
	return fractionNumber(top, f.den), p + size
}

// joinGroups writes thin spaces for the ordinary spaces of 1 250 000, where groups of three leave no other reading.
func joinGroups(s string) string {
	i := 0
	for digitAt(s, i) {
		i++
	}
	if i == 0 || i > 3 || s[0] == '0' {
		return s
	}
	j := i
	for j+3 < len(s) && s[j] == ' ' && digitAt(s, j+1) && digitAt(s, j+2) && digitAt(s, j+3) && !digitAt(s, j+4) {
		j += 4
	}
	if j < len(s) && s[j] == '/' {
		return s
	}
	return strings.ReplaceAll(s[:j], " ", thin) + s[j:]
}

// unjoined turns a size in joinGroups(s) back into one in s.
func unjoined(s string, size int) int {
	joined := joinGroups(s)
	grown := len(joined) - len(s)
	if grown == 0 {
		return size
	}
	return size - min(grown, (len(thin)-1)*strings.Count(joined[:size], thin))
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
