package formula

import (
	"math"

	"witnessmark/internal/quantity"
)

// nodeCast stands only in edited trees: Args[0] times a factor plus an offset, taken for a value of another sort. It is
// how an edit says what a calculator does, which knows no units.
const nodeCast NodeKind = math.MaxUint8

// cast is what a nodeCast does to its argument, in SI base units.
type cast struct {
	to             sort
	factor, offset float64
}

// zeroCelsius is 0 °C in kelvin.
const zeroCelsius = 273.15

func (c *compiler) cast(n *Node) (operand, error) {
	x, err := c.node(n.Args[0])
	if err != nil {
		return operand{}, err
	}
	to := n.cast.to
	to.isConst, to.percent = false, false
	for _, step := range []struct {
		op      op
		neutral float64
		value   float64
	}{{opMul, 1, n.cast.factor}, {opAdd, 0, n.cast.offset}} {
		if step.value == step.neutral {
			continue
		}
		if x, err = c.apply(n, step.op, to, x, operand{sort: sort{isConst: true, value: step.value}}); err != nil {
			return operand{}, err
		}
	}
	to.isConst, to.value = x.isConst, x.value
	x.sort = to
	return x, nil
}

// as takes n, times a factor, for a value of sort s.
func as(n *Node, s sort, factor float64) *Node { return shifted(n, s, factor, 0) }

func shifted(n *Node, s sort, factor, offset float64) *Node {
	return &Node{Kind: nodeCast, Literal: noLiteral, Pos: n.Pos, End: n.End, Args: []*Node{n}, cast: &cast{to: s, factor: factor, offset: offset}}
}

// twoOf makes a node of two.
func twoOf(kind NodeKind, a, b *Node) *Node {
	return &Node{Kind: kind, Literal: noLiteral, Pos: a.Pos, End: b.End, Args: []*Node{a, b}}
}

// sort gives what a node of the reference formula measures.
func (ed *editor) sort(n *Node) sort {
	s, ok := ed.sorts[n]
	if !ok {
		_, s, _ = compile(&Expr{source: ed.expr.source, root: n}, ed.env, mode{}, func(*compiler, *Node, sort) error { return nil })
		ed.sorts[n] = s
	}
	return s
}

// bare is a node as the number that stands on paper: a temperature counts in degrees Celsius, and no kind is left.
func (ed *editor) bare(n *Node) *Node {
	s := ed.sort(n)
	offset := 0.0
	if s.isPoint() {
		offset = -zeroCelsius * s.weight
	}
	return shifted(n, sort{dim: s.dim}, 1, offset)
}

// unit is the unit in which a node's number stands on paper, as its value in SI base units: 1/60000 for L/min.
//
// Where like is divided by like, both are brought to one unit.
func (ed *editor) unit(n *Node) float64 {
	switch n.Kind {
	case NodeMul, NodeDiv, NodePow, NodeRoot:
		if ed.sort(n).dim.IsNumber() {
			return 1
		}
	}
	switch n.Kind {
	case NodeNumber, NodeUnit:
		if n.HasUnit || n.Kind == NodeUnit {
			return size(n.Unit)
		}
	case NodeName:
		if name, ok := ed.env.resolve(n.Name, false); ok {
			return size(ed.env.Names[name])
		}
	case NodeNeg, NodeAdd, NodeSub:
		return ed.unit(n.Args[0])
	case NodeMul:
		return ed.unit(n.Args[0]) * ed.unit(n.Args[1])
	case NodeDiv:
		return ed.unit(n.Args[0]) / ed.unit(n.Args[1])
	case NodePow:
		return math.Pow(ed.unit(n.Args[0]), ed.exponent(n))
	case NodeRoot:
		return math.Sqrt(ed.unit(n.Args[0]))
	case NodeCall:
		return ed.callUnit(n)
	case NodePi:
	}
	return 1
}

func (ed *editor) callUnit(n *Node) float64 {
	if fn, ok := ed.env.Functions[n.Name]; ok {
		if fn.Result.Dimension() == density {
			return 1000
		}
		return size(fn.Result)
	}
	switch n.Name {
	case "min", "max", "abs", "absolute", "gauge", "mean", "sd", "u_mean":
		return ed.unit(n.Args[0])
	case "interp":
		return ed.unit(n.Args[2])
	}
	return 1
}

// exponent is the fixed exponent of a power; 1 where it is worked out, as it may be over a plain number.
func (ed *editor) exponent(n *Node) float64 {
	if s := ed.sort(n.Args[1]); s.isConst {
		return s.value
	}
	return 1
}

var density = quantity.MustUnit("kg/L").Dimension()

// size is one of a unit in SI base units, without its offset.
func size(u quantity.Unit) float64 { return u.ToSI(1) - u.ToSI(0) }
