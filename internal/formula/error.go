package formula

import (
	"strings"
	"unicode/utf8"
)

// Error says what is wrong with a formula and where. Pos and End are byte offsets into Source; the message is complete
// in itself and written for the person who typed. Reason is set where the caller may have to tell cases apart:
// quantity.ErrAmbiguous for what can be read two ways.
type Error struct {
	Source   string
	Pos, End int
	Message  string
	Reason   error
}

// Error gives the message.
func (e *Error) Error() string { return e.Message }

// Unwrap gives the reason, for errors.Is.
func (e *Error) Unwrap() error { return e.Reason }

// caretWidth is how much of a long formula is shown on either side of the caret.
const caretWidth = 60

// Caret gives the typed line and under it a caret at the place, with the message:
//
//	Q = 0,28 × 4.19
//	     ^ There is a comma here: for decimals write a point; thousands need groups of three.
func (e *Error) Caret() string {
	pos := min(max(e.Pos, 0), len(e.Source))
	before, after := []rune(tail(e.Source[:pos])), []rune(head(e.Source[pos:]))
	if i := lastLineBreak(before); i >= 0 {
		before = before[i+1:]
	}
	if len(before) > caretWidth {
		before = append([]rune{'…'}, before[len(before)-caretWidth:]...)
	}
	if len(after) > caretWidth {
		after = append(after[:caretWidth:caretWidth], '…')
	}
	line, _, _ := strings.Cut(string(after), "\n")
	return string(before) + line + "\n" + strings.Repeat(" ", len(before)) + "^ " + e.Message
}

// Column gives the place as a count of characters from 1, for editors.
func (e *Error) Column() int {
	return utf8.RuneCountInString(e.Source[:min(max(e.Pos, 0), len(e.Source))]) + 1
}

func tail(s string) string { return s[max(0, len(s)-8*caretWidth):] }
func head(s string) string { return s[:min(len(s), 8*caretWidth)] }

func lastLineBreak(rs []rune) int {
	for i := len(rs) - 1; i >= 0; i-- {
		if rs[i] == '\n' {
			return i
		}
	}
	return -1
}
