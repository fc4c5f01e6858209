package formula

import "math"

// smallProgram is the form that most programs are run in: small ones, without calls, whose values all fit a frame of
// smallFrame registers. It differs from what steps does in nothing but speed: constants are in place, a step is one word,
// and the result of a step goes to the next without the frame's detour. Where it has no result, steps says why.
type smallProgram struct {
	words  []uint32 // op, destination, a and b, each a byte from the lowest
	names  int
	result uint8
	image  [smallFrame]float64
	tables []table
}

// Operations whose first or second operand is the result of the step before.
const (
	nextAdd = opCall + 1 + iota
	nextSub
	nextMul
	nextDiv
	intoAdd // a + result
	intoSub
	intoMul
	intoDiv
)

// smallForm gives the program's small form, nil where it has none.
func (p *Program) smallForm() *smallProgram {
	if p.size > smallFrame || len(p.calls) > 0 || !p.preloaded {
		return nil
	}
	q := &smallProgram{words: make([]uint32, len(p.code)), names: len(p.names), result: p.result, tables: p.tables}
	copy(q.image[len(p.names):], p.consts)
	for i, s := range p.code {
		o := s.op
		if o >= opAdd && o <= opDiv && i > 0 {
			switch last := p.code[i-1].dst; {
			case s.a == last && s.b != last:
				o += nextAdd - opAdd
			case s.b == last && s.a != last:
				o += intoAdd - opAdd
			}
		}
		q.words[i] = uint32(o) | uint32(s.dst)<<8 | uint32(s.a)<<16 | uint32(s.b)<<24
	}
	return q
}

// beyond runs from step at, which is more than arithmetic, to the end; ok is false where a step has no result.
func (q *smallProgram) beyond(f *[smallFrame]float64, at int) (ok bool) {
	const mask = smallFrame - 1
	for at < len(q.words) {
		w := q.words[at]
		a, v := f[w>>16&mask], 0.0
		switch op(w) {
		case opTable:
			v, ok = q.tables[w>>24].at(a)
		case opPow: // this and the next here as well as in slow, because they are common
			b := f[w>>24&mask]
			v = power(a, b)
			ok = a-a == 0 && b-b == 0 && v-v == 0
		case opLog10:
			v = log10(a)
			ok = v-v == 0
		default:
			v, ok = op(w).slow(a, f[w>>24&mask])
		}
		if !ok {
			return false
		}
		f[w>>8&mask] = v
		if at++; at < len(q.words) {
			at = q.arithmetic(f, at, v)
		}
	}
	return true
}

// arithmetic runs from step at to the next that is more than arithmetic or has no result. It calls nothing, so that all
// it works with stays in the machine's registers; products are rounded by themselves on every machine, as the frame
// would round them. last is the result of the step before.
func (q *smallProgram) arithmetic(f *[smallFrame]float64, at int, last float64) int {
	const mask = smallFrame - 1
	v := last
	for i, w := range q.words[at:] {
		b := f[w>>24&mask]
		switch op(w) {
		case opAdd:
			v = f[w>>16&mask] + b
		case opSub:
			v = f[w>>16&mask] - b
		case opMul:
			v = float64(f[w>>16&mask] * b)
		case opDiv:
			if b == 0 || b-b != 0 {
				return at + i
			}
			v = f[w>>16&mask] / b
		case nextAdd:
			v += b
		case nextSub:
			v -= b
		case nextMul:
			v = float64(v * b)
		case nextDiv:
			if b == 0 || b-b != 0 {
				return at + i
			}
			v /= b
		case intoAdd:
			v = f[w>>16&mask] + v
		case intoSub:
			v = f[w>>16&mask] - v
		case intoMul:
			v = float64(f[w>>16&mask] * v)
		case intoDiv:
			if v == 0 || v-v != 0 {
				return at + i
			}
			v = f[w>>16&mask] / v
		case opMin:
			a := f[w>>16&mask]
			if a-a != 0 || b-b != 0 {
				return at + i
			}
			v = min(a, b)
		case opMax:
			a := f[w>>16&mask]
			if a-a != 0 || b-b != 0 {
				return at + i
			}
			v = max(a, b)
		case opNeg:
			v = -f[w>>16&mask]
		case opMove:
			v = f[w>>16&mask]
		case opSqrt:
			if v = math.Sqrt(f[w>>16&mask]); v-v != 0 {
				return at + i
			}
		default:
			return at + i
		}
		f[w>>8&mask] = v
	}
	return len(q.words)
}
