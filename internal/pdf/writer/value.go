package writer

import (
	"fmt"
	"strconv"
	"strings"
	"time"
	"unicode/utf16"
)

// num writes a measure in points with at most three decimals, which is a
// hundredth of what a printer can place.
func num(v float64) string {
	s := strconv.FormatFloat(v, 'f', 3, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

func nums(vs ...float64) string {
	out := make([]string, len(vs))
	for i, v := range vs {
		out[i] = num(v)
	}
	return strings.Join(out, " ")
}

// textString writes a text string object: plain where it is ASCII, UTF-16
// with its mark otherwise (ISO 32000-1, 7.9.2.2).
func textString(s string) string {
	plain := true
	for i := range len(s) {
		plain = plain && s[i] >= 32 && s[i] < 127
	}
	if plain {
		return byteString(s)
	}
	return "<FEFF" + utf16Hex(s) + ">"
}

func utf16Hex(s string) string {
	var b strings.Builder
	for _, u := range utf16.Encode([]rune(s)) {
		fmt.Fprintf(&b, "%04X", u)
	}
	return b.String()
}

// byteString writes a literal string of any bytes.
func byteString(s string) string {
	var b strings.Builder
	b.WriteByte('(')
	for i := range len(s) {
		switch c := s[i]; {
		case c == '(' || c == ')' || c == '\\':
			b.WriteByte('\\')
			b.WriteByte(c)
		case c < 32 || c > 126:
			fmt.Fprintf(&b, "\\%03o", c)
		default:
			b.WriteByte(c)
		}
	}
	b.WriteByte(')')
	return b.String()
}

// date writes a date string (ISO 32000-1, 7.9.4).
func date(t time.Time) string {
	s := t.Format("20060102150405-07'00")
	if _, offset := t.Zone(); offset == 0 {
		s = t.Format("20060102150405") + "Z"
	}
	return "(D:" + s + ")"
}
