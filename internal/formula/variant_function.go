package formula

import (
	"math"
	"slices"

	"witnessmark/internal/quantity"
)

// temperatures: °C for kelvin, and kelvin put on a difference.
func (ed *editor) temperatures(n *Node) {
	s := ed.sort(n)
	switch {
	case n.Kind == NodeCall && n.Name == "kelvin":
		ed.put("celsius "+ed.name(n.Args[0]), "worked with °C where kelvin belong ("+ed.name(n.Args[0])+")", n, as(ed.bare(n.Args[0]), s, 1))
	case n.Kind == NodeSub && s.weight == 0 && ed.points(n):
		ed.put("kelvin "+ed.name(n), "put 273 on a temperature difference ("+ed.name(n)+")", n, shifted(n, s, 1, zeroCelsius))
	}
}

// angles: degrees typed into a calculator that is set to radians, and one function for another.
func (ed *editor) angles(n *Node) {
	if n.Kind != NodeCall || n.Name != "sin" && n.Name != "cos" && n.Name != "tan" {
		return
	}
	x := n.Args[0]
	ed.put("radians "+ed.name(n), "typed the angle in degrees into a calculator set to radians", n, called(n, n.Name, as(x, ed.sort(x), 180/math.Pi)))
	for _, other := range []string{"sin", "cos", "tan"} {
		if other != n.Name {
			ed.put("function "+ed.name(n)+" "+other, "took "+other+" for "+n.Name, n, called(n, other, x))
		}
	}
}

func called(n *Node, name string, args ...*Node) *Node {
	return &Node{Kind: NodeCall, Literal: noLiteral, Pos: n.Pos, End: n.End, Name: name, Args: args}
}

// logarithms: the natural one for the one to base ten.
func (ed *editor) logarithms(n *Node) {
	if other := map[string]string{"ln": "log10", "log10": "ln"}[n.Name]; n.Kind == NodeCall && other != "" {
		ed.put("function "+ed.name(n)+" "+other, "took "+other+" for "+n.Name, n, called(n, other, n.Args...))
	}
}

// extremes: the largest for the smallest, rounded up for rounded down.
func (ed *editor) extremes(n *Node) {
	if n.Kind != NodeCall {
		return
	}
	switch n.Name {
	case "min":
		ed.put("largest "+ed.name(n), "took the largest where the smallest is wanted", n, called(n, "max", n.Args...))
	case "max":
		ed.put("smallest "+ed.name(n), "took the smallest where the largest is wanted", n, called(n, "min", n.Args...))
	case "ceil":
		ed.put("rounded-down "+ed.name(n), "rounded down, not up", n, called(n, "floor", n.Args...))
	case "floor":
		ed.put("rounded-up "+ed.name(n), "rounded up, not down", n, called(n, "ceil", n.Args...))
	}
}

// circles: the diameter for the radius and the other way round, where a length is squared or multiplied by π.
func (ed *editor) circles(n *Node) {
	fn, isFunction := ed.env.Functions[n.Name]
	switch {
	case n.Kind == NodePow && ed.exponent(n) == 2 && slices.ContainsFunc(ed.nodes, func(o *Node) bool { return o.Kind == NodePi }):
		ed.circle(n.Args[0], 2)
	case n.Kind == NodeMul && n.Args[0].Kind == NodePi:
		ed.circle(n.Args[1], 2)
	case n.Kind == NodeCall && isFunction && slices.ContainsFunc(fn.Params, func(p Param) bool { return p.Name == "od" }):
		ed.circle(n, 4)
	}
}

func (ed *editor) circle(n *Node, factor float64) {
	s := ed.sort(n)
	if n.Kind != NodeCall && s.dim != metre {
		return
	}
	ed.put("diameter-as-radius "+ed.name(n), "took the diameter for a radius ("+ed.name(n)+")", n, as(n, s, factor))
	ed.put("radius-as-diameter "+ed.name(n), "took the radius for a diameter ("+ed.name(n)+")", n, as(n, s, 1/factor))
}

var metre = quantity.MustUnit("m").Dimension()
