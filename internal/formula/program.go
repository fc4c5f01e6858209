package formula

import (
	"fmt"
	"slices"
	"sync"

	"witnessmark/internal/quantity"
)

// op is one operation of the register program.
type op uint8

const (
	opName  op = iota // dst = value of name a
	opConst           // dst = constant a
	opMove            // dst = a
	opNeg
	opAdd
	opSub
	opMul
	opDiv
	opPow
	opSqrt
	opMin
	opMax
	opAbs
	opLn
	opLog10
	opExp
	opSin
	opCos
	opTan
	opAtan
	opCeil
	opFloor
	opTable // dst = what table b holds at a
	opCall  // dst = call b with its arguments in registers from a on
)

// instr is one step: four bytes, so that a formula's code stays in a cache line or two, can be hashed as the formula's
// version, and can be edited to make slips.
type instr struct {
	op        op
	dst, a, b uint8
}

// registers is the most that a program may use; smallFrame is what all but the longest do with.
const (
	registers  = 64
	smallFrame = 16
)

// frame is the register file of a program that makes calls, whose arguments leave the stack, or that is a long one.
type frame [registers]float64

var frames = sync.Pool{New: func() any { return new(frame) }}

// Program is a compiled formula: one register program that several interpreters run. It is immutable and safe for use by
// many goroutines.
type Program struct {
	source string
	names  []string
	consts []float64
	code   []instr
	places []int32 // byte offset of each step in source
	calls  []call
	tables []table
	// preloaded says that names and constants sit in the first registers; otherwise steps load them, which lets a
	// formula have more of them than there are registers.
	preloaded bool
	size      int // registers in use
	small     *smallProgram
	result    uint8
	asked     quantity.Unit
}

// Names lists the names whose values Eval wants, in its order.
func (p *Program) Names() []string { return slices.Clone(p.names) }

// Unit gives the asked unit the formula was compiled for.
func (p *Program) Unit() quantity.Unit { return p.asked }

// Source gives the text the program was compiled from.
func (p *Program) Source() string { return p.source }

// Eval runs the program. Values and result are in SI base units, temperature points in kelvin, in the order of Names.
// It allocates nothing unless it fails. The error is an *Error at the place of the step that has no result: a division
// by zero, the root of a negative number, a value outside a function's range, a result that is not finite or beyond
// 1e30.
func (p *Program) Eval(values []float64) (float64, error) {
	q := p.small
	if q == nil || len(values) != q.names {
		return p.eval(values)
	}
	f := q.image
	copy(f[:], values)
	at := q.arithmetic(&f, 0, 0)
	if at < len(q.words) && !q.beyond(&f, at) {
		return p.eval(values)
	}
	v := f[q.result&(smallFrame-1)]
	if v <= quantity.MaxMagnitude && v >= -quantity.MaxMagnitude {
		return v, nil
	}
	return p.eval(values)
}

// EvalIn runs the program and gives the result in the asked unit.
func (p *Program) EvalIn(values []float64) (float64, error) {
	v, err := p.Eval(values)
	if err != nil {
		return 0, err
	}
	return p.asked.FromSI(v), nil
}

// load puts names and constants into their registers.
func (p *Program) load(f, values []float64) {
	if p.preloaded {
		copy(f[copy(f, values):], p.consts)
	}
}

// eval is Eval for every program, and says why one has no result: it runs up to each call, makes it and goes on.
func (p *Program) eval(values []float64) (float64, error) {
	if len(values) != len(p.names) {
		return 0, p.miscounted(len(values))
	}
	pooled, _ := frames.Get().(*frame)
	defer frames.Put(pooled)
	f := pooled[:]
	p.load(f, values)
	for at := 0; ; at++ {
		at = p.steps(f, values, at)
		if at >= len(p.code) {
			return p.finish(f[p.result], values)
		}
		s := p.code[at]
		if s.op != opCall {
			return 0, p.failure(f, values, at)
		}
		v, err := p.call(at, f[s.a:int(s.a)+p.calls[s.b].argc])
		if err != nil {
			if e := p.unusable(values); e != nil {
				return 0, e
			}
			return 0, err
		}
		f[s.dst] = v
	}
}

// call makes the call of a step.
func (p *Program) call(at int, args []float64) (float64, error) {
	c := &p.calls[p.code[at].b]
	for _, x := range args {
		if x-x != 0 {
			return 0, p.errorAt(at, tooLarge, nil)
		}
	}
	v, err := c.fn(args)
	if err != nil {
		return 0, p.errorAt(at, fmt.Sprintf("%s: %s", c.name, err.Error()), err)
	}
	if v-v != 0 {
		return 0, p.errorAt(at, c.name+" has no finite result here.", nil)
	}
	return v, nil
}

// finish passes a result that is in proportion.
func (p *Program) finish(v float64, values []float64) (float64, error) {
	if v <= quantity.MaxMagnitude && v >= -quantity.MaxMagnitude {
		return v, nil
	}
	if err := p.unusable(values); err != nil {
		return 0, err
	}
	return 0, p.outOfProportion()
}

func (p *Program) outOfProportion() error {
	return &Error{Source: p.source, Message: "The result is out of all proportion: it is larger than 1e30."}
}

func (p *Program) miscounted(given int) error {
	return fmt.Errorf("formula %q: %d values given for %d names", p.source, given, len(p.names))
}

// unusable finds a value that is NaN or infinite. No step turns one into a finite result, so it is looked for only when
// there is none.
func (p *Program) unusable(values []float64) error {
	for i, v := range values {
		if v-v != 0 {
			return &Error{Source: p.source, Message: fmt.Sprintf("The value of %s is no finite number.", p.names[i])}
		}
	}
	return nil
}

func (p *Program) errorAt(step int, message string, reason error) error {
	pos := int(p.places[step])
	return &Error{Source: p.source, Pos: pos, End: pos, Message: message, Reason: reason}
}
