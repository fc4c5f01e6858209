package formula

import "slices"

// apply makes a step of one or two operands, or does it now where both are constants.
func (c *compiler) apply(n *Node, o op, out sort, args ...operand) (operand, error) {
	constant := true
	for _, a := range args {
		constant = constant && a.isConst
	}
	if constant {
		v, ok := constantStep(o, args)
		if !ok {
			return operand{}, c.constantFailure(n, o, args)
		}
		out.isConst, out.value = true, v
		return operand{sort: out}, nil
	}
	out.isConst = false
	regs := make([]uint8, 2)
	before := c.temps
	for i, a := range args {
		r, err := c.register(n, a)
		if err != nil {
			return operand{}, err
		}
		regs[i] = r
	}
	if len(args) == 1 {
		regs[1] = regs[0]
	}
	c.temps = before - usedTemps(args)
	return c.emit(n, instr{op: o, a: regs[0], b: regs[1]}, out)
}

// usedTemps counts the temporary registers that a step's operands give back.
func usedTemps(args []operand) int {
	var seen []int
	for _, a := range args {
		if a.place == inTemp && !a.isConst && !slices.Contains(seen, a.index) {
			seen = append(seen, a.index)
		}
	}
	return len(seen)
}

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

// tempRegister numbers the registers above names and constants.
func (c *compiler) tempRegister(t int) (uint8, error) {
	r := t
	if c.preload && !c.dry {
		r += len(c.names) + len(c.consts)
	}
	if r >= registers {
		c.full = true
		return 0, c.tooLarge()
	}
	return uint8(r), nil
}

// register gives the register that holds an operand, loading it first where it is not preloaded.
func (c *compiler) register(n *Node, x operand) (uint8, error) {
	if x.isConst {
		x.place = inConst
		x.index = slices.Index(c.consts, x.value)
		if x.index < 0 {
			x.index = len(c.consts)
			c.consts = append(c.consts, x.value)
		}
	}
	switch {
	case x.place == inTemp:
		return c.tempRegister(x.index)
	case c.dry:
		return 0, nil
	case c.preload && x.place == inName:
		return uint8(x.index), nil
	case c.preload:
		return uint8(len(c.names) + x.index), nil
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

// constantStep does a step at compile time, exactly as the interpreter would.
func constantStep(o op, args []operand) (float64, bool) {
	a := args[0].value
	b := args[len(args)-1].value
	p := Program{code: []instr{{op: o, dst: 2, a: 0, b: 1}}}
	f := frame{a, b}
	if p.steps(&f, nil, 0) == 0 {
		return 0, false
	}
	return f[2], f[2]-f[2] == 0
}

func (c *compiler) constantFailure(n *Node, o op, args []operand) error {
	pos := n.Pos
	if len(n.Args) == 2 {
		pos = n.Args[1].Pos
	}
	p := Program{source: c.expr.source, code: []instr{{op: o, a: 0, b: 1}}, places: []int32{int32(pos)}}
	f := frame{args[0].value, args[len(args)-1].value}
	return p.failure(&f, 0)
}
