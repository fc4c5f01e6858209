package pdfread

import (
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"time"
	"unicode/utf16"
)

// docEncoding holds the codes at which PDFDocEncoding differs from Latin-1
// (ISO 32000-1, D.2).
var docEncoding = map[byte]rune{
	0x18: '˘', 0x19: 'ˇ', 0x1A: 'ˆ', 0x1B: '˙', 0x1C: '˝', 0x1D: '˛', 0x1E: '˚', 0x1F: '˜',
	0x80: '•', 0x81: '†', 0x82: '‡', 0x83: '…', 0x84: '—', 0x85: '–', 0x86: 'ƒ', 0x87: '⁄',
	0x88: '‹', 0x89: '›', 0x8A: '−', 0x8B: '‰', 0x8C: '„', 0x8D: '“', 0x8E: '”', 0x8F: '‘',
	0x90: '’', 0x91: '‚', 0x92: '™', 0x93: 'ﬁ', 0x94: 'ﬂ', 0x95: 'Ł', 0x96: 'Œ', 0x97: 'Š',
	0x98: 'Ÿ', 0x99: 'Ž', 0x9A: 'ı', 0x9B: 'ł', 0x9C: 'œ', 0x9D: 'š', 0x9E: 'ž', 0xA0: '€',
}

// Text reads a text string: UTF-16 or UTF-8 where it says so by its first
// bytes, PDFDocEncoding otherwise (ISO 32000-1, 7.9.2.2).
func Text(s String) string {
	if rest, ok := strings.CutPrefix(string(s), "\xFE\xFF"); ok {
		return UTF16(rest)
	}
	if rest, ok := strings.CutPrefix(string(s), "\xEF\xBB\xBF"); ok {
		return strings.ToValidUTF8(rest, "\uFFFD")
	}
	var b strings.Builder
	for _, c := range []byte(s) {
		r, ok := docEncoding[c]
		if !ok {
			r = rune(c)
		}
		b.WriteRune(r)
	}
	return b.String()
}

// UTF16 reads big-endian UTF-16; what is none of it reads as U+FFFD.
func UTF16(s string) string {
	units := make([]uint16, 0, len(s)/2)
	for b := []byte(s); len(b) >= 2; b = b[2:] {
		units = append(units, binary.BigEndian.Uint16(b))
	}
	return string(utf16.Decode(units))
}

// Date reads a date string, "D:20260504153000+01'00'" (ISO 32000-1, 7.9.4).
// Parts left out read as their smallest value, a missing offset as UTC.
func Date(s string) (time.Time, error) {
	text := strings.TrimSuffix(strings.TrimPrefix(s, "D:"), "'")
	digits := text
	if i := strings.IndexAny(text, "Z+-"); i >= 0 {
		digits = text[:i]
	}
	zone := strings.ReplaceAll(text[len(digits):], "'", "")
	if zone = strings.TrimPrefix(zone, "Z"); strings.Trim(zone, "0") == "" {
		zone = "+0000"
	}
	if len(zone) == 3 {
		zone += "00"
	}
	const whole = "20060102150405"
	if len(digits) > len(whole) || len(digits) < 4 || len(digits)%2 != 0 {
		return time.Time{}, badDate(s, errors.New("wrong length"))
	}
	const smallest = "00000101000000"
	t, err := time.Parse(whole+"-0700", digits+smallest[len(digits):]+zone)
	if err != nil {
		return time.Time{}, badDate(s, err)
	}
	return t, nil
}

func badDate(s string, err error) error { return fmt.Errorf("%q is no date: %w", s, err) }
