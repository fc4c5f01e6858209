package formula

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"witnessmark/internal/quantity"
)

// unexpected explains the character at pos.
func (p *parser) unexpected() error {
	r, _ := utf8.DecodeRuneInString(p.s[p.pos:])
	switch {
	case p.at("**"):
		return p.fail(p.pos, "Write a power with ^, as in d^2.")
	case p.at("=") && p.working:
		return p.fail(p.pos, "Something is missing before this equals sign: a number, a name or a bracket.")
	case strings.ContainsRune("<>≤≥=", r):
		return p.fail(p.pos, "A formula has no comparison: %q belongs into a condition.", r)
	case r == '(':
		return p.fail(p.pos, "A sign is missing here: write × before the bracket; a function's bracket follows its name without a space.")
	case r == ')':
		return p.fail(p.pos, "This bracket closes nothing.")
	case r == ',':
		return p.fail(p.pos, "A comma separates values only inside a function's brackets; for decimals write a point.")
	case r == '%':
		return p.fail(p.pos, "The sign %% stands once, right behind a number: 75 %% is 0.75.")
	case r == '!':
		return p.fail(p.pos, "The character '!' is not part of the notation: there are no factorials.")
	case r == '∞':
		return p.fail(p.pos, "Infinity is no number here.")
	case quantity.IsInvisible(r):
		return p.fail(p.pos, "There is an invisible character here (U+%04X): delete it and type on.", r)
	case vulgarFraction(r) || '0' <= r && r <= '9' && p.pos > 1 && p.s[p.pos-1] == ' ' && p.s[p.pos-2] >= '0' && p.s[p.pos-2] <= '9':
		return p.fail(p.pos, "A sign is missing here: write × or + between the two. Thousands and mixed fractions have no space inside: 1250, 2½.")
	case nameStart(r) || '0' <= r && r <= '9' || r == '√' || r == '.':
		return p.fail(p.pos, "A sign is missing here: write ×, /, + or − between the two.")
	case strings.ContainsRune("+-×·*/÷^", r):
		return p.fail(p.pos, "A number, a name or a bracket is expected before %q.", r)
	}
	return p.fail(p.pos, "%s", foreign(r))
}

// foreign explains a character that has no place in the notation.
func foreign(r rune) string {
	switch {
	case unicode.Is(unicode.Cyrillic, r):
		return quoted(r) + " is a Cyrillic letter, which may look like a Latin one: type it again."
	case unicode.IsMark(r):
		return fmt.Sprintf("There is a mark here that belongs to the letter before it (U+%04X): names have plain letters.", r)
	case unicode.IsDigit(r):
		return quoted(r) + " is no digit that is read here: write numbers with 0 to 9."
	case unicode.IsLetter(r):
		return quoted(r) + " is no letter of a name: names have Latin and Greek letters."
	}
	return "The character " + quoted(r) + " is not part of the notation."
}

func quoted(r rune) string { return strconv.QuoteRune(r) }
