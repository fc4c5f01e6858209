package table

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"
	"unicode"
)

// Write writes a list: UTF-8 with a byte order mark, since some spreadsheet programs take it for something else without,
// commas, a line feed after each row. No cell is left that such a program would work out as a formula; Read gives back what was
// written, but for spaces around a cell.
func Write(w io.Writer, header []string, rows [][]string) error {
	if _, err := io.WriteString(w, "\ufeff"); err != nil {
		return fmt.Errorf("write a list: %w", err)
	}
	c := csv.NewWriter(w)
	safe := make([]string, 0, len(header))
	for _, row := range append([][]string{header}, rows...) {
		safe = safe[:0]
		for _, cell := range row {
			safe = append(safe, neutral(cell))
		}
		if err := c.Write(safe); err != nil {
			return fmt.Errorf("write a list: %w", err)
		}
	}
	c.Flush()
	if err := c.Error(); err != nil {
		return fmt.Errorf("write a list: %w", err)
	}
	return nil
}

// starts are the characters that make a cell a formula (OWASP, "CSV Injection"; from memory), and their full-width forms.
const starts = "=+-@\t\r\n＝＋－＠"

// neutral puts an apostrophe before a cell that a spreadsheet program would work out, or that has one there already, so that it
// can be taken away again. A plain number with its sign stays one.
func neutral(s string) string {
	if works(s) && !number(s) {
		return "'" + s
	}
	return s
}

// plain takes the apostrophe away that neutral put there.
func plain(s string) string {
	if rest, ok := strings.CutPrefix(s, "'"); ok && works(rest) {
		return rest
	}
	return s
}

// works says whether a cell, past apostrophes and what cannot be seen, begins as a formula does.
func works(s string) bool {
	s = strings.TrimRightFunc(s, unicode.IsSpace) // which reading takes away
	begins := func(s string) bool {
		return strings.IndexFunc(s, func(r rune) bool { return strings.ContainsRune(starts, r) }) == 0
	}
	return begins(strings.TrimLeft(s, "'")) || begins(strings.TrimLeftFunc(s, func(r rune) bool {
		return r == '\'' || unicode.IsSpace(r) || unicode.IsControl(r) || r == '\ufeff'
	}))
}

// number says whether a cell is a whole or decimal number with a minus, and nothing else.
func number(s string) bool {
	digits, ok := strings.CutPrefix(s, "-")
	whole, part, dotted := strings.Cut(digits, ".")
	isDigits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	return ok && isDigits(whole) && (!dotted || isDigits(part))
}
