package main

import (
	"fmt"
	"io"
	"slices"
	"text/tabwriter"
)

// bar is a comparison of two legs and the ratio that its median has to reach.
type bar struct {
	name            string
	ours, theirs    leg
	oursIs, theirIs string
	least           float64
}

// pair is one round of a bar, in hand-overs per second.
type pair struct{ ours, theirs float64 }

func (p pair) ratio() float64 { return p.ours / p.theirs }

// median is the middle of the values, or the mean of the two in the middle. There is at least one.
func median(values []float64) float64 {
	s := slices.Sorted(slices.Values(values))
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// result is a bar with its rounds.
type result struct {
	bar
	rounds []pair
}

// medians are those of our rate, theirs, and the rounds' ratios: each round's legs run one after the other, so the machine's
// own ups and downs touch a round's ratio least.
func (r result) medians() (ours, theirs, ratio float64) {
	column := func(of func(pair) float64) float64 {
		var values []float64
		for _, p := range r.rounds {
			values = append(values, of(p))
		}
		return median(values)
	}
	return column(func(p pair) float64 { return p.ours }), column(func(p pair) float64 { return p.theirs }), column(pair.ratio)
}

func (r result) passed() bool {
	_, _, ratio := r.medians()
	return ratio >= r.least
}

// print writes the bar's table.
func (r result) print(out io.Writer) error {
	ours, theirs, ratio := r.medians()
	verdict := "PASS"
	if !r.passed() {
		verdict = "MISS"
	}
	if _, err := fmt.Fprintf(out, "\n%s, hand-overs per second\n", r.name); err != nil {
		return err
	}
	t := tabwriter.NewWriter(out, 0, 0, 3, ' ', tabwriter.AlignRight)
	fmt.Fprintf(t, "round\t%s\t%s\tratio\t\n", r.oursIs, r.theirIs)
	for i, p := range r.rounds {
		fmt.Fprintf(t, "%d\t%.0f\t%.0f\t%.3f\t\n", i+1, p.ours, p.theirs, p.ratio())
	}
	fmt.Fprintf(t, "median\t%.0f\t%.0f\t%.3f\t\n", ours, theirs, ratio)
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintf(out, "bar %.2f: %s\n", r.least, verdict)
	return err
}
