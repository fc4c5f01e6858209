package quantity

import (
	"slices"
	"unicode/utf8"
)

// AppendFold appends Fold(s) to dst and where each of its bytes came from to at; both may be empty slices with room from
// an earlier line, so that reading many lines allocates nothing. Where folding changes nothing it gives ok = false and
// appends nothing: s itself is the folded text.
func AppendFold(dst []byte, at Offsets, s string) (folded []byte, offsets Offsets, ok bool) {
	first := firstFolded(s)
	if first == len(s) {
		return dst, at, false
	}
	dst, at = slices.Grow(dst, len(s)), slices.Grow(at, len(s)+1)
	dst = append(dst, s[:first]...)
	for i := range first {
		at = append(at, int32(i))
	}
	for i := first; i < len(s); {
		r, size := utf8.DecodeRuneInString(s[i:])
		if f, changed := foldRune(r); changed {
			dst = append(dst, f...)
		} else {
			dst = utf8.AppendRune(dst, r) // U+FFFD for a broken byte
		}
		for len(at) < len(dst) {
			at = append(at, int32(i))
		}
		i += size
	}
	return dst, append(at, int32(len(s))), true
}

// firstFolded gives the offset of the first character that folding changes, len(s) where there is none.
func firstFolded(s string) int {
	for i := 0; i < len(s); {
		if c := s[i]; c < utf8.RuneSelf && c != '\t' && c != '\'' {
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		if _, ok := foldRune(r); ok || r == utf8.RuneError && size == 1 {
			return i
		}
		i += size
	}
	return len(s)
}

// foldRune gives what r is read as, where that is not r itself. The signs of ordinary lines are passed without a look
// into the table.
func foldRune(r rune) (string, bool) {
	switch {
	case r < utf8.RuneSelf && r != '\t' && r != '\'', r == '×', r == '÷', r == '·', r == '²', r == '³', r == '°':
		return "", false
	case r == '−' || r == '–':
		return "-", true
	}
	f, ok := foldRunes[r]
	return f, ok
}

// scanPlain reads what most numbers are, digits with a point or none and nothing behind that could belong to them; ok is
// false where numberScanner has to look. Nine digits before the point and fifteen in all are in proportion.
func scanPlain(s string) (n Number, size int, ok bool) {
	i, whole, digits := 0, 0, 0
	for ; i < len(s); i++ {
		switch c := s[i]; {
		case c == '.' && !n.point && i > 0:
			n.point, whole = true, i
			continue
		case c < '0' || c > '9':
		case digits == 15 || !n.point && i == 9:
			return n, 0, false
		default:
			if n.n > 0 || c != '0' {
				n.digits[n.n] = c
				n.n++
			}
			digits++
			continue
		}
		break
	}
	if n.point {
		n.places = int8(i - whole - 1)
		n.exp = -int16(n.places)
	}
	return n, i, digits > 0 && (!n.point || n.places > 0) && (i == len(s) || endsNumber[s[i]] || separates(s[i:]))
}

// separates reports a comma between two values, as in a function's brackets.
func separates(s string) bool {
	return len(s) > 2 && s[0] == ',' && s[1] == ' ' && s[2] > ' ' && s[2] < utf8.RuneSelf
}

// endsNumber are the bytes behind which no number goes on: × begins with 0xc3.
var endsNumber = func() (ends [256]bool) {
	for _, c := range []byte(" )(*+-=^%;<>\xc3") {
		ends[c] = true
	}
	for c := range byte('z' - 'a' + 1) {
		letter := 'a' + c
		ends[letter], ends[letter-'a'+'A'] = letter != 'e' && letter != 'x', letter != 'e' && letter != 'x'
	}
	return ends
}()
