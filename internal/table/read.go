package table

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Read reads a list. Where there are problems, in the order of their lines, the rows are those that could be read, so that a
// caller can say what else is wrong with them; they are not to be used.
func Read(r io.Reader, columns []Column, limits Limits) ([]Row, []Problem) {
	if limits.Bytes == 0 {
		limits.Bytes = mostBytes
	}
	if limits.Rows == 0 {
		limits.Rows = mostRows
	}
	raw, err := io.ReadAll(io.LimitReader(r, int64(limits.Bytes)+1))
	if err != nil {
		return nil, whole("The list did not arrive whole. Send it again.")
	}
	text, problems := textOf(raw, limits.Bytes)
	if problems != nil {
		return nil, problems
	}
	c := csv.NewReader(strings.NewReader(text))
	c.Comma, c.FieldsPerRecord, c.ReuseRecord = separator(text), -1, true
	head, err := c.Read()
	if errors.Is(err, io.EOF) {
		return nil, whole("There is nothing in this list. Its first line names the columns: %s.", names(columns))
	} else if err != nil {
		return nil, []Problem{quoting(err)}
	}
	l := list{columns: columns, width: len(head)}
	line, _ := c.FieldPos(0)
	if !l.headings(head, line) {
		return nil, l.problems
	}
	l.body(c, limits.Rows)
	Sort(l.problems)
	return l.rows, l.problems
}

// whole is one problem with the whole list.
func whole(format string, a ...any) []Problem { return []Problem{{Message: fmt.Sprintf(format, a...)}} }

// asText is what to do about a file of another kind.
const asText = "In the spreadsheet program choose “Save as” and the kind “CSV UTF-8”, then send that file."

// textOf is the list as text with a line feed at the end of each line, or why it is none.
func textOf(raw []byte, most int) (string, []Problem) {
	switch {
	case len(raw) > most:
		return "", whole("This list is larger than %d kB. Send it in parts.", most>>10)
	case bytes.HasPrefix(raw, []byte("PK\x03\x04")), bytes.HasPrefix(raw, []byte("\xd0\xcf\x11\xe0")): // ZIP, as .xlsx and .ods are; the older .xls
		return "", whole("This is a spreadsheet's own file, not a list as text. %s", asText)
	case bytes.HasPrefix(raw, []byte("\xff\xfe")), bytes.HasPrefix(raw, []byte("\xfe\xff")):
		return "", whole("This list is kept as UTF-16. %s", asText)
	}
	raw = bytes.TrimPrefix(raw, []byte("\ufeff"))
	if i := bytes.IndexByte(raw, 0); i >= 0 {
		return "", []Problem{{Line: lineAt(raw, i), Message: "There is a character here that is none, number zero, as in a list kept as UTF-16 or a damaged one. " + asText}}
	}
	if !utf8.Valid(raw) {
		at := 0
		for rest := raw; ; {
			r, size := utf8.DecodeRune(rest)
			if r == utf8.RuneError && size == 1 {
				break
			}
			at, rest = at+size, rest[size:]
		}
		return "", []Problem{{Line: lineAt(raw, at), Message: "A letter here is kept in another way than UTF-8. " + asText}}
	}
	text := strings.ReplaceAll(string(raw), "\r\n", "\n")
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	return text, nil
}

// lineAt is the line of a byte.
func lineAt(raw []byte, at int) int {
	before := bytes.ReplaceAll(raw[:at], []byte("\r\n"), []byte("\n"))
	return 1 + max(bytes.Count(before, []byte("\n")), bytes.Count(before, []byte("\r")))
}

// separator is what most often stands between the headings: a comma, a semicolon or a tab.
func separator(text string) rune {
	head, _, _ := strings.Cut(text, "\n")
	best, most, quoted := ',', 0, false
	counts := map[rune]int{}
	for _, r := range head {
		if r == '"' {
			quoted = !quoted
		} else if !quoted {
			counts[r]++
		}
	}
	for _, r := range []rune{',', ';', '\t'} {
		if counts[r] > most {
			best, most = r, counts[r]
		}
	}
	return best
}

