package ui

import (
	"fmt"
	"strconv"
	"strings"
)

// The paper of a chart of parts, in its own units: narrow, so that its words can be read on a phone. A row has its name and its
// words above what is drawn.
const (
	barsWide, barsLeft, barsRight = 420, 8, 412
	barsRow, barsTop, barsFoot    = 58, 8, 30
	barsName                      = 52 // letters of a name that fit; the table has all of it
)

// BarsView is a chart of parts between none and all, a row each: a bar, or, where there are two parts, a mark for each on a line.
type BarsView struct {
	ID, Title, Says string
	Ours, Others    string // what the bar or the full mark is, and the hollow one; Others is "" for bars
	Rows            []BarsRow
	Ticks           []Tick
}

// BarsRow is one row.
type BarsRow struct {
	Label, Words string
	Marked       bool // in the colour of emphasis, and said so in words
	Part, Other  float64
	Y            int // of the bar or line
	At, OtherAt  string
	Width        string
}

// Wide and High are the size of the paper; Left, Right and Bottom where the axis runs.
func (*BarsView) Wide() int { return barsWide }

// High is its height.
func (v *BarsView) High() int { return barsTop + barsRow*len(v.Rows) + barsFoot }

// Left is where none stands.
func (*BarsView) Left() int { return barsLeft }

// Right is where all stands.
func (*BarsView) Right() int { return barsRight }

// Bottom is where the axis stands.
func (v *BarsView) Bottom() int { return barsTop + barsRow*len(v.Rows) + 2 }

// add puts in a row; other is below 0 for a bar.
func (v *BarsView) add(label string, part, other float64, words string, marked bool) {
	if marked {
		words += "; look at the checked answer"
	}
	if r := []rune(label); len(r) > barsName {
		label = string(r[:barsName-1]) + "…"
	}
	v.Rows = append(v.Rows, BarsRow{Label: label, Words: words, Marked: marked, Part: part, Other: other})
}

// drawn works out where everything stands, and says the chart in a sentence.
func (v *BarsView) drawn() *BarsView {
	across := func(x float64) string { return strconv.FormatFloat(barsLeft+(barsRight-barsLeft)*x, 'f', 1, 64) }
	var says []string
	for i := range v.Rows {
		r := &v.Rows[i]
		r.Y, r.At = barsTop+barsRow*i+36, across(r.Part)
		r.Width = strconv.FormatFloat((barsRight-barsLeft)*r.Part, 'f', 1, 64)
		if r.Other >= 0 {
			r.OtherAt = across(r.Other)
		}
		says = append(says, r.Label+": "+r.Words)
	}
	for _, x := range []float64{0, 0.25, 0.5, 0.75, 1} {
		v.Ticks = append(v.Ticks, Tick{across(x), fmt.Sprintf("%.0f%s%%", 100*x, thin)})
	}
	v.Says = strings.Join(says, ". ") + "."
	return v
}

// Anchor keeps the words at the ends of the axis on the paper.
func (v *BarsView) Anchor(i int) string {
	switch i {
	case 0:
		return "start"
	case len(v.Ticks) - 1:
		return "end"
	}
	return "middle"
}
