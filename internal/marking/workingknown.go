package marking

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// known are the values that numbers in working may be, as they are: what is given or read, and the trainee's own figures.
func (m *marker) known() []formula.Known {
	var known []formula.Known
	for i := range m.c.Names {
		n, v := &m.c.Names[i], &m.values[i]
		switch {
		case v.ownKnown:
			known = append(known, formula.Known{SI: v.own, Unit: n.Unit})
		case v.known:
			known = append(known, formula.Known{SI: v.given, Unit: n.Unit})
		}
	}
	return known
}

// worked are what the line's calculations come to where their results were rounded, in the units these are written in: a
// number in a line below that agrees with one to its last digit stands for it.
func (r *rerun) worked() []formula.Known {
	var known []formula.Known
	for i := 1; i < len(r.values); i++ {
		x, ok := r.literal(i)
		if !ok {
			continue
		}
		v := r.values[i-1]
		got, ok := x.of(v)
		if !ok || math.Abs(got-x.number.Value()) <= slack*math.Abs(got) {
			continue
		}
		if x.withUnits(v) {
			known = append(known, formula.Known{SI: v.SI, Unit: x.unit, Own: true})
		} else {
			known = append(known, formula.Known{SI: v.Bare, Unit: quantity.One, Own: true})
		}
	}
	return known
}

// nearest is the value next to the number among those that the rounding of earlier results leaves open; got is the one
// for the numbers as written.
func (x result) nearest(v formula.SegmentValue, got float64) float64 {
	in := v.BareRange
	if x.withUnits(v) {
		in = formula.Interval{Lo: x.unit.FromSI(v.SIRange.Lo), Hi: x.unit.FromSI(v.SIRange.Hi)}
	}
	n := x.number.Value()
	if in.Lo == in.Hi {
		return got
	}
	return max(in.Lo, min(n, in.Hi))
}

// withUnits reports whether a calculation comes to what the result is stated in, with its units.
func (x result) withUnits(v formula.SegmentValue) bool {
	return x.hasUnit && v.UnitErr == nil && v.Dimension == x.unit.Dimension() && v.Kind == x.unit.Kind()
}
