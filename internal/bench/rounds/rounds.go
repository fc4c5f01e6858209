// Package rounds is how speed is judged here: two sides take turns in one process, round by round, and of the rounds'
// ratios the median counts, because both sides of a round meet the same machine.
package rounds

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
)

// Kind says what a bar's ratio is and on which side of the limit it has to be.
type Kind uint8

const (
	// AtLeast wants ours/theirs to reach the limit: of figures that are better the larger they are.
	AtLeast Kind = iota
	// AtMost wants ours/theirs not to go beyond it: of times and costs.
	AtMost
	// Faster wants theirs/ours to reach it: of times, how many times as fast.
	Faster
)

// Bar is a comparison of two sides and what it has to come to.
type Bar struct {
	Name         string
	Unit         string // of both columns
	Ours, Theirs string // what the columns are called
	Kind         Kind
	Limit        float64
}

// Round is one round's figures, both above 0.
type Round struct{ Ours, Theirs float64 }

// Result is a bar with its rounds, one at least.
type Result struct {
	Bar
	Rounds []Round
	Note   string // what else was found; "" for nothing
}

// Ratio is what a round comes to.
func (b Bar) Ratio(r Round) float64 {
	if b.Kind == Faster {
		return r.Theirs / r.Ours
	}
	return r.Ours / r.Theirs
}

// Medians are those of our figures, theirs, and the rounds' ratios: each round's sides run one after the other, so the
// machine's own ups and downs touch a round's ratio least.
func (r Result) Medians() (ours, theirs, ratio float64) {
	column := func(of func(Round) float64) float64 {
		var values []float64
		for _, round := range r.Rounds {
			values = append(values, of(round))
		}
		return Median(values)
	}
	return column(func(r Round) float64 { return r.Ours }), column(func(r Round) float64 { return r.Theirs }), column(r.Ratio)
}

// Passed says whether the bar is met; it is exactly at its limit, too.
func (r Result) Passed() bool {
	_, _, ratio := r.Medians()
	if r.Kind == AtMost {
		return ratio <= r.Limit
	}
	return ratio >= r.Limit
}

// Print writes the bar's table.
func (r Result) Print(out io.Writer) error {
	ours, theirs, ratio := r.Medians()
	verdict, side := "PASS", "least"
	if !r.Passed() {
		verdict = "MISS"
	}
	if r.Kind == AtMost {
		side = "most"
	}
	if _, err := fmt.Fprintf(out, "\n%s, %s\n", r.Name, r.Unit); err != nil {
		return err
	}
	t := tabwriter.NewWriter(out, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "round\t%s\t%s\tratio\t\n", r.Ours, r.Theirs)
	for i, round := range r.Rounds {
		fmt.Fprintf(t, "%d\t%s\t%s\t%.3f\t\n", i+1, figure(round.Ours), figure(round.Theirs), r.Ratio(round))
	}
	fmt.Fprintf(t, "median\t%s\t%s\t%.3f\t\n", figure(ours), figure(theirs), ratio)
	if err := t.Flush(); err != nil {
		return err
	}
	if r.Note != "" {
		r.Note = "; " + r.Note
	}
	_, err := fmt.Fprintf(out, "bar at %s %.2f: %s%s\n", side, r.Limit, verdict, r.Note)
	return err
}

// figure prints small figures with a digit behind the point, others whole.
func figure(v float64) string {
	if v < 1000 {
		return fmt.Sprintf("%.1f", v)
	}
	return fmt.Sprintf("%.0f", v)
}

// Median is the middle of the values, or the mean of the two in the middle. There is at least one.
func Median(values []float64) float64 {
	s := slices.Sorted(slices.Values(values))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}
