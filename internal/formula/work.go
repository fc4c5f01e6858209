package formula

import (
	"math"
	"slices"

	"witnessmark/internal/quantity"
)

// Working is evaluated by the compiler itself: it checks names, units and kinds as for a formula, and because every value
// is at hand it does each step at once instead of writing it down. What follows is that second way of using it.

// maxRounded bounds how many earlier results a segment's rounding is followed from; any more count as exact.
const maxRounded = 8

// bench is what the compiler needs to work a segment out. Where a segment has no calls, the value with its units
// and the bare one are worked out together.
type bench struct {
	sheet   *Sheet
	bareErr error // why there is no bare value
	// rounded are the known values, by their place in sheet.Known, that numbers stand for with their rounding.
	rounded [maxRounded]int
	n       int
	tape    []taped
	in      []float64 // a call's arguments
	// replayed is the tape as run again.
	replayed []taped
}

// begin takes up a segment.
func (c *compiler) begin(e *Expr, s *Sheet, m mode) {
	*c = compiler{expr: e, env: s.Env, mode: m, notes: c.notes, args: c.args[:0], steps: c.steps, bench: bench{sheet: s, tape: c.tape[:0], in: c.in, replayed: c.replayed}}
}

// worked is what a segment comes to: with its units and bare.
type worked struct {
	sort
	bare           float64
	within, around Interval // value and bare within the rounding of earlier results
}

// work works the segment out: for its numbers as they stand, and then for all that the rounded ones may stand for.
func (c *compiler) work() (worked, error) {
	x, err := c.node(c.expr.root)
	if err == nil && !(math.Abs(x.value) <= quantity.MaxMagnitude) {
		err = (&Program{source: c.expr.source}).outOfProportion()
	}
	if err != nil {
		return worked{sort: x.sort}, c.withHint(err)
	}
	if c.bareErr == nil && !(math.Abs(x.bare) <= quantity.MaxMagnitude) {
		c.bareErr = (&Program{source: c.expr.source}).outOfProportion()
	}
	w := worked{sort: x.sort, bare: x.bare}
	w.within, w.around = c.spread(x)
	return w, nil
}

// standsFor finds the earlier result of the trainee's own that a number is, rounded to its last digit, and half of that
// digit's place in the number's unit; known is −1 where the number is exact. Zeros at the end of a whole number may be
// there for want of digits. A single digit says too little to be taken for a result.
func (c *compiler) standsFor(n *Node, si, unit float64) (known int, half float64) {
	least, most := n.Number.SignificantFigures()
	if most < 2 || n.Number.IsFraction() {
		return -1, 0
	}
	last := n.Number.HalfUnit()
	half = last
	if least < most {
		half *= math.Pow10(most - least)
	}
	known = -1
	for i := range c.sheet.Known {
		k := &c.sheet.Known[i]
		if k.Own && known >= 0 {
			continue
		}
		within := last
		if k.Own {
			within = half
		}
		if !k.near(n, si, unit, within) {
			continue
		}
		if !k.Own {
			return -1, 0
		}
		known = i
	}
	return known, half
}

// near reports whether a number agrees with the known value to within so many of its units.
func (k *Known) near(n *Node, si, unit, within float64) bool {
	if !n.HasUnit {
		v := n.Number.Value()
		return math.Abs(k.Unit.FromSI(k.SI)-v) <= within+slack(v)
	}
	d := math.Abs(k.SI - si)
	return d <= float64(within*unit)+slack(si) && n.Unit.Dimension() == k.Unit.Dimension() && n.Unit.Kind() == k.Unit.Kind()
}

// number is a number of the line: s has its value in SI base units, bare is the value as it is written; unit and bareUnit
// are what one of the number's own units is worth in each.
func (c *compiler) number(n *Node, s sort, unit, bare, bareUnit float64) operand {
	x := operand{sort: s, bare: bare}
	if len(c.sheet.Known) == 0 {
		return x
	}
	known, half := c.standsFor(n, s.value, unit)
	if known < 0 {
		return x
	}
	push := slices.Index(c.rounded[:c.n], known) + 1
	if push == 0 && c.n < maxRounded {
		c.rounded[c.n] = known
		c.n++
		push = c.n
	}
	c.tape = append(c.tape, taped{op: opConst, value: s.value, bare: bare, push: push, half: half * unit, bareHalf: half * bareUnit})
	x.index = len(c.tape)
	return x
}

// step does one operation at once, and notes it on the tape. Where there is one operand a and b are the same.
func (c *compiler) step(n *Node, o op, out sort, a, b *operand) (operand, error) {
	v, ok := o.now(a.value, b.value)
	if !ok {
		return operand{}, c.constantFailure(n, o, a.value, b.value)
	}
	bare, ok := o.now(a.bare, b.bare)
	if !ok && c.bareErr == nil {
		c.bareErr = c.constantFailure(n, o, a.bare, b.bare)
	}
	out.isConst, out.value = a.isConst && b.isConst, v
	x := operand{sort: out, bare: bare}
	if len(c.sheet.Known) > 0 {
		c.tape = append(c.tape, taped{op: o, a: c.slot(a), b: c.slot(b), value: v, bare: bare})
		x.index = len(c.tape)
	}
	return x, nil
}

// now does one step as the number interpreter does it.
func (o op) now(a, b float64) (v float64, ok bool) {
	switch o {
	case opNeg:
		v = -a
	case opAdd:
		v = a + b
	case opSub:
		v = a - b
	case opMul:
		v = a * b
	case opDiv:
		if b == 0 {
			return 0, false
		}
		v = a / b
	case opMin:
		v = min(a, b)
	case opMax:
		v = max(a, b)
	default:
		return o.slow(a, b)
	}
	return v, v-v == 0
}

// callNow makes a call at once.
func (c *compiler) callNow(n *Node, f call, out sort, args []operand) (operand, error) {
	c.in = c.in[:0]
	for _, a := range args {
		c.in = append(c.in, a.value)
	}
	v, err := f.fn(c.in)
	if err != nil {
		return operand{}, &Error{Source: c.expr.source, Pos: n.Pos, End: n.End, Message: f.name + ": " + err.Error(), Reason: err}
	}
	if v-v != 0 {
		return operand{}, c.fail(n, "%s has no finite result here.", f.name)
	}
	out.isConst, out.value = false, v
	slots := make([]int, len(args))
	for i := range args {
		slots[i] = c.slot(&args[i])
	}
	c.tape = append(c.tape, taped{op: opCall, value: v, fn: f.fn, args: slots})
	return operand{sort: out, index: len(c.tape)}, nil
}

// valued gives a name's value in working: in SI base units, and as a bare number in the name's own unit.
func (c *compiler) valued(n *Node, name string, s sort) (operand, error) {
	v, ok := 0.0, false
	if c.sheet.Values != nil {
		v, ok = c.sheet.Values(name)
	}
	switch {
	case !ok:
		return operand{}, c.fail(n, "%s has no value yet.", name)
	case v-v != 0:
		return operand{}, c.fail(n, "The value of %s is no finite number.", name)
	}
	s.value = v
	bare := c.env.Names[name].FromSI(v)
	if c.mode.bare {
		s.value = bare
	}
	return operand{sort: s, bare: bare}, nil
}
