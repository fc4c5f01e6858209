package brief

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"

	"witnessmark/internal/fault"
)

// Problem is one thing in a brief that its tutor has to mend, or, as a Warning, to think about.
type Problem struct {
	Line, Column int    // in the source, counted from 1, columns in characters; 0 where there is no source
	Path         string // which member, as "stages[0].items[2].figure.formula"; "" for the file as a whole
	Text         string // what is wrong and what to do, complete in itself
	Hint         string // a further sentence where one helps, such as "Did you mean …?"
	Warning      bool   // it may be published as it is
	Source       string // the line of the source, without its end; "" where there is no source
	Offset       int    // bytes into the member's text at which the trouble starts
}

// shownWidth is how many characters of a source line a problem shows at most.
const shownWidth = 100

// String gives the problem as a tutor reads it: the place, the text, and the source line with a caret under the place.
func (p Problem) String() string {
	var b strings.Builder
	switch {
	case p.Line > 0:
		fmt.Fprintf(&b, "line %d, column %d: ", p.Line, p.Column)
	case p.Path != "":
		b.WriteString(p.Path + ": ")
	}
	if p.Warning {
		b.WriteString("worth a look: ")
	}
	b.WriteString(p.Text)
	if p.Hint != "" {
		b.WriteString(" " + p.Hint)
	}
	if p.Line > 0 && p.Source != "" {
		line, at := window(p.Source, p.Column-1)
		b.WriteString("\n    " + line + "\n    " + strings.Repeat(" ", at) + "^")
	}
	return b.String()
}

// shown stands in for what cannot be seen, or would turn the line around: whoever reads the problem sees where it is.
func shown(c rune) rune {
	if c != '\ufffd' && hidden(c, false) {
		return '?'
	}
	return c
}

// window cuts a long line down to what a screen shows around the character at; tabs become spaces so that the caret
// stands under its place.
func window(line string, at int) (string, int) {
	rs := []rune(strings.Map(shown, strings.ReplaceAll(line, "\t", " ")))
	at = min(max(at, 0), len(rs))
	if len(rs) <= shownWidth {
		return string(rs), at
	}
	from := min(max(at-shownWidth/2, 0), len(rs)-shownWidth)
	return string(rs[from : from+shownWidth]), at - from
}

// Problems is what is wrong with a brief, in the order of the source.
type Problems []Problem

// mostProblems is how many are listed; a file with more is better mended from the top.
const mostProblems = 50

// Error lists the problems, one under another.
func (ps Problems) Error() string {
	var ss []string
	for _, p := range ps {
		ss = append(ss, p.String())
	}
	return strings.Join(ss, "\n")
}

// Err is nil where nothing but warnings was found, and the problems otherwise.
func (ps Problems) Err() error {
	if len(ps.Failures()) == 0 {
		return nil
	}
	return ps
}

// Failures are the problems that keep the brief from being published.
func (ps Problems) Failures() Problems { return ps.only(false) }

// Warnings are the problems that do not.
func (ps Problems) Warnings() Problems { return ps.only(true) }

func (ps Problems) only(warning bool) Problems {
	var out Problems
	for _, p := range ps {
		if p.Warning == warning {
			out = append(out, p)
		}
	}
	return out
}

// And are the problems with those of more that lie at places where no failure was found yet: one mistake is told once.
func (ps Problems) And(more Problems) Problems {
	told := map[string]bool{}
	for _, p := range ps.Failures() {
		told[p.Path] = true
	}
	for _, p := range more {
		if p.Path == "" || !told[p.Path] {
			ps = append(ps, p)
		}
	}
	return ps
}

// Fault is the failures as the fault of the fields they stand in, nil where there are none.
func (ps Problems) Fault() error {
	var fs []fault.Field
	for _, p := range ps.Failures() {
		m := p.Text
		if p.Hint != "" {
			m += " " + p.Hint
		}
		if p.Line > 0 {
			m = fmt.Sprintf("Line %d, column %d: %s", p.Line, p.Column, m)
		}
		fs = append(fs, fault.Field{Name: cmp.Or(p.Path, "brief"), Message: m})
	}
	if len(fs) == 0 {
		return nil
	}
	return fault.InvalidFields(fs)
}

// sorted puts problems with a place into the order of the source, the rest as they came, and cuts a long list.
func (ps Problems) sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	if len(ps) > mostProblems {
		more := len(ps) - mostProblems
		ps = append(ps[:mostProblems:mostProblems], Problem{Text: fmt.Sprintf("and %d more. Mend these first.", more)})
	}
	return ps
}

// meant suggests the word that was probably meant: the nearest of known within a third of its letters.
func meant(word string, known []string) string {
	best, least := "", 1+utf8.RuneCountInString(word)/3
	for _, k := range known {
		if d := distance(strings.ToLower(word), strings.ToLower(k)); d <= least && (best == "" || d < least) {
			best, least = k, d
		}
	}
	return best
}

// didYouMean is meant as a hint, "" where nothing is near.
func didYouMean(word string, known []string) string {
	if len(word) > 60 {
		return ""
	}
	if m := meant(word, known); m != "" {
		return "Did you mean “" + m + "”?"
	}
	return ""
}

// distance counts the letters to insert, drop, change or swap with their neighbour to get from a to b.
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			d := rows[i-1][j-1]
			if x[i-1] != y[j-1] {
				d++
			}
			d = min(d, rows[i-1][j]+1, rows[i][j-1]+1)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				d = min(d, rows[i-2][j-2]+1)
			}
			rows[i][j] = d
		}
	}
	return rows[len(x)][len(y)]
}
