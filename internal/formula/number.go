package formula

import "math"

// steps is the number interpreter: it runs from step at until the program ends, a step has no result, or a call is due,
// and gives the step where it stopped. Every intermediate result is stored as float64, so no machine fuses a product
// and a sum: the same values give the same bits everywhere but in the last places of pow, log and the like.
//
// No step makes a finite result of one that is not: what overflows comes out at the end, or at a step that would hide it.
func (p *Program) steps(f, values []float64, at int) int {
	for i, s := range p.code[at:] {
		var v float64
		switch s.op {
		case opName:
			v = values[s.a]
		case opConst:
			v = p.consts[s.a]
		case opMove:
			v = f[s.a]
		case opNeg:
			v = -f[s.a]
		case opAdd:
			v = f[s.a] + f[s.b]
		case opSub:
			v = f[s.a] - f[s.b]
		case opMul:
			v = f[s.a] * f[s.b]
		case opDiv:
			b := f[s.b]
			if b == 0 || b-b != 0 {
				return at + i
			}
			v = f[s.a] / b
		case opMin, opMax:
			a, b := f[s.a], f[s.b]
			if a-a != 0 || b-b != 0 {
				return at + i
			}
			if v = min(a, b); s.op == opMax {
				v = max(a, b)
			}
		case opTable:
			var ok bool
			if v, ok = p.tables[s.b].at(f[s.a]); !ok {
				return at + i
			}
		case opCall:
			return at + i
		default:
			var ok bool
			if v, ok = s.op.slow(f[s.a], f[s.b]); !ok {
				return at + i
			}
		}
		f[s.dst] = v
	}
	return len(p.code)
}

// slow does the operations whose own cost hides a call; ok is false where an operand or the result is not finite.
func (o op) slow(a, b float64) (v float64, ok bool) {
	switch o {
	case opPow:
		v = power(a, b)
	case opSqrt:
		v = math.Sqrt(a)
	case opAbs:
		v = math.Abs(a)
	case opLn:
		v = ln(a)
	case opLog10:
		v = log10(a)
	case opExp:
		v = exp(a)
	case opSin:
		v = math.Sin(a)
	case opCos:
		v = math.Cos(a)
	case opTan:
		v = math.Tan(a)
	case opAtan:
		v = math.Atan(a)
	case opCeil:
		v = math.Ceil(a - slack(a))
	case opFloor:
		v = math.Floor(a + slack(a))
	default:
		return 0, false
	}
	return v, a-a == 0 && b-b == 0 && v-v == 0
}

// slack is the relative 1e-9 within which two computed values count as equal (marking policy, rule 4).
func slack(a float64) float64 { return float64(1e-9 * math.Abs(a)) }

// failure says in words why a step has no result.
func (p *Program) failure(f, values []float64, at int) error {
	if err := p.unusable(values); err != nil {
		return err
	}
	s := p.code[at]
	a, b := f[s.a], 0.0
	if s.op != opTable {
		b = f[s.b]
	}
	switch s.op {
	case opDiv:
		if b == 0 {
			return p.errorAt(at, "This divides by zero.", nil)
		}
	case opPow:
		if a == 0 {
			return p.errorAt(at, "Zero has no negative power.", nil)
		}
		if a < 0 {
			return p.errorAt(at, "A negative number has only whole powers.", nil)
		}
	case opSqrt:
		if a < 0 {
			return p.errorAt(at, "A negative number has no square root.", nil)
		}
	case opLn, opLog10:
		if a <= 0 {
			return p.errorAt(at, "Only a number above zero has a logarithm.", nil)
		}
	case opTable:
		if a-a == 0 {
			return p.errorAt(at, "interp: "+ErrOutsideTable.Error(), ErrOutsideTable)
		}
	case opName, opConst, opMove, opNeg, opAdd, opSub, opMul, opMin, opMax, opAbs, opExp, opSin, opCos, opTan, opAtan, opCeil, opFloor, opCall:
	}
	return p.errorAt(at, tooLarge, nil)
}

const tooLarge = "The value becomes too large here."
