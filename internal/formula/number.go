package formula

import "math"

// steps is the number interpreter: it runs from step at until the program ends, a step has no result, or a call is due,
// and gives the step where it stopped. Every intermediate result is stored as float64, so no machine fuses a product
// and a sum: the same values give the same bits everywhere but in the last places of pow, log and the like.
func (p *Program) steps(f *frame, values []float64, at int) int {
	const mask = registers - 1
	consts := p.consts
	for i, in := range p.code[at:] {
		a, b := f[in.a&mask], f[in.b&mask]
		var v float64
		switch in.op {
		case opName:
			v = values[in.a]
		case opConst:
			v = consts[in.a]
		case opMove:
			v = a
		case opNeg:
			v = -a
		case opAdd:
			v = a + b
		case opSub:
			v = a - b
		case opMul:
			v = a * b
		case opDiv:
			if b == 0 || b-b != 0 {
				return at + i
			}
			v = a / b
		case opMin, opMax:
			if a-a != 0 || b-b != 0 { // an overflow must not hide behind the other value
				return at + i
			}
			if v = min(a, b); in.op == opMax {
				v = max(a, b)
			}
		default:
			var ok bool
			if v, ok = in.op.slow(a, b); !ok {
				return at + i
			}
		}
		f[in.dst&mask] = v
	}
	return len(p.code)
}

// slow does the operations whose own cost hides a call; ok is false where there is no finite result.
func (o op) slow(a, b float64) (v float64, ok bool) {
	switch o {
	case opPow:
		v = math.Pow(a, b)
	case opSqrt:
		v = math.Sqrt(a)
	case opAbs:
		v = math.Abs(a)
	case opLn:
		v = math.Log(a)
	case opLog10:
		v = math.Log10(a)
	case opExp:
		v = math.Exp(a)
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
	case opName, opConst, opMove, opNeg, opAdd, opSub, opMul, opDiv, opMin, opMax, opCall:
		return 0, false
	}
	return v, v-v == 0
}

// slack is the relative 1e-9 within which two computed values count as equal (marking policy, rule 4).
func slack(a float64) float64 { return 1e-9 * math.Abs(a) }

// failure says in words why a step has no result.
func (p *Program) failure(f *frame, at int) error {
	in := p.code[at]
	a, b := f[in.a&(registers-1)], f[in.b&(registers-1)]
	switch in.op {
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
	case opName, opConst, opMove, opNeg, opAdd, opSub, opMul, opMin, opMax, opAbs, opExp, opSin, opCos, opTan, opAtan, opCeil, opFloor, opCall:
	}
	return p.errorAt(at, "The value becomes too large here.", nil)
}
