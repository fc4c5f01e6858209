package quantity

import (
	"errors"
	"strings"
	"unicode/utf8"
)

// What can be wrong with a typed number or unit; compare with errors.Is.
var (
	// ErrEmpty means that nothing was typed, or only a dash.
	ErrEmpty = errors.New("nothing is typed here")
	// ErrAmbiguous means that what was typed can be read two ways: the tutor reads it, nobody guesses.
	ErrAmbiguous = errors.New("this can be read two ways")
	// ErrNotNumber means that the text is no number.
	ErrNotNumber = errors.New("this is not a number")
	// ErrRange means that the number has too many digits or lies outside 1e-30 to 1e30.
	ErrRange = errors.New("this number is out of range")
	// ErrUnknownUnit means that the text is no unit known here.
	ErrUnknownUnit = errors.New("this unit is not known here")
	// ErrNoUnit means that a number stands without the unit that was wanted.
	ErrNoUnit = errors.New("the unit is missing")
	// ErrDimension means that two units measure different things and cannot be converted.
	ErrDimension = errors.New("these units measure different things")
	// ErrKind means the same dimension but another kind: a point for a difference, gauge for absolute.
	ErrKind = errors.New("these units are of different kinds")
)

// Error says what is wrong with a typed text and where: Pos is the byte offset into Text. Reason is one of the package's
// errors, Message is complete in itself and meant for the person who typed.
type Error struct {
	Text    string
	Pos     int
	Reason  error
	Message string
}

// Error gives the message.
func (e *Error) Error() string { return e.Message }

// Unwrap gives the reason, for errors.Is.
func (e *Error) Unwrap() error { return e.Reason }

// Caret gives the typed text and under it a caret at the place, with the message.
func (e *Error) Caret() string {
	pos := min(max(e.Pos, 0), len(e.Text))
	return e.Text + "\n" + strings.Repeat(" ", utf8.RuneCountInString(e.Text[:pos])) + "^ " + e.Message
}
