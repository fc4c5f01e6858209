package formula

import (
	"fmt"
	"math"
	"sync"
)

// lanes is how many partial derivatives one pass carries along.
const lanes = 6

// dual is a value and its derivatives by as many names; where it does not move with any of them d means nothing.
type dual struct {
	v     float64
	d     [lanes]float64
	moves bool
}

type dualFrame [registers]dual

var dualFrames = sync.Pool{New: func() any { return new(dualFrame) }}

// EvalGradient runs the program and writes its partial derivatives by each name into partials, both in the order of
// Names and in SI base units: the value is Eval's, bit for bit. It allocates nothing unless it fails.
//
// Derivatives are exact but for rounding; those of a function of the trade are differences, good to about nine digits.
// At a kink (min and max of equals, abs of 0, a point of a table) it is the derivative on one side of it; ceil and floor
// have 0. The error is Eval's, or an *Error where a derivative is not finite, as that of √0.
func (p *Program) EvalGradient(values, partials []float64) (float64, error) {
	if len(values) != len(p.names) {
		return 0, p.miscounted(len(values))
	}
	if len(partials) != len(p.names) {
		return 0, fmt.Errorf("formula %q: room for %d derivatives by %d names", p.source, len(partials), len(p.names))
	}
	f, _ := dualFrames.Get().(*dualFrame)
	v, err := 0.0, error(nil)
	for first := 0; err == nil && (first == 0 || first < len(partials)); first += lanes {
		v, err = p.gradientPass(f, values, partials, first)
	}
	dualFrames.Put(f)
	return v, err
}

// gradientPass finds the derivatives by lanes names from first on.
func (p *Program) gradientPass(f *dualFrame, values, partials []float64, first int) (float64, error) {
	const mask = registers - 1
	if p.preloaded {
		for i := range values {
			f[i&mask].seed(values, i, first)
		}
		for i, v := range p.consts {
			c := &f[(len(values)+i)&mask]
			c.v, c.moves = v, false
		}
	}
	for at, s := range p.code {
		a, b, out := &f[s.a&mask], &f[s.b&mask], &f[s.dst&mask]
		x, y := a.v, b.v
		switch s.op {
		case opName:
			out.seed(values, int(s.a), first)
		case opConst:
			out.v, out.moves = p.consts[s.a], false
		case opMove:
			*out = *a
		case opNeg:
			out.chain(-x, a, -1, a, 0)
		case opAdd:
			out.chain(x+y, a, 1, b, 1)
		case opSub:
			out.chain(x-y, a, 1, b, -1)
		case opMul:
			out.chain(x*y, a, y, b, x)
		case opDiv:
			if y == 0 || y-y != 0 {
				return 0, p.gradientFailure(f, values, at)
			}
			q := x / y
			out.chain(q, a, 1/y, b, -q/y)
		case opCall:
			if err := p.gradientCall(f, at); err != nil {
				return 0, err
			}
		default:
			v, da, db, ok := p.slopes(s, a, b)
			if !ok {
				return 0, p.gradientFailure(f, values, at)
			}
			out.chain(v, a, da, b, db)
		}
	}
	r := &f[p.result&mask]
	for i := range partials[first:min(first+lanes, len(partials))] {
		d := 0.0
		if r.moves {
			d = r.d[i]
		}
		if d-d != 0 {
			return 0, &Error{Source: p.source, Message: fmt.Sprintf("At these values the result has no finite slope by %s.", p.names[first+i])}
		}
		partials[first+i] = d
	}
	return p.finish(r.v, values)
}

// seed is the value of name i, which moves with itself.
func (out *dual) seed(values []float64, i, first int) {
	out.v = values[i]
	k := i - first
	if out.moves = k >= 0 && k < lanes; out.moves {
		out.d = [lanes]float64{}
		out.d[k] = 1
	}
}

