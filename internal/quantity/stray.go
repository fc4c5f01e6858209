package quantity

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// stray says what is wrong with the beginning of s, which is neither a number nor a unit, and what to do about it.
func stray(s string) string {
	r, _ := utf8.DecodeRuneInString(s)
	switch {
	case s == "":
		return "A number is expected here."
	case r == utf8.RuneError:
		return "A character was lost here in copying: type it again."
	case IsInvisible(r):
		return fmt.Sprintf("There is an invisible character here (U+%04X): delete it and type on.", r)
	case unicode.IsMark(r):
		return fmt.Sprintf("A mark here (U+%04X) changes the character before it: delete both and type on.", r)
	case '0' <= r && r <= '9':
		return "A second number stands here: one number is read, with its unit."
	case unicode.IsNumber(r):
		return fmt.Sprintf("The number sign %q is not read: write it with the digits 0 to 9.", r)
	case r == '∞' || notANumber(s):
		return "This is no number that can be measured: state what the instrument shows, or OL where it shows that."
	case unicode.IsLetter(r) && IsUnitLetter(r):
		return "A number is expected here."
	case unicode.IsLetter(r):
		return fmt.Sprintf("The letter %q is part of no unit; it may only look like one that is: type it again.", r)
	}
	return "This does not belong here: one number is read, with its unit."
}

// notANumber finds the words that programs take for numbers: NaN, Inf and Infinity, in any case.
func notANumber(s string) bool {
	word := strings.ToLower(s[:len(s)-len(strings.TrimLeftFunc(s, unicode.IsLetter))])
	return word == "nan" || word == "inf" || word == "infinity"
}

// IsInvisible reports whether r is a character that nobody sees: a control, a space without width, a byte order mark, a mark
// that turns the direction of writing, a filler, a variation selector or a tag.
func IsInvisible(r rune) bool {
	switch {
	case unicode.In(r, unicode.Cc, unicode.Cf, unicode.Zl, unicode.Zp):
		return true
	case r == 0x115f, r == 0x1160, r == 0x3164, r == 0xffa0, 0xfe00 <= r && r <= 0xfe0f, 0xe0000 <= r && r <= 0xe007f:
		return true
	}
	return 0x2060 <= r && r <= 0x206f
}
