package marking

import (
	"math"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// Tolerance says how far a stated figure may lie from its unrounded reference. Every quantity is in the asked unit (a
// temperature point's Absolute in its unit of difference). Exactly one way is set, or Absolute and Relative together: the
// larger applies. The zero value asks for the reference itself.
type Tolerance struct {
	Absolute float64  // largest difference
	Relative float64  // largest difference as a share of the reference: 0.03 for 3 %
	Figures  int      // significant figures
	AtLeast  bool     // the reference or more, none less
	AtMost   bool     // the reference or less, none more
	Bound    *float64 // with AtLeast or AtMost: the furthest that is accepted
	Exact    bool
}

// Accepts reports whether a stated figure is right against ref. Boundaries are inclusive, with a relative slack of 1e-9
// (policy 4). digits is the number of significant digits stated, which only Figures looks at; 0 where it is unknown.
func (t Tolerance) Accepts(ref, stated float64, digits int) bool {
	if !finite(ref) || !finite(stated) {
		return false
	}
	diff, margin := stated-ref, float64(slack*math.Max(math.Abs(ref), math.Abs(stated)))
	switch {
	case t.Figures > 0:
		return sameFigures(ref, stated, t.Figures, digits)
	case t.AtLeast:
		return diff >= -margin && (t.Bound == nil || stated <= *t.Bound+margin)
	case t.AtMost:
		return diff <= margin && (t.Bound == nil || stated >= *t.Bound-margin)
	}
	return math.Abs(diff) <= math.Max(t.Absolute, t.Relative*math.Abs(ref))+margin
}

// sameFigures compares as pencil and paper do: both rounded half up to n significant figures. Whoever states more
// figures than asked is right as well where those agree.
//
// Numbers that agree to n figures differ by one unit of the last of them at most, which spares most the rounding.
func sameFigures(ref, stated float64, n, digits int) bool {
	if math.Abs(ref-stated) > 1.01*math.Pow10(1-n)*math.Max(math.Abs(ref), math.Abs(stated)) {
		return false
	}
	if quantity.RoundFigures(ref, n) == quantity.RoundFigures(stated, n) {
		return true
	}
	return digits > n && quantity.RoundFigures(ref, digits) == quantity.RoundFigures(stated, digits)
}

// Words is the tolerance as people read it; unit is the asked unit, difference the unit that a difference in it has.
func (t Tolerance) Words(unit, difference string) string {
	switch {
	case t.Figures == 1:
		return "to 1 significant figure"
	case t.Figures > 1:
		return "to " + strconv.Itoa(t.Figures) + " significant figures"
	case t.AtLeast && t.Bound != nil:
		return "this or more, up to " + withUnit(*t.Bound, unit)
	case t.AtLeast:
		return "this or more"
	case t.AtMost && t.Bound != nil:
		return "this or less, down to " + withUnit(*t.Bound, unit)
	case t.AtMost:
		return "this or less"
	}
	var ways []string
	if t.Absolute > 0 {
		ways = append(ways, "±\u2009"+withUnit(t.Absolute, difference))
	}
	if t.Relative > 0 {
		ways = append(ways, "±\u2009"+withUnit(t.Relative*100, "%"))
	}
	switch len(ways) {
	case 0:
		return "exactly"
	case 2:
		return strings.Join(ways, " or ") + ", whichever is more"
	}
	return ways[0]
}

// Limit is judged on the value as shown, with no tolerance on the unsafe side. Both ends are in the asked unit; nil where
// there is none.
type Limit struct {
	AtLeast, AtMost *float64
	Source          string // the document, its edition and date
}

// Keeps reports whether x keeps the limit. It is compared on 12 significant digits, which is no tolerance: it only takes
// away what converting units leaves in the last bits.
func (l Limit) Keeps(x float64) bool { return l.under(x) && l.over(x) }

func (l Limit) under(x float64) bool {
	return l.AtMost == nil || quantity.Stored(x) <= quantity.Stored(*l.AtMost)
}
func (l Limit) over(x float64) bool {
	return l.AtLeast == nil || quantity.Stored(x) >= quantity.Stored(*l.AtLeast)
}

// Set reports whether there is any limit.
func (l Limit) Set() bool { return l.AtLeast != nil || l.AtMost != nil }

// Words is the limit as people read it: "at least 19 mbar, at most 23 mbar".
func (l Limit) Words(unit string) string {
	var ends []string
	if l.AtLeast != nil {
		ends = append(ends, "at least "+withUnit(*l.AtLeast, unit))
	}
	if l.AtMost != nil {
		ends = append(ends, "at most "+withUnit(*l.AtMost, unit))
	}
	return strings.Join(ends, ", ")
}
