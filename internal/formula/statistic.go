package formula

import (
	"math"

	"witnessmark/internal/quantity"
)

// Repeated readings: their mean, and how they spread (JCGM 100:2008, 4.2). There are no steps of their own for these; they
// are compiled to sums and squares, so that every interpreter has them.

// alike refuses values of different sorts, and levels, whose mean is not the level of a mean power.
func (c *compiler) alike(n *Node, args []operand) error {
	for i := range args {
		a, first := &args[i], &args[0]
		switch {
		case c.mode.bare:
		case a.kind == quantity.Level:
			return c.fail(n.Args[i], "%s takes no levels; this is %s. Turn levels into powers first.", n.Name, a.about())
		case a.dim != first.dim || a.kind != first.kind || a.weight != first.weight || a.scale != first.scale:
			return c.fail(n.Args[i], "%s takes values of one kind: this is %s, the first is %s.", n.Name, a.about(), first.about())
		}
	}
	return nil
}

// compileMean adds up from the right, as fold does, and divides.
func compileMean(c *compiler, n *Node, args []operand) (operand, error) {
	if err := c.alike(n, args); err != nil {
		return operand{}, err
	}
	out := args[0].sort
	out.percent = false
	acc, err := args[len(args)-1], error(nil)
	for i := len(args) - 2; i >= 0; i-- {
		if acc, err = c.apply(n, opAdd, out, args[i], acc); err != nil {
			return operand{}, err
		}
	}
	return c.apply(n, opDiv, out, acc, count(len(args)))
}

func count(n int) operand {
	return operand{sort: sort{isConst: true, value: float64(n)}, bare: float64(n)}
}

func compileDeviation(c *compiler, n *Node, args []operand) (operand, error) {
	return c.deviation(n, args, len(args)-1)
}

func compileMeanDeviation(c *compiler, n *Node, args []operand) (operand, error) {
	return c.deviation(n, args, (len(args)-1)*len(args))
}

// deviation is the root of the sum of the squared deviations from the mean over a number. All is counted from the first
// value: equal values then have none, to the last bit, and readings far from zero lose no digits.
func (c *compiler) deviation(n *Node, args []operand, over int) (operand, error) {
	if err := c.alike(n, args); err != nil {
		return operand{}, err
	}
	var out sort
	if !c.mode.bare {
		out, _ = sumSort(args[0].sort, args[0].sort, true) // of two alike there always is a difference
	}
	base := c.temps - usedTemps(args)
	s := steps{c: c, n: n}
	values := make([]operand, len(args))
	for i, a := range args {
		values[i] = kept(a)
	}
	first, rest := values[0], values[1:]
	sum := s.do(opSub, rest[0], first)
	for _, x := range rest[1:] {
		sum = s.do(opAdd, sum, s.do(opSub, x, first))
	}
	mean := kept(s.do(opDiv, sum, count(len(args))))
	squares := s.do(opMul, mean, mean)
	for _, x := range rest {
		d := s.do(opSub, s.do(opSub, x, first), mean)
		squares = s.do(opAdd, squares, s.do(opMul, d, d))
	}
	share := s.do(opDiv, squares, count(over))
	if s.err != nil {
		return operand{}, s.err
	}
	if c.sheet == nil && !share.isConst {
		c.temps = base + 1 // what was kept is done with: the result takes the place of the first of it
	}
	return c.apply(n, opSqrt, out, share)
}

// kept is x in a place that its steps do not give back.
func kept(x operand) operand {
	if x.isTemp() {
		x.place = inKept
	}
	return x
}

// steps makes steps one after another for a node, until one of them fails.
type steps struct {
	c   *compiler
	n   *Node
	err error
}

func (s *steps) do(o op, a, b operand) operand {
	if s.err != nil {
		return operand{}
	}
	x, err := s.c.apply(s.n, o, sort{}, a, b)
	s.err = err
	return x
}

// statistics: all values counted where one is left for the mean, one spread for the other, a sum for a mean.
func (ed *editor) statistics(n *Node) {
	if n.Kind != NodeCall {
		return
	}
	s, values := ed.sort(n), float64(len(n.Args))
	put := func(key, is string, with *Node) { ed.put(key+" "+ed.name(n), is, n, with) }
	switch n.Name {
	case "mean":
		sum := as(n, s, values)
		if s.isPoint() {
			sum = shifted(ed.bare(n), s, values, zeroCelsius)
		}
		put("sum", "forgot to divide the sum for the mean", sum)
	case "sd":
		put("all-counted", "divided by the number of values, not by one less", as(n, s, math.Sqrt((values-1)/values)))
		put("of-mean", "took the spread of the mean for that of the values", as(n, s, 1/math.Sqrt(values)))
	case "u_mean":
		put("of-values", "took the spread of the values for that of their mean", as(n, s, math.Sqrt(values)))
		put("no-root", "divided by the number of values, not by its root", as(n, s, 1/math.Sqrt(values)))
		put("all-counted", "divided by the number of values, not by one less", as(n, s, math.Sqrt((values-1)/values)))
	}
}
