// Package table reads and writes lists that people keep in a spreadsheet program: comma-separated text with a line of headings.
//
// Reading is strict and points at the place: a list that is not right throughout gives problems and is not to be used. It
// takes UTF-8 with or without a byte order mark, commas, semicolons or tabs, and every way of ending a line. Writing gives
// what such programs open as it is meant, with nothing in it that they would take for a formula.
package table

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
)

// Column is one column of a list that is read.
type Column struct {
	Name   string   // its heading; upper and lower case, spaces, dashes and underscores do not matter
	Also   []string // other headings that mean the same
	Needed bool     // the heading has to be there, and a cell in every row
	Most   int      // characters of a cell; 0 for 200
}

// Limits is how much is read at most; the zero Limits is a megabyte and ten thousand rows.
type Limits struct {
	Bytes, Rows int
}

// The values of the zero Limits and of Column.Most, and how many headings a list may have: our own values.
const (
	mostBytes      = 1 << 20
	mostRows       = 10_000
	mostCharacters = 200
	mostHeadings   = 60
)

// Row is one row below the headings. Cells stand in the order of the columns that were asked for, whatever the list's own
// order, without spaces around them; a column that the list does not have is "".
type Row struct {
	Line  int // where it begins, from 1 for the headings' line
	Cells []string
}

// Problem is one thing to mend. Line 0 is about the whole list; Column is the heading it stands under, "" for a whole line.
type Problem struct {
	Line    int
	Column  string
	Message string // one sentence or two, for whoever keeps the list
}

// Sort puts problems in the order of their lines.
func Sort(ps []Problem) {
	slices.SortStableFunc(ps, func(a, b Problem) int { return cmp.Compare(a.Line, b.Line) })
}

// heading is a heading as it is compared.
func heading(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsSpace(r) || r == '-' || r == '_' || r == '.' {
			return -1
		}
		return unicode.ToLower(r)
	}, s)
}

// is says whether a heading of a list means the column.
func (c Column) is(h string) bool {
	return heading(c.Name) == h || slices.ContainsFunc(c.Also, func(s string) bool { return heading(s) == h })
}

// names lists the columns' headings.
func names(columns []Column) string {
	list := make([]string, len(columns))
	for i, c := range columns {
		list[i] = "“" + c.Name + "”"
	}
	return strings.Join(list, ", ")
}
