package formula

import (
	"fmt"
	"math"
	"slices"

	"witnessmark/internal/quantity"
)

// Interval is a closed range of values, in SI base units like the values of Eval.
type Interval struct{ Lo, Hi float64 }

// Has says whether the range holds v.
func (x Interval) Has(v float64) bool { return x.Lo <= v && v <= x.Hi }

// EvalInterval runs the program on ranges instead of values, in the order of Names. Whatever values are taken from the
// ranges, Eval's result for them lies in the result, and so does the exact one with constants as the float64 that they
// are: it is rounded outwards at each step. Where a name stands in a formula more than once it is wider than need be.
//
// The error is an *Error at the step that some values of the ranges may have no result for: a division by a range with 0
// in it, the root of one that begins below 0, an end outside a function's range. So it is for a function of the trade
// that nothing is known of (see Function.Turns).
func (p *Program) EvalInterval(in []Interval) (Interval, error) {
	if len(in) != len(p.names) {
		return Interval{}, p.miscounted(len(in))
	}
	for i, x := range in {
		if x.Lo-x.Lo != 0 || x.Hi-x.Hi != 0 || x.Lo > x.Hi {
			return Interval{}, &Error{Source: p.source, Message: fmt.Sprintf("The range of %s is no range of finite numbers.", p.names[i])}
		}
	}
	if p.size <= smallFrame {
		var f [smallFrame]Interval
		return p.runInterval(f[:], in)
	}
	return p.runInterval(make([]Interval, max(p.size, smallFrame)), in)
}

func (p *Program) runInterval(f, in []Interval) (Interval, error) {
	if p.preloaded {
		for i, v := range p.consts {
			f[len(in)+i] = Interval{v, v}
		}
		copy(f, in)
	}
	for at, s := range p.code {
		r, message := p.intervalStep(s, f, in)
		if message != "" {
			return Interval{}, p.errorAt(at, message, nil)
		}
		if w := r.Hi - r.Lo; w-w != 0 {
			return Interval{}, p.errorAt(at, tooLarge, nil)
		}
		f[s.dst] = r
	}
	r := f[p.result]
	if r.Lo < -quantity.MaxMagnitude || r.Hi > quantity.MaxMagnitude {
		return Interval{}, p.outOfProportion()
	}
	return r, nil
}

// intervalStep does one step; the message says why there is no result for all of the operands.
func (p *Program) intervalStep(s instr, f, in []Interval) (Interval, string) {
	switch s.op {
	case opName:
		return in[s.a], ""
	case opConst:
		return Interval{p.consts[s.a], p.consts[s.a]}, ""
	case opMove:
		return f[s.a], ""
	case opNeg:
		return Interval{-f[s.a].Hi, -f[s.a].Lo}, ""
	case opAdd:
		a, b := &f[s.a], &f[s.b]
		return Interval{belowSum(a.Lo + b.Lo), aboveSum(a.Hi + b.Hi)}, ""
	case opSub:
		a, b := &f[s.a], &f[s.b]
		return Interval{belowSum(a.Lo - b.Hi), aboveSum(a.Hi - b.Lo)}, ""
	case opMul:
		if s.a == s.b {
			return f[s.a].squared(), ""
		}
		return f[s.a].times(f[s.b]), ""
	case opDiv:
		if b := f[s.b]; b.Lo <= 0 && b.Hi >= 0 {
			return Interval{}, "Within these ranges this may divide by zero."
		}
		return f[s.a].over(f[s.b]), ""
	case opMin:
		a, b := f[s.a], f[s.b]
		return Interval{min(a.Lo, b.Lo), min(a.Hi, b.Hi)}, ""
	case opMax:
		a, b := f[s.a], f[s.b]
		return Interval{max(a.Lo, b.Lo), max(a.Hi, b.Hi)}, ""
	case opTable:
		return p.tables[s.b].bounds(f[s.a])
	case opCall:
		c := &p.calls[s.b]
		return c.bounds(slices.Clone(f[s.a : int(s.a)+c.argc])) // so that the frame stays where it is
	case opPow:
		return f[s.a].power(f[s.b])
	case opSqrt, opAbs, opLn, opLog10, opExp, opSin, opCos, opTan, opAtan, opCeil, opFloor:
	}
	return f[s.a].function(s.op)
}

// ulp is a little more than the distance of two neighbouring numbers over either; tiny is the smallest number.
const (
	ulp  = 0x1p-52
	tiny = 0x1p-1074
)

// belowSum is less than any exact sum that rounds to v; a sum that rounds to 0 is 0.
func belowSum(v float64) float64 { return v - float64(math.Abs(v)*ulp) }
func aboveSum(v float64) float64 { return v + float64(math.Abs(v)*ulp) }

// below is less than any exact product that rounds to v; one that rounds to +0 is not negative.
func below(v float64) float64 {
	if math.Float64bits(v) == 0 {
		return 0
	}
	v = float64(v) // a product that is handed over is rounded first
	return v - (float64(math.Abs(v)*ulp) + tiny)
}

func above(v float64) float64 { return -below(-v) }

// widened allows for a function that is right to some units in the last place.
func (x Interval) widened(units float64) Interval {
	return Interval{
		x.Lo - (float64(math.Abs(x.Lo)*(units*ulp)) + tiny),
		x.Hi + (float64(math.Abs(x.Hi)*(units*ulp)) + tiny),
	}
}

func (x Interval) times(y Interval) Interval {
	if x.Lo >= 0 && y.Lo >= 0 {
		return Interval{below(x.Lo * y.Lo), above(x.Hi * y.Hi)}
	}
	p, q, r, s := x.Lo*y.Lo, x.Lo*y.Hi, x.Hi*y.Lo, x.Hi*y.Hi
	return Interval{below(min(p, q, r, s)), above(max(p, q, r, s))}
}

// squared is narrower than x.times(x), which does not know that both are one.
func (x Interval) squared() Interval {
	if x.Lo >= 0 {
		return Interval{below(x.Lo * x.Lo), above(x.Hi * x.Hi)}
	}
	most := max(-x.Lo, x.Hi)
	if x.Hi >= 0 {
		return Interval{0, above(most * most)}
	}
	return Interval{below(x.Hi * x.Hi), above(most * most)}
}

// over divides by a range without 0.
func (x Interval) over(y Interval) Interval {
	if x.Lo >= 0 && y.Lo > 0 {
		return Interval{below(x.Lo / y.Hi), above(x.Hi / y.Lo)}
	}
	p, q, r, s := x.Lo/y.Lo, x.Lo/y.Hi, x.Hi/y.Lo, x.Hi/y.Hi
	return Interval{below(min(p, q, r, s)), above(max(p, q, r, s))}
}
