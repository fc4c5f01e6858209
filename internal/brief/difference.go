package brief

import "strings"

// DiffLine is one line of two texts held side by side.
type DiffLine struct {
	Was, Now int    // its number in each, from 1; 0 where it is not there
	Text     string // without its end
	Skipped  bool   // it stands for lines that are the same in both and not shown
}

// Changed says whether the line is in one of the texts alone.
func (l DiffLine) Changed() bool { return !l.Skipped && (l.Was == 0 || l.Now == 0) }

// mostEdits bounds how many lines are looked at as taken out or put in one by one; beyond it a whole part counts as rewritten.
const mostEdits = 1500

// around is how many lines that are the same are shown about a change.
const around = 3

// Differences holds two texts line by line against one another, the fewest lines taken out and put in: E. W. Myers, “An O(ND)
// Difference Algorithm and Its Variations”, Algorithmica 1 (1986). Nothing comes back where they are the same.
func Differences(was, now string) []DiffLine {
	if was == now {
		return nil
	}
	a, b := strings.Split(strings.TrimSuffix(was, "\n"), "\n"), strings.Split(strings.TrimSuffix(now, "\n"), "\n")
	same := 0
	for same < len(a) && same < len(b) && a[same] == b[same] {
		same++
	}
	ends := 0
	for ends < len(a)-same && ends < len(b)-same && a[len(a)-1-ends] == b[len(b)-1-ends] {
		ends++
	}
	var out []DiffLine
	for i := range same {
		out = append(out, DiffLine{Was: i + 1, Now: i + 1, Text: a[i]})
	}
	for _, l := range myers(a[same:len(a)-ends], b[same:len(b)-ends]) {
		if l.Was > 0 {
			l.Was += same
		}
		if l.Now > 0 {
			l.Now += same
		}
		out = append(out, l)
	}
	for i := range ends {
		out = append(out, DiffLine{Was: len(a) - ends + i + 1, Now: len(b) - ends + i + 1, Text: a[len(a)-ends+i]})
	}
	return nearChanges(out)
}

// myers finds the shortest way from a to b: a step to the right takes a line of a out, one down puts a line of b in.
func myers(a, b []string) []DiffLine {
	var trace [][]int32 // how far each diagonal was reached, before each number of edits
	v := map[int]int32{1: 0}
	for d := 0; d <= len(a)+len(b) && d <= mostEdits; d++ {
		row := make([]int32, 2*d+3)
		for k := -d - 1; k <= d+1; k++ {
			row[k+d+1] = v[k]
		}
		trace = append(trace, row)
		for k := -d; k <= d; k += 2 {
			x := v[k-1] + 1
			if k == -d || k != d && v[k-1] < v[k+1] {
				x = v[k+1]
			}
			for y := int(x) - k; int(x) < len(a) && y < len(b) && a[x] == b[y]; y++ {
				x++
			}
			if v[k] = x; int(x) >= len(a) && int(x)-k >= len(b) {
				return walkBack(trace, a, b)
			}
		}
	}
	var out []DiffLine // rewritten
	for i, s := range a {
		out = append(out, DiffLine{Was: i + 1, Text: s})
	}
	for i, s := range b {
		out = append(out, DiffLine{Now: i + 1, Text: s})
	}
	return out
}

// walkBack follows the way back from the end.
func walkBack(trace [][]int32, a, b []string) []DiffLine {
	var back []DiffLine
	x, y := len(a), len(b)
	for d := len(trace) - 1; d >= 0; d-- {
		at := func(k int) int { return int(trace[d][k+d+1]) }
		k := x - y
		from := k - 1
		if k == -d || k != d && at(k-1) < at(k+1) {
			from = k + 1
		}
		px := at(from)
		py := px - from
		for x > px && y > py && x > 0 && y > 0 {
			back = append(back, DiffLine{Was: x, Now: y, Text: a[x-1]})
			x, y = x-1, y-1
		}
		switch {
		case d == 0:
		case x == px:
			back = append(back, DiffLine{Now: y, Text: b[y-1]})
		default:
			back = append(back, DiffLine{Was: x, Text: a[x-1]})
		}
		x, y = px, py
	}
	out := make([]DiffLine, 0, len(back))
	for i := len(back) - 1; i >= 0; i-- {
		out = append(out, back[i])
	}
	return out
}

// nearChanges keeps the changed lines and what is around them.
func nearChanges(lines []DiffLine) []DiffLine {
	near := make([]bool, len(lines))
	for i, l := range lines {
		if l.Changed() {
			for j := max(i-around, 0); j <= min(i+around, len(lines)-1); j++ {
				near[j] = true
			}
		}
	}
	var out []DiffLine
	for i, l := range lines {
		if near[i] {
			out = append(out, l)
		} else if i == 0 || near[i-1] {
			out = append(out, DiffLine{Skipped: true})
		}
	}
	return out
}
