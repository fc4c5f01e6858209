package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
	"witnessmark/internal/uncertainty"
)

// Measured is what is known of a reading, or of a figure's reference from the given and measured values, besides the value
// itself, and how that was set against the limit. What does not apply is nil or "". All numbers are rounded to 12
// significant digits.
type Measured struct {
	Standard *float64           `json:"standard_uncertainty,omitempty"` // in the asked unit's difference; nil where no accuracy is stated
	Expanded *float64           `json:"expanded_uncertainty,omitempty"` // covers 95.45 %, in the same unit
	Factor   *float64           `json:"coverage_factor,omitempty"`
	Method   uncertainty.Method `json:"method,omitempty"`
	Rule     uncertainty.Rule   `json:"decision_rule,omitempty"` // where there is a limit to judge by
	Guard    *float64           `json:"guard_band,omitempty"`    // the brief's own, in the asked unit's difference
	Keeps    *float64           `json:"keeps_limit,omitempty"`   // probability that the true value does
}

// known fills in an uncertainty that is in the asked unit.
func (u *Measured) known(e uncertainty.Estimate) {
	u.Standard, u.Expanded, u.Factor, u.Method = stored(e.U), stored(e.Expanded), stored(e.Factor), e.Method
}

// readingLines is the budget of a reading, in SI: what the instrument's accuracy allows, the last digit of its display, and
// the spread of repeats about their mean. There is none where no accuracy is stated, for then next to nothing is known.
func readingLines(it *brief.CompiledItem, s shown) []uncertainty.Line {
	a := it.Accuracy
	if a == nil || s.verdict != "" || s.overload || s.bound != quantity.Exactly {
		return nil
	}
	difference := it.Unit.Difference()
	lines := []uncertainty.Line{
		uncertainty.Rectangular(difference.ToSI(a.Absolute + float64(a.Relative*math.Abs(s.value)))),
		uncertainty.Resolution(2 * difference.ToSI(s.half)),
	}
	if _, spread := uncertainty.Repeats(s.each); spread.U > 0 {
		spread.U = difference.ToSI(spread.U)
		lines = append(lines, spread)
	}
	return lines
}

// uncertainReading sets a reading's uncertainty and the brief's own guard band against its limit. Only a guard band
// changes the verdict (policy 13).
func uncertainReading(it *brief.CompiledItem, f *Finding, s *shown, limit Limit, last bool) {
	if s.verdict != "" || s.overload || s.bound != quantity.Exactly {
		return
	}
	var e uncertainty.Estimate
	if lines := readingLines(it, *s); lines != nil {
		e = ofLines(lines, it.Unit)
	}
	if !last || !limit.Set() {
		f.measured(e)
		return
	}
	switch atLimit(it, f, s.value, e, limit) {
	case uncertainty.Kept:
	case uncertainty.Undecided:
		f.Verdict, f.Code = ToRead, codeTooClose
		s.why = withUnit(s.value, f.Unit) + " lies inside the guard band " + guardWords(it, f) + ": too close to call. Take it again."
	case uncertainty.Broken:
		if f.Verdict == WithinLimit {
			f.Verdict, f.Code, s.guard = OutsideLimit, codeGuard, guardWords(it, f)
		}
	}
}

// ofLines is the uncertainty of one reading, in the asked unit's difference.
func ofLines(lines []uncertainty.Line, asked quantity.Unit) uncertainty.Estimate {
	terms := make([]uncertainty.Term, len(lines))
	for i, l := range lines {
		terms[i] = uncertainty.Term{Sensitivity: 1, Line: l}
	}
	c, err := uncertainty.Combine(terms, nil)
	if err != nil {
		return uncertainty.Estimate{} // a line beyond all numbers says nothing
	}
	return inAsked(uncertainty.Estimate{Combined: c, Method: uncertainty.FirstOrder}, asked)
}

// inAsked brings an estimate's uncertainty from SI into the asked unit's difference.
func inAsked(e uncertainty.Estimate, asked quantity.Unit) uncertainty.Estimate {
	difference := asked.Difference()
	e.U, e.Expanded = difference.FromSI(e.U), difference.FromSI(e.Expanded)
	return e
}

// measured stores an uncertainty that is known.
func (f *Finding) measured(e uncertainty.Estimate) {
	if e.Method == "" {
		return
	}
	if f.Measured == nil {
		f.Measured = &Measured{}
	}
	f.Measured.known(e)
}

// atLimit sets y, in the asked unit, with its uncertainty against a limit, stores what it went by, and raises the flag
// where y lies nearer to the limit than can be told. The outcome is that of the brief's own guard band; without one y
// decides as it is. A limit that carries its margin is left alone.
func atLimit(it *brief.CompiledItem, f *Finding, y float64, e uncertainty.Estimate, limit Limit) uncertainty.Outcome {
	ends := limit.ends()
	if it.Guard == nil && e.Method == "" {
		return uncertainty.Simple.Decide(y, 0, ends)
	}
	f.Measured = &Measured{Rule: uncertainty.Simple}
	f.measured(e)
	width := 0.0
	if g := it.Guard; g != nil {
		width = g.Amount + float64(g.Share*e.Expanded)
		f.Measured.Rule, f.Measured.Guard = uncertainty.Guarded, stored(width)
		if g.ThreeState {
			f.Measured.Rule = uncertainty.ThreeState
		}
	}
	if e.U > 0 && !it.Margin {
		f.Measured.Keeps = stored(uncertainty.Conformance(y, e.U, ends))
	}
	// A guard band that is wide enough has settled it already.
	if near := ends.Distance(y); !it.Margin && quantity.Stored(near) < quantity.Stored(e.Expanded) && (it.Guard == nil || near > width) {
		f.flagTooClose(it, y, e)
	}
	return f.Measured.Rule.Decide(y, width, ends)
}

// ends is the limit as package uncertainty takes it.
func (l Limit) ends() uncertainty.Limits {
	ends := uncertainty.Limits{Low: math.Inf(-1), High: math.Inf(1)}
	if l.AtLeast != nil {
		ends.Low = *l.AtLeast
	}
	if l.AtMost != nil {
		ends.High = *l.AtMost
	}
	return ends
}

// crossMost is for how many readings with an uncertainty a cross-check tries every corner.
const crossMost = 6

// nearlyHolds reports whether a relation that the readings break would hold for some that their instruments' accuracy and
// last digits allow. in holds the readings in the order of the condition's needs.
func (m *marker) nearlyHolds(c *brief.Condition, in []float64) bool {
	var open []int
	reach := make([]float64, len(in))
	for i, n := range c.Needs {
		for _, l := range m.values[n].lines {
			if a, bounded := l.Bound(); bounded {
				reach[i] += a
			}
		}
		if reach[i] > 0 {
			open = append(open, i)
		}
	}
	if len(open) == 0 || len(open) > crossMost {
		return false
	}
	at := make([]float64, len(in))
	for corner := range 1 << len(open) {
		copy(at, in)
		for bit, i := range open {
			if corner>>bit&1 == 1 {
				at[i] += reach[i]
			} else {
				at[i] -= reach[i]
			}
		}
		if holds, err := c.Program.Eval(at); err == nil && holds {
			return true
		}
	}
	return false
}
