package formula

import "math"

// libraryUnits bounds the error of math's functions, in units of the last place; math.Tan is further off where it takes a
// small angle for its tangent.
const (
	libraryUnits = 4
	tangentUnits = 20
)

// leastNormal is where float64 begins to lose digits, and math.Log with them on some machines.
const (
	leastNormal = 0x1p-1022
	tooSmall    = "Within these ranges the value may become too small here."
)

// function is a function of one operand over a range.
func (x Interval) function(o op) (Interval, string) {
	switch o {
	case opSqrt:
		if x.Lo < 0 {
			return Interval{}, "Within these ranges this may be the root of a negative number."
		}
		return Interval{below(math.Sqrt(x.Lo)), above(math.Sqrt(x.Hi))}, ""
	case opAbs:
		switch {
		case x.Lo >= 0:
			return x, ""
		case x.Hi <= 0:
			return Interval{-x.Hi, -x.Lo}, ""
		}
		return Interval{0, max(-x.Lo, x.Hi)}, ""
	case opLn, opLog10:
		if x.Lo <= 0 {
			return Interval{}, "Within these ranges this may be a logarithm of zero or less."
		}
		if x.Lo < leastNormal {
			return Interval{}, tooSmall
		}
	case opTan:
		if x.turns(math.Pi/2, math.Pi) {
			return Interval{}, "Within these ranges the angle may be a right one, which has no tangent."
		}
	case opSin:
		return x.wave(math.Sin, math.Pi/2), ""
	case opCos:
		return x.wave(math.Cos, 0), ""
	case opCeil, opFloor:
		lo, _ := o.slow(x.Lo, x.Lo)
		hi, _ := o.slow(x.Hi, x.Hi)
		return Interval{lo, hi}, ""
	case opExp, opAtan, opName, opConst, opMove, opNeg, opAdd, opSub, opMul, opDiv, opPow, opMin, opMax, opTable, opCall:
	}
	// What is left rises throughout.
	lo, _ := o.slow(x.Lo, x.Lo)
	hi, _ := o.slow(x.Hi, x.Hi)
	units := libraryUnits
	if o == opTan {
		units = tangentUnits
	}
	r := Interval{lo, hi}.widened(float64(units))
	if o == opExp {
		r.Lo = max(r.Lo, 0)
	}
	return r, ""
}

// turns says whether one of first, first ± period, … may lie in the range; where rounding leaves it open it may.
func (x Interval) turns(first, period float64) bool {
	const doubt = 1e-9
	if max(-x.Lo, x.Hi) > 1e6 {
		return true
	}
	next := first + float64(math.Ceil((x.Lo-first)/period-doubt)*period)
	return next <= x.Hi+doubt
}

// wave is a function between −1 and 1 that is greatest at crest and every 2π from it.
func (x Interval) wave(f func(float64) float64, crest float64) Interval {
	a, b := f(x.Lo), f(x.Hi)
	r := Interval{min(a, b), max(a, b)}.widened(libraryUnits)
	if x.turns(crest, 2*math.Pi) {
		r.Hi = 1
	}
	if x.turns(crest+math.Pi, 2*math.Pi) {
		r.Lo = -1
	}
	return Interval{max(r.Lo, -1), min(r.Hi, 1)}
}

// power raises a range to another. Above zero the extremes are at the corners, because y·ln x is straight in each.
func (x Interval) power(y Interval) (Interval, string) {
	whole := y.Lo == y.Hi && y.Lo == math.Trunc(y.Lo)
	switch {
	case x.Lo <= 0 && x.Hi >= 0 && y.Lo < 0:
		return Interval{}, "Within these ranges this may be a negative power of zero."
	case x.Lo < 0 && !whole:
		return Interval{}, "Within these ranges this may be a broken power of a negative number."
	}
	if !whole && (x.Lo > 0 && x.Lo < leastNormal || x.Hi > 0 && x.Hi < leastNormal) {
		return Interval{}, tooSmall
	}
	a, b := power(x.Lo, y.Lo), power(x.Hi, y.Lo)
	r := Interval{min(a, b), max(a, b)}
	if y.Lo != y.Hi {
		a, b = power(x.Lo, y.Hi), power(x.Hi, y.Hi)
		r = Interval{min(r.Lo, a, b), max(r.Hi, a, b)}
	}
	even := whole && math.Mod(y.Lo, 2) == 0
	if even && x.Lo < 0 && x.Hi > 0 {
		r.Lo = min(r.Lo, power(0, y.Lo))
	}
	// Where math.Pow stands in for power its error grows with the exponent and the logarithm.
	units := libraryUnits + max(math.Abs(y.Lo), math.Abs(y.Hi)) + max(binades(x.Lo), binades(x.Hi))
	out := r.widened(units)
	if x.Lo >= 0 || even {
		out.Lo = max(out.Lo, 0)
	}
	return out, ""
}

// binades is how many powers of two a value is away from 1, 0 counting as none: a bound of its logarithm.
func binades(v float64) float64 {
	if v == 0 {
		return 0
	}
	_, e := math.Frexp(v)
	return math.Abs(float64(e)) + 1
}
