package uncertainty

import (
	"math"

	"witnessmark/internal/quantity"
)

// Limits is where a value may lie, both ends included; an end that is open is −Inf or +Inf.
type Limits struct{ Low, High float64 }

// AtMost is an upper limit alone, AtLeast a lower one.
func AtMost(high float64) Limits { return Limits{math.Inf(-1), high} }

// AtLeast is a lower limit alone.
func AtLeast(low float64) Limits { return Limits{low, math.Inf(1)} }

// Holds reports whether y keeps the limits, compared on 12 significant digits: what arithmetic leaves in the last bits
// decides nothing.
func (l Limits) Holds(y float64) bool {
	y = quantity.Stored(y)
	return quantity.Stored(l.Low) <= y && y <= quantity.Stored(l.High)
}

// Guarded is the limits drawn in by a guard band of w on every side that is not open: the acceptance limits of JCGM 106,
// 8.3. A negative w draws them out.
func (l Limits) Guarded(w float64) Limits { return Limits{l.Low + w, l.High - w} }

// Distance is how far y lies from the nearest end, inside or out.
func (l Limits) Distance(y float64) float64 {
	return math.Min(math.Abs(y-l.Low), math.Abs(l.High-y))
}

// Conformance is the probability that the true value keeps the limits, where y with standard uncertainty u is all that
// is known of it (JCGM 106, 7.3 to 7.5). Without uncertainty it is 1 or 0.
func Conformance(y, u float64, l Limits) float64 {
	if u <= 0 {
		if l.Holds(y) {
			return 1
		}
		return 0
	}
	return phi((l.High-y)/u) - phi((l.Low-y)/u)
}

// Rule says how a value with an uncertainty is judged by limits (JCGM 106, 8; it is to be agreed beforehand).
type Rule string

// The decision rules. The guard band of the last two has a width w, often a share of the expanded uncertainty.
const (
	Simple     Rule = "simple"      // the value decides as shown
	Guarded    Rule = "guarded"     // kept only where it keeps the limits drawn in by w
	ThreeState Rule = "three-state" // as guarded; broken only beyond the limits drawn out by w; undecided between
)

// Outcome is what a rule says.
type Outcome uint8

// The outcomes.
const (
	Kept Outcome = iota
	Broken
	Undecided
)

// Decide judges y by the limits under a rule with a guard band w. An end of an acceptance limit is still inside it.
func (r Rule) Decide(y, w float64, l Limits) Outcome {
	if r == Simple {
		w = 0
	}
	switch {
	case l.Guarded(w).Holds(y):
		return Kept
	case r == ThreeState && l.Guarded(-w).Holds(y):
		return Undecided
	}
	return Broken
}