// quoting is the problem with a line whose quotation marks do not pair.
func quoting(err error) Problem {
	p := Problem{Message: `A quotation mark (") here has no partner. Put one on each side of the cell, and double one that belongs to the text.`}
	if at := new(csv.ParseError); errors.As(err, &at) {
		p.Line = at.StartLine
	}
	return p
}

// list is a list as it is read.
type list struct {
	columns  []Column
	width    int   // headings
	place    []int // of each column among the headings, -1 where it is not there
	rows     []Row
	problems []Problem
}

func (l *list) add(line int, column, format string, a ...any) {
	l.problems = append(l.problems, Problem{line, column, fmt.Sprintf(format, a...)})
}

// headings finds the columns, and says whether the rows below can be told apart.
func (l *list) headings(head []string, line int) bool {
	if len(head) > mostHeadings {
		l.add(line, "", "This line has %d headings; a list has at most %d.", len(head), mostHeadings)
		return false
	}
	l.place = slices.Repeat([]int{-1}, len(l.columns))
	for i, cell := range head {
		h := heading(strings.TrimSpace(cell))
		k := slices.IndexFunc(l.columns, func(c Column) bool { return c.is(h) })
		switch {
		case h == "":
			l.add(line, "", "Heading %d is empty. Name it, or take the column out.", i+1)
		case k < 0:
			l.add(line, "", "“%s” is no heading of this list. Take the column out, or name it one of %s.", short(cell), names(l.columns))
		case l.place[k] >= 0:
			l.add(line, l.columns[k].Name, "The heading “%s” is there twice. Keep one of the two columns.", l.columns[k].Name)
		default:
			l.place[k] = i
		}
	}
	for i, c := range l.columns {
		if c.Needed && l.place[i] < 0 {
			l.add(line, c.Name, "There is no column “%s”. The first line names the columns: %s.", c.Name, names(l.columns))
		}
	}
	return len(l.problems) == 0
}

// body reads the rows below the headings.
func (l *list) body(c *csv.Reader, most int) {
	for n := 0; ; {
		cells, err := c.Read()
		if errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			l.problems = append(l.problems, quoting(err))
			return
		}
		line, _ := c.FieldPos(0)
		if !slices.ContainsFunc(cells, func(s string) bool { return strings.TrimSpace(s) != "" }) {
			continue // as spreadsheet programs leave below the last row
		}
		if n++; n > most {
			l.add(line, "", "This list has more than %d rows. Send it in parts.", most)
			return
		}
		if len(cells) != l.width {
			l.add(line, "", "This line has %d cells under %d headings. A cell that holds the separating mark needs quotation marks around it.", len(cells), l.width)
			continue
		}
		l.row(cells, line)
	}
}

// row keeps a row, and says what is wrong with its cells one by one.
func (l *list) row(cells []string, line int) {
	out := make([]string, len(l.columns))
	for i, c := range l.columns {
		if l.place[i] >= 0 {
			out[i] = plain(strings.TrimSpace(cells[l.place[i]]))
		}
		most := c.Most
		if most == 0 {
			most = mostCharacters
		}
		switch {
		case c.Needed && out[i] == "":
			l.add(line, c.Name, "“%s” is empty here.", c.Name)
		case utf8.RuneCountInString(out[i]) > most:
			l.add(line, c.Name, "“%s” is longer than %d characters here.", c.Name, most)
		case strings.ContainsFunc(out[i], func(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\t' }):
			l.add(line, c.Name, "“%s” holds a character here that cannot be seen. Type the cell again.", c.Name)
		}
	}
	l.rows = append(l.rows, Row{line, out})
}

// short is a heading as a message quotes it.
func short(s string) string {
	if r := []rune(strings.TrimSpace(s)); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return strings.TrimSpace(s)
}
