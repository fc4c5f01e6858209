package sampling

import (
	"fmt"
	"math"
)

// Before says what a clean sample of n out of a list of all would show: to be read before it is drawn.
func Before(all, n int) string {
	b := Bound(all, n, 0, Confidence)
	switch {
	case all == 0:
		return "There is nothing to sample."
	case b == 0:
		return fmt.Sprintf("Looking at %s leaves nothing open.", of(n, all))
	case 2*b == all:
		return fmt.Sprintf("A clean %d of %d would show next to nothing: %d of them, half, could still be wrong.", n, all, b)
	case 2*b > all:
		return fmt.Sprintf("A clean %d of %d would show next to nothing: %d of them, more than half, could still be wrong.", n, all, b)
	}
	return fmt.Sprintf("A clean %d of %d only excludes about %s being wrong: as many as %d of the %d could still be (at 95 %% confidence).",
		n, all, oneIn(b+1, all), b, all)
}

// After says what a sample of n out of a list of all shows, in which found were disagreed with.
func After(all, n, found int) string {
	b := Bound(all, n, found, Confidence)
	switch {
	case found == 0:
		return Before(all, n)
	case b == found:
		return fmt.Sprintf("%d of %d were disagreed with, and nothing else was left out.", found, all)
	}
	return fmt.Sprintf("%d of the %d looked at %s disagreed with: of the whole list of %d as many as %d could be wrong (at 95 %% confidence).", found, n, were(found), all, b)
}

// Enough is how many have to be looked at, and found clean, to exclude that a share of the list is wrong.
type Enough struct {
	PerCent int
	Size    int
}

// EnoughFor lists what it would take for a list of all to exclude the usual shares.
func EnoughFor(all int) []Enough {
	var rows []Enough
	for _, share := range []int{20, 10, 5, 2} {
		rows = append(rows, Enough{share, Smallest(all, atLeast(all, share), Confidence)})
	}
	return rows
}

// atLeast is the smallest number that is the share of all in per cent, or more.
func atLeast(all, perCent int) int { return (all*perCent + 99) / 100 }

// Size is how many to draw: the share of all in per cent, but one of every stratum, and one at the least.
func Size(all, perCent, strata int) int { return min(all, max(1, strata, atLeast(all, perCent))) }

func of(n, all int) string {
	switch {
	case all == 1:
		return "the only one"
	case n == all:
		return fmt.Sprintf("all %d", all)
	}
	return fmt.Sprintf("%d of %d", n, all)
}

func were(n int) string {
	if n == 1 {
		return "was"
	}
	return "were"
}

// oneIn is a share as people say it: "one in four".
func oneIn(part, all int) string {
	names := []string{"two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"}
	n := int(math.Round(float64(all) / float64(part)))
	if n-2 < len(names) {
		return "one in " + names[max(n, 2)-2]
	}
	return fmt.Sprintf("one in %d", n)
}