// chain is the chain rule: the derivatives of a value that grows by da with a and by db with b. What does not move counts
// for nothing, however steep.
func (out *dual) chain(v float64, a *dual, da float64, b *dual, db float64) {
	out.v = v
	switch {
	case a.moves && b.moves:
		out.d[0] = float64(da*a.d[0]) + float64(db*b.d[0])
		out.d[1] = float64(da*a.d[1]) + float64(db*b.d[1])
		out.d[2] = float64(da*a.d[2]) + float64(db*b.d[2])
		out.d[3] = float64(da*a.d[3]) + float64(db*b.d[3])
		out.d[4] = float64(da*a.d[4]) + float64(db*b.d[4])
		out.d[5] = float64(da*a.d[5]) + float64(db*b.d[5])
		out.moves = true
		return
	case a.moves:
	case b.moves:
		a, da = b, db
	default:
		out.moves = false
		return
	}
	out.d[0] = da * a.d[0]
	out.d[1] = da * a.d[1]
	out.d[2] = da * a.d[2]
	out.d[3] = da * a.d[3]
	out.d[4] = da * a.d[4]
	out.d[5] = da * a.d[5]
	out.moves = true
}

// slopes gives the value of a step that is more than arithmetic, and how it grows with each operand; where there is one
// operand alone db is 0.
func (p *Program) slopes(s instr, a, b *dual) (v, da, db float64, ok bool) {
	x, y := a.v, b.v
	switch s.op {
	case opMin, opMax:
		if x-x != 0 || y-y != 0 {
			return 0, 0, 0, false
		}
		if v = min(x, y); s.op == opMax {
			v = max(x, y)
		}
		if v == x {
			return v, 1, 0, true
		}
		return v, 0, 1, true
	case opTable:
		t := &p.tables[s.b]
		if v, ok = t.at(x); ok {
			da = t.slope(x)
		}
		return v, da, 0, ok
	case opNeg:
		return -x, -1, 0, true
	case opPow:
		if v, ok = s.op.slow(x, y); ok {
			da, db = powerSlopes(v, a, b)
		}
		return v, da, db, ok
	default:
	}
	if v, ok = s.op.slow(x, y); ok {
		da = s.op.slope(x, v)
	}
	return v, da, 0, ok
}

// slope is the derivative of a function of one operand, x, whose value is v.
func (o op) slope(x, v float64) float64 {
	switch o {
	case opSqrt:
		return 0.5 / v
	case opAbs:
		return math.Copysign(1, x)
	case opLn:
		return 1 / x
	case opLog10:
		return 1 / (x * math.Ln10)
	case opExp:
		return v
	case opSin:
		return math.Cos(x)
	case opCos:
		return -math.Sin(x)
	case opTan:
		return 1 + float64(v*v)
	case opAtan:
		return 1 / (1 + float64(x*x))
	default: // ceil and floor are level between their steps
		return 0
	}
}

// powerSlopes are those of v = a to the power of b.
func powerSlopes(v float64, a, b *dual) (da, db float64) {
	x, y := a.v, b.v
	switch {
	case x != 0:
		da = y * v / x
	case y == 1:
		da = 1
	case y > 0 && y < 1:
		da = math.Inf(1)
	}
	if b.moves && v != 0 { // else there is no need for the logarithm
		db = v * ln(x)
	}
	return da, db
}

// gradientCall makes a call and takes its slopes.
func (p *Program) gradientCall(f *dualFrame, at int) error {
	s := p.code[at]
	c := &p.calls[s.b]
	args := f[s.a : int(s.a)+c.argc]
	var room [2 * registers]float64
	values, slopes := room[:c.argc], room[registers:registers+c.argc]
	for i := range args {
		values[i] = args[i].v
	}
	v, err := p.call(at, values)
	if err != nil {
		return err
	}
	if err := c.slopes(values, slopes); err != nil {
		return p.errorAt(at, c.name+": "+err.Error(), err)
	}
	r := dual{v: v}
	for i := range args {
		if args[i].moves {
			r.moves = true
			for k, d := range args[i].d {
				r.d[k] += float64(slopes[i] * d)
			}
		}
	}
	f[s.dst&(registers-1)] = r
	return nil
}

func (p *Program) gradientFailure(f *dualFrame, values []float64, at int) error {
	var v frame
	for i := range v {
		v[i] = f[i].v
	}
	return p.failure(v[:], values, at)
}
