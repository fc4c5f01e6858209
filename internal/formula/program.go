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
	opCall // dst = call b with its arguments in registers from a on
)

// instr is one step: four bytes, so that a formula's code stays in a cache line or two, can be hashed as the formula's
// version, and can be edited to make slips.
type instr struct {
	op        op
	dst, a, b uint8
}

// registers is the size of the register file; indices are masked with registers−1.
const registers = 64

// frame is the register file of one run.
type frame [registers]float64

// call is one use of a function.
type call struct {
	name string
	argc int
	fn   func([]float64) (float64, error)
}

// Program is a compiled formula: one register program, run here by the number interpreter. It is immutable and safe for
// use by many goroutines.
type Program struct {
	source string
	names  []string
	consts []float64
	code   []instr
	places []int32 // byte offset of each step in source
	calls  []call
	// preloaded says that names and constants sit in the first registers; otherwise steps load them, which lets a
	// formula have more of them than there are registers.
	preloaded bool
	result    uint8
	asked     quantity.Unit
	frames    sync.Pool // frames for programs with calls, whose arguments leave the stack
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
	if len(values) != len(p.names) {
		return 0, fmt.Errorf("formula %q: %d values given for %d names", p.source, len(values), len(p.names))
	}
	for i, v := range values {
		if v-v != 0 { // NaN or infinite
			return 0, &Error{Source: p.source, Message: fmt.Sprintf("The value of %s is no finite number.", p.names[i])}
		}
	}
	if len(p.calls) == 0 {
		var f frame
		return p.run(&f, values)
	}
	f, ok := p.frames.Get().(*frame)
	if !ok {
		f = new(frame)
	}
	v, err := p.runCalls(f, values)
	p.frames.Put(f)
	return v, err
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
func (p *Program) load(f *frame, values []float64) {
	if p.preloaded {
		copy(f[copy(f[:], values):], p.consts)
	}
}

func (p *Program) run(f *frame, values []float64) (float64, error) {
	p.load(f, values)
	if at := p.steps(f, values, 0); at < len(p.code) {
		return 0, p.failure(f, at)
	}
	return p.finish(f)
}

// runCalls runs up to each call, makes it and goes on: the frame of programs without calls stays on the stack.
func (p *Program) runCalls(f *frame, values []float64) (float64, error) {
	p.load(f, values)
	for at := 0; ; at++ {
		at = p.steps(f, values, at)
		if at >= len(p.code) {
			return p.finish(f)
		}
		in := p.code[at]
		if in.op != opCall {
			return 0, p.failure(f, at)
		}
		c := p.calls[in.b]
		v, err := c.fn(f[in.a : int(in.a)+c.argc])
		if err != nil {
			return 0, p.errorAt(at, fmt.Sprintf("%s: %s", c.name, err.Error()), err)
		}
		if v-v != 0 {
			return 0, p.errorAt(at, c.name+" has no finite result here.", nil)
		}
		f[in.dst&(registers-1)] = v
	}
}

func (p *Program) finish(f *frame) (float64, error) {
	v := f[p.result&(registers-1)]
	if v-v != 0 || v > quantity.MaxMagnitude || v < -quantity.MaxMagnitude {
		return 0, &Error{Source: p.source, Message: "The result is out of all proportion: it is larger than 1e30."}
	}
	return v, nil
}

func (p *Program) errorAt(step int, message string, reason error) error {
	pos := int(p.places[step])
	return &Error{Source: p.source, Pos: pos, End: pos, Message: message, Reason: reason}
}
