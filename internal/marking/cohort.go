package marking

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Cohort sums up results of one brief as they come: a row for each submission, and for each line how many have it right.
type Cohort struct {
	rows   [][]string
	lines  []lineTally // in the order in which they first came
	places map[string]int
	full   int // submissions on which nothing is left to be desired
	read   int // submissions with a line for the tutor to read
}

// lineTally counts what was said of one line.
type lineTally struct {
	line                                string
	right, follow, wrong, toRead, blank int
	slips                               map[string]int // by what the slip is
}

// Add counts in one submission; name is what its row is called.
func (c *Cohort) Add(name string, r Result) {
	if c.places == nil {
		c.places = map[string]int{}
	}
	var sum lineTally
	full := true
	for i := range r.Findings {
		f := &r.Findings[i]
		sum.count(f)
		c.line(f.Line()).count(f)
		full = full && f.Verdict.Full() && !f.Blocks
	}
	if full {
		c.full++
	}
	if sum.toRead > 0 {
		c.read++
	}
	c.rows = append(c.rows, append(append([]string{oneLine(name)}, sum.cells()...), strconv.Itoa(blocking(r.Findings)), fmt.Sprintf("%d/%d", r.Marks, r.Available)))
}

func (c *Cohort) line(name string) *lineTally {
	at, ok := c.places[name]
	if !ok {
		at = len(c.lines)
		c.places[name] = at
		c.lines = append(c.lines, lineTally{line: name})
	}
	return &c.lines[at]
}

func (t *lineTally) count(f *Finding) {
	switch f.Verdict {
	case Correct, WithinLimit, Recorded:
		t.right++
	case FollowThrough:
		t.follow++
	case Wrong, UnitMissing, UnitWrong, OutsideLimit:
		t.wrong++
	case ToRead:
		t.toRead++
	case NotAttempted:
		t.blank++
	}
	if f.Slip != nil {
		if t.slips == nil {
			t.slips = map[string]int{}
		}
		t.slips[f.Slip.Is]++
	}
}

// tallyHeads are the heads of cells.
var tallyHeads = []string{"right", "followed", "not right", "to read", "not done"}

func (t *lineTally) cells() []string {
	var out []string
	for _, n := range []int{t.right, t.follow, t.wrong, t.toRead, t.blank} {
		s := "·"
		if n > 0 {
			s = strconv.Itoa(n)
		}
		out = append(out, s)
	}
	return out
}

// commonest is the slip that was made most often on a line, with how often; "" where none was.
func (t *lineTally) commonest() string {
	if len(t.slips) == 0 {
		return ""
	}
	is := slices.MinFunc(slices.Collect(maps.Keys(t.slips)), func(a, b string) int {
		return cmp.Or(cmp.Compare(t.slips[b], t.slips[a]), cmp.Compare(a, b))
	})
	return fmt.Sprintf("%s (%d)", is, t.slips[is])
}

// Table is the sum as plain text: the submissions, the lines, and a sentence. It ends with a line break; where nothing was
// added it is empty.
func (c *Cohort) Table() string {
	if len(c.rows) == 0 {
		return ""
	}
	var b strings.Builder
	writeColumns(&b, slices.Concat([][]string{slices.Concat([]string{"submission"}, tallyHeads, []string{"holds up", "marks"})}, c.rows))
	b.WriteString("\n")
	rows := [][]string{slices.Concat([]string{"line"}, tallyHeads, []string{"commonest slip"})}
	for i := range c.lines {
		t := &c.lines[i]
		rows = append(rows, slices.Concat([]string{t.line}, t.cells(), []string{t.commonest()}))
	}
	writeColumns(&b, rows)
	fmt.Fprintf(&b, "\n%s marked; nothing is left to be desired on %d, the tutor has to read %d.\n", submissions(len(c.rows)), c.full, c.read)
	return b.String()
}

func submissions(n int) string {
	if n == 1 {
		return "1 submission"
	}
	return fmt.Sprintf("%d submissions", n)
}
