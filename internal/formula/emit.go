package formula

import (
	"math"
	"slices"
)

// apply makes a step of one or two operands.
func (c *compiler) apply(n *Node, o op, out sort, args ...operand) (operand, error) {
	return c.operate(n, o, out, &args[0], &args[len(args)-1])
}

// operate makes a step of two operands, or of one that is both, or does it now where both are constants or, in working,
// every value is at hand.
func (c *compiler) operate(n *Node, o op, out sort, a, b *operand) (operand, error) {
	if c.sheet != nil {
		return c.step(n, o, out, a, b)
	}
	if a.isConst && b.isConst {
		v, ok := o.now(a.value, b.value)
		if !ok {
			return operand{}, c.constantFailure(n, o, a.value, b.value)
		}
		out.isConst, out.value = true, v
		return operand{sort: out}, nil
	}
	out.isConst = false
	before := c.temps
	first, err := c.register(n, a)
	if err != nil {
		return operand{}, err
	}
	second := first
	if b != a {
		if second, err = c.register(n, b); err != nil {
			return operand{}, err
		}
	}
	c.temps = before
	if a.isTemp() {
		c.temps--
	}
	if b.isTemp() && (!a.isTemp() || a.index != b.index) {
		c.temps--
	}
	return c.emit(n, instr{op: o, a: first, b: second}, out)
}

// usedTemps counts the temporary registers that a call's arguments give back.
func usedTemps(args []operand) int {
	var seen []int
	for i := range args {
		if x := &args[i]; x.isTemp() && !slices.Contains(seen, x.index) {
			seen = append(seen, x.index)
		}
	}
	return len(seen)
}

func (x *operand) isTemp() bool { return x.place == inTemp && !x.isConst }

// emit appends a step whose result goes into the next temporary register.
func (c *compiler) emit(n *Node, in instr, out sort) (operand, error) {
	t := c.temps
	dst, err := c.tempRegister(t)
	if err != nil {
		return operand{}, err
	}
	in.dst = dst
	c.temps++
	pos := n.Pos
	if len(n.Args) == 2 && n.Kind != NodeCall {
		pos = n.Args[1].Pos
	}
	c.code, c.places = append(c.code, in), append(c.places, int32(pos))
	return operand{sort: out, place: inTemp, index: t}, nil
}

// While names and constants are still being collected, a register has a provisional number, which settle replaces.
const (
	nameRegister  = registers     // + its place among the names
	constRegister = 2 * registers // + its place among the constants
)

// tempRegister numbers temporary registers.
func (c *compiler) tempRegister(t int) (uint8, error) { return c.provisional(0, t) }

func (c *compiler) provisional(first, i int) (uint8, error) {
	if i >= registers {
		c.full = true
		return 0, c.tooLarge()
	}
	return uint8(first + i), nil
}

// settle gives every register its number: names first, then constants, then temporary registers.
func (c *compiler) settle(result uint8) (uint8, error) {
	names, loaded := len(c.names), len(c.names)+len(c.consts)
	settled := func(r uint8) uint8 {
		switch {
		case r >= constRegister:
			return r - constRegister + uint8(names)
		case r >= nameRegister:
			return r - nameRegister
		}
		return r + uint8(loaded)
	}
	size := loaded
	for i := range c.code {
		s := &c.code[i]
		size = max(size, loaded+int(s.dst)+1)
		s.dst, s.a = settled(s.dst), settled(s.a)
		if s.op != opTable && s.op != opCall { // their b is no register
			s.b = settled(s.b)
		}
	}
	if size > registers {
		c.full = true
		return 0, c.tooLarge()
	}
	return settled(result), nil
}

// register gives the register that holds an operand, loading it first where it is not preloaded.
func (c *compiler) register(n *Node, x *operand) (uint8, error) {
	if x.isConst {
		x.place = inConst
		x.index = slices.IndexFunc(c.consts, func(v float64) bool { return math.Float64bits(v) == math.Float64bits(x.value) })
		if x.index < 0 {
			x.index = len(c.consts)
			c.consts = append(c.consts, x.value)
		}
	}
	switch {
	case x.place == inTemp, x.place == inKept:
		return c.tempRegister(x.index)
	case c.preload && x.place == inName:
		return c.provisional(nameRegister, x.index)
	case c.preload:
		return c.provisional(constRegister, x.index)
	case x.index > 255:
		return 0, c.tooLarge()
	}
	o := opName
	if x.place == inConst {
		o = opConst
	}
	y, err := c.emit(n, instr{op: o, a: uint8(x.index)}, x.sort)
	if err != nil {
		return 0, err
	}
	return c.tempRegister(y.index)
}

// emitTable appends a look-up in a table of fixed points.
func (c *compiler) emitTable(n *Node, t table, out sort, x operand) (operand, error) {
	before := c.temps
	r, err := c.register(n, &x)
	if err != nil {
		return operand{}, err
	}
	c.tables = append(c.tables, t)
	c.temps = before - usedTemps([]operand{x})
	return c.emit(n, instr{op: opTable, a: r, b: uint8(len(c.tables) - 1)}, out)
}

// emitCall moves the arguments into neighbouring registers, if there are several, and appends the call.
func (c *compiler) emitCall(n *Node, f call, out sort, args []operand) (operand, error) {
	if c.sheet != nil {
		return c.callNow(n, f, out, args)
	}
	out.isConst = false
	base := c.temps
	first, err := c.arguments(n, base, args)
	if err != nil {
		return operand{}, err
	}
	if len(c.calls) > math.MaxUint8 {
		return operand{}, c.tooLarge()
	}
	c.calls = append(c.calls, f)
	c.temps = base - usedTemps(args)
	return c.emit(n, instr{op: opCall, a: first, b: uint8(len(c.calls) - 1)}, out)
}

func (c *compiler) arguments(n *Node, base int, args []operand) (first uint8, err error) {
	if len(args) == 1 {
		return c.register(n, &args[0])
	}
	for i := range args {
		a, before := &args[i], c.temps
		r, err := c.register(n, a)
		if err != nil {
			return 0, err
		}
		if c.temps > before {
			continue // just loaded into its place
		}
		if _, err := c.emit(n, instr{op: opMove, a: r, b: r}, a.sort); err != nil {
			return 0, err
		}
	}
	return c.tempRegister(base)
}

// constantFailure says why a step of these values has no result.
func (c *compiler) constantFailure(n *Node, o op, a, b float64) error {
	pos := n.Pos
	if len(n.Args) == 2 {
		pos = n.Args[1].Pos
	}
	p := Program{source: c.expr.source, code: []instr{{op: o, a: 0, b: 1}}, places: []int32{int32(pos)}}
	return p.failure([]float64{a, b}, nil, 0)
}

// built is the program that was emitted, with its result in the register given.
func (c *compiler) built(result uint8) *Program {
	p := &Program{
		source: c.expr.source, names: slices.Clone(c.names), consts: slices.Clone(c.consts), code: slices.Clone(c.code), places: slices.Clone(c.places),
		calls: c.calls, tables: c.tables, preloaded: c.preload, size: int(result) + 1, result: result,
	}
	if p.preloaded {
		p.size = max(p.size, len(p.names)+len(p.consts))
	}
	for _, s := range p.code {
		p.size = max(p.size, int(s.dst)+1)
	}
	p.small = p.smallForm()
	return p
}
