package marking

import (
	"math"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// equalities compares each segment with the one before it, and gives the results that were written wrong.
func (r *rerun) equalities(f *Finding) (astray []correction) {
	for i := 1; i < len(r.values); i++ {
		if x, ok := r.literal(i); ok {
			if got, ok := r.result(f, i, x); !ok {
				astray = append(astray, correction{wrote: x.number.Value(), got: got})
			}
		} else {
			r.sides(f, i)
		}
	}
	for i, v := range r.values {
		for _, note := range v.Notes {
			if !hasText(f, note) {
				f.flags(Flag{Code: FlagUnitNote, Text: note, At: r.between(i, i)})
			}
		}
		if v.AllUnits && v.UnitErr != nil && v.BareErr == nil {
			r.say(f, FlagWorkingUnits, r.between(i, i), "has units that do not go together: %s", v.UnitErr.Error())
		}
	}
	return astray
}

// result compares a calculation with the number written behind it. Where its arithmetic is astray ok is false, and got is
// what it comes to.
func (r *rerun) result(f *Finding, i int, x result) (got float64, ok bool) {
	v := r.values[i-1]
	if v.AllUnits && x.hasUnit && v.UnitErr == nil && v.Dimension != x.unit.Dimension() {
		r.say(f, FlagWorkingUnits, r.between(i-1, i), "has units that come to "+v.Dimension.Name()+", and %s stands there", x.words())
		return 0, true
	}
	got, known := x.of(v)
	if !known || !v.AllUnits && x.factored(got, 0) {
		return 0, true
	}
	switch x.stands(x.nearest(v, got), 0) {
	case stands:
	case cutOff:
		r.cut(f, x, got, i)
	case apart:
		if v.AllUnits && x.hasUnit && x.factored(got, 0) {
			r.say(f, FlagWorkingUnits, r.between(i-1, i), "comes to "+withUnit(got, x.unitText())+": the digits of %s are right, its unit is not", x.words())
			return 0, true
		}
		r.disagree(f, FlagArithmetic, got, x, r.between(i-1, i))
		return got, false
	}
	return got, true
}

// sides compares two calculations on both sides of an equals sign. What goes on calculating with the result before it is
// a run-on line, and no wrong answer; anything else is arithmetic gone astray. Numbers that the right side has and the
// left has not may have been rounded.
func (r *rerun) sides(f *Finding, i int) {
	a, b, ok := comparable(r.values[i-1], r.values[i])
	if !ok || math.Abs(a-b) <= (1e-6+r.rounding(i))*math.Max(math.Abs(a), math.Abs(b)) {
		return
	}
	at := r.between(i-1, i)
	if r.runsOn(i) {
		r.say(f, FlagRunOn, at, "runs on behind an equals sign: %s is not "+show(b)+". A new step begins a new line", show(a))
		return
	}
	r.say(f, FlagArithmetic, at, "has two sides that are not equal: %s and "+show(b), show(a))
}

// runsOn reports whether segment i begins with what the one before it comes to.
func (r *rerun) runsOn(i int) bool {
	first := leading(r.w.Segments[i].Expr.Root())
	if first.Kind != formula.NodeNumber {
		return false
	}
	if x, literal := r.literal(i - 1); literal {
		return x.number.Value() == first.Number.Value()
	}
	v := r.values[i-1]
	return v.BareErr == nil && result{number: first.Number}.stands(v.Bare, 0) != apart
}

// rounding is how far, as a share, the right side of an equality may be off because its numbers were rounded. Numbers
// that stand on the left side as well were not.
func (r *rerun) rounding(i int) float64 {
	left := numbered(r.w.Segments[i-1].Expr.Root(), nil)
	share := 0.0
	for _, n := range numbered(r.w.Segments[i].Expr.Root(), nil) {
		if x := n.Number.Value(); x != 0 && n.Number.Decimals() > 0 && !holds(left, x) {
			share += n.Number.HalfUnit() / math.Abs(x)
		}
	}
	return math.Min(share, 0.05)
}

func holds(ns []*formula.Node, x float64) bool {
	for _, n := range ns {
		if n.Number.Value() == x {
			return true
		}
	}
	return false
}

// leading is the leftmost leaf below n.
func leading(n *formula.Node) *formula.Node {
	for len(n.Args) > 0 && n.Kind != formula.NodeCall {
		n = n.Args[0]
	}
	return n
}

// standing is how a written number stands to what was worked out.
type standing int

const (
	stands standing = iota // the same, to the digits written
	cutOff                 // cut off where it should be rounded
	apart
)

// stands compares the number with got, which is itself only known to margin.
func (x result) stands(got, margin float64) standing {
	n, half := x.number.Value(), x.number.HalfUnit()
	diff := math.Abs(got - n)
	switch {
	case diff <= math.Max(half, margin)+float64(slack*math.Abs(n)):
		return stands
	case diff < 2*half && math.Abs(n) < math.Abs(got):
		return cutOff
	}
	return apart
}

// factored reports whether a calculation written with bare numbers, which comes to got ± margin, differs from a result
// only by a factor between units, such as W and kW: the unit was changed in the head, the arithmetic is right.
func (x result) factored(got, margin float64) bool {
	n, half := x.number.Value(), x.number.HalfUnit()
	for _, k := range unitFactors {
		for _, by := range []float64{k, 1 / k} {
			if got != 0 && math.Abs(float64(got*by)-n) <= half+float64(margin*by)+float64(slack*math.Abs(n)) {
				return true
			}
		}
	}
	return false
}

// unitFactors are the factors that units of the trade differ by (exact).
var unitFactors = []float64{10, 100, 1e3, 1e4, 1e5, 1e6, 60, 3600, 3.6, 1000.0 / 60}

// result is a number alone on one side of an equality.
type result struct {
	number  quantity.Number
	unit    quantity.Unit
	hasUnit bool
}

// literal gives segment i where it is a number alone.
func (r *rerun) literal(i int) (result, bool) {
	n := r.w.Segments[i].Expr.Root()
	neg := false
	if n.Kind == formula.NodeNeg {
		n, neg = n.Args[0], true
	}
	if n.Kind != formula.NodeNumber {
		return result{}, false
	}
	x := result{number: n.Number, unit: n.Unit, hasUnit: n.HasUnit}
	if neg {
		x.number = x.number.Neg()
	}
	return x, true
}

// of is what a segment comes to, as the result is written: in its unit where all of the segment's units go together, and
// as bare numbers where some are left out.
func (x result) of(v formula.SegmentValue) (float64, bool) {
	if x.withUnits(v) {
		return x.unit.FromSI(v.SI), true
	}
	if v.BareErr != nil || v.AllUnits && x.hasUnit {
		return 0, false
	}
	return v.Bare, true
}

func (x result) unitText() string {
	if !x.hasUnit {
		return ""
	}
	return x.unit.String()
}

func (x result) words() string { return joined(x.number.Canonical(), x.unitText()) }

// comparable gives two segments in one measure.
func comparable(a, b formula.SegmentValue) (x, y float64, ok bool) {
	if a.UnitErr == nil && b.UnitErr == nil && a.AllUnits && b.AllUnits && a.Dimension == b.Dimension {
		return a.SI, b.SI, true
	}
	return a.Bare, b.Bare, a.BareErr == nil && b.BareErr == nil
}
