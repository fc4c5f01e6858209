package formula

import (
	"fmt"
	"math"
	"slices"

	"witnessmark/internal/quantity"
)

// Family runs many programs over the same values at once, as a formula and its variants are. What they share is worked
// out once: sixty variants of a formula that looks up a water property look it up as often as there are different
// temperatures to look it up for. The programs give the same bits as each alone. A Family is immutable and safe for use
// by many goroutines.
type Family struct {
	names   []string
	consts  []float64
	steps   []familyStep
	calls   []familyCall
	results []uint16 // the value of each program
	widest  int      // most arguments of a call
}

// familyStep works out the next value from two earlier ones. Values are numbered: the names', the constants, then one
// for each step.
type familyStep struct {
	op   op
	a, b uint16 // of a call: a is its index in calls
}

type familyCall struct {
	fn   func([]float64) (float64, error)
	args []uint16
}

// maxFamily bounds the values of a family; programs beyond it have no result in it.
const maxFamily = math.MaxUint16

// noResult marks a program that found no room.
const noResult = math.MaxUint16

// NewFamily makes a family of programs; Result tells them apart by their place.
func NewFamily(programs []*Program) *Family {
	b := familyBuilder{f: &Family{}, names: map[string]int{}, consts: map[uint64]int{}, steps: map[familyStep]int{}, calls: map[string]int{}}
	for _, p := range programs {
		b.leaves(p)
	}
	for _, p := range programs {
		b.program(p)
	}
	return b.f
}

// Names lists the names whose values Eval wants, in its order.
func (f *Family) Names() []string { return slices.Clone(f.names) }

// Len is how many values Eval works with: the length of its slots.
func (f *Family) Len() int { return len(f.names) + len(f.consts) + len(f.steps) + f.widest }

// Eval works all programs out. Values are in SI base units in the order of Names; a NaN stands for one that is not
// known, and what rests on it has no result. Slots is memory from an earlier call, or nil: it comes back, larger where
// that was needed, for Result and the next call. Beyond that nothing is allocated unless a function refuses its values.
func (f *Family) Eval(values, slots []float64) []float64 {
	if n := f.Len(); cap(slots) < n {
		slots = make([]float64, n)
	} else {
		slots = slots[:n]
	}
	at := copy(slots, values[:len(f.names)])
	at += copy(slots[at:], f.consts)
	spare := slots[len(slots)-f.widest:]
	for _, s := range f.steps {
		if s.op == opCall {
			slots[at] = f.calls[s.a].eval(slots, spare)
		} else {
			slots[at] = s.op.value(slots[s.a], slots[s.b])
		}
		at++
	}
	return slots
}

// Result is the value of the program at place i after Eval, in SI base units; ok is false where it has none.
func (f *Family) Result(slots []float64, i int) (si float64, ok bool) {
	if f.results[i] == noResult {
		return 0, false
	}
	v := slots[f.results[i]]
	return v, v-v == 0 && math.Abs(v) <= quantity.MaxMagnitude
}

// value is one step of the number interpreter, with NaN where that has no result.
func (o op) value(a, b float64) float64 {
	switch o {
	case opNeg:
		return -a
	case opAdd:
		return a + b
	case opSub:
		return a - b
	case opMul:
		return a * b
	}
	if a != a || b-b != 0 {
		return math.NaN()
	}
	switch o {
	case opDiv:
		if b == 0 {
			return math.NaN()
		}
		return a / b
	case opMin, opMax:
		if a-a != 0 {
			return math.NaN()
		}
		if o == opMin {
			return min(a, b)
		}
		return max(a, b)
	}
	if v, ok := o.slow(a, b); ok {
		return v
	}
	return math.NaN()
}

func (c *familyCall) eval(slots, spare []float64) float64 {
	for i, a := range c.args {
		if v := slots[a]; v-v != 0 {
			return math.NaN()
		}
		spare[i] = slots[a]
	}
	v, err := c.fn(spare[:len(c.args)])
	if err != nil {
		return math.NaN()
	}
	return v
}

// familyBuilder numbers values: equal steps over equal values are one.
type familyBuilder struct {
	f      *Family
	names  map[string]int
	consts map[uint64]int // by bits
	steps  map[familyStep]int
	calls  map[string]int // by name and arguments
}

func (b *familyBuilder) leaves(p *Program) {
	for _, n := range p.names {
		if _, have := b.names[n]; !have {
			b.names[n] = len(b.f.names)
			b.f.names = append(b.f.names, n)
		}
	}
	for _, x := range p.consts {
		if _, have := b.consts[math.Float64bits(x)]; !have {
			b.consts[math.Float64bits(x)] = len(b.f.consts)
			b.f.consts = append(b.f.consts, x)
		}
	}
}

func (b *familyBuilder) name(p *Program, i int) uint16 { return uint16(b.names[p.names[i]]) }

func (b *familyBuilder) constant(p *Program, i int) uint16 {
	return uint16(len(b.f.names) + b.consts[math.Float64bits(p.consts[i])])
}

// program follows which value each register holds, step by step.
func (b *familyBuilder) program(p *Program) {
	if b.f.Len()+len(p.code) >= maxFamily {
		b.f.results = append(b.f.results, noResult)
		return
	}
	var holds [registers]uint16
	if p.preloaded {
		for i := range p.names {
			holds[i] = b.name(p, i)
		}
		for i := range p.consts {
			holds[len(p.names)+i] = b.constant(p, i)
		}
	}
	for _, in := range p.code {
		switch in.op {
		case opName:
			holds[in.dst] = b.name(p, int(in.a))
		case opConst:
			holds[in.dst] = b.constant(p, int(in.a))
		case opMove:
			holds[in.dst] = holds[in.a]
		case opTable:
			holds[in.dst] = b.call(p.tables[in.b].call(), holds[in.a:in.a+1])
		case opCall:
			holds[in.dst] = b.call(p.calls[in.b], holds[in.a:int(in.a)+p.calls[in.b].argc])
		default:
			holds[in.dst] = b.step(familyStep{in.op, holds[in.a], holds[in.b]})
		}
	}
	b.f.results = append(b.f.results, holds[p.result])
}

func (b *familyBuilder) step(s familyStep) uint16 {
	at, have := b.steps[s]
	if !have {
		at = len(b.f.names) + len(b.f.consts) + len(b.f.steps)
		b.steps[s] = at
		b.f.steps = append(b.f.steps, s)
	}
	return uint16(at)
}

func (b *familyBuilder) call(c call, args []uint16) uint16 {
	key := fmt.Sprint(c.name, args)
	at, have := b.calls[key]
	if !have {
		at = len(b.f.calls)
		b.calls[key] = at
		b.f.calls = append(b.f.calls, familyCall{fn: c.fn, args: slices.Clone(args)})
		b.f.widest = max(b.f.widest, len(args))
	}
	return b.step(familyStep{op: opCall, a: uint16(at)})
}
