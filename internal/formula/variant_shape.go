package formula

import (
	"strconv"
)

// single says that a node is a single thing and not itself a product or sum of several.
func single(n *Node) bool {
	switch n.Kind {
	case NodeMul, NodeDiv, NodeAdd, NodeSub:
		return false
	case NodeNumber, NodeName, NodePi, NodeNeg, NodePow, NodeRoot, NodeUnit, NodeCall:
	}
	return true
}

// divisions: turned over, multiplied, left undone.
func (ed *editor) divisions(n *Node) {
	if n.Kind != NodeDiv || ed.points(n) {
		return
	}
	a, b, s := n.Args[0], n.Args[1], ed.sort(n)
	ua, ub := ed.unit(a), ed.unit(b)
	if s.dim.IsNumber() {
		ua = ub // whoever divides like by like brings both to one unit
	}
	ed.put("multiplied "+ed.name(b), "multiplied by "+ed.name(b)+" where it should divide", n, as(twoOf(NodeMul, ed.bare(a), ed.bare(b)), s, 1/(ub*ub)))
	ed.put("turned "+ed.name(n), "turned the fraction "+ed.name(n)+" over", n, as(twoOf(NodeDiv, ed.bare(b), ed.bare(a)), s, ua*ua/(ub*ub)))
	ed.put("left-out "+ed.name(b), "did not divide by "+ed.name(b), n, as(ed.bare(a), s, 1/ub))
	if single(a) && a.Kind != NodeNumber {
		ed.put("left-out "+ed.name(a), "left out "+ed.name(a), n, ed.inverse(b, s, ua))
	}
}

// ratios: a × (b / c), however it is bracketed, with the ratio of like to like turned over or left out.
func (ed *editor) ratios(n *Node) {
	if n.Kind != NodeDiv || n.Args[0].Kind != NodeMul || ed.points(n) || ed.points(n.Args[0]) {
		return
	}
	a, b, c, s := n.Args[0].Args[0], n.Args[0].Args[1], n.Args[1], ed.sort(n)
	if ed.sort(b).dim != ed.sort(c).dim || ed.sort(b).dim.IsNumber() {
		return
	}
	ratio := ed.name(twoOf(NodeDiv, b, c))
	ed.put("turned "+ratio, "turned the ratio "+ratio+" over", n, as(twoOf(NodeDiv, twoOf(NodeMul, ed.bare(a), ed.bare(c)), ed.bare(b)), s, 1))
	ed.put("left-out "+ratio, "left out the ratio "+ratio, n, as(a, s, 1))
}

// parallel: what is in parallel (1 over the sum of what is left of each) added up.
func (ed *editor) parallel(n *Node) {
	if n.Kind != NodeDiv || !ed.one(n.Args[0]) {
		return
	}
	sum := ed.inverses(n.Args[1])
	if sum != nil && sum.Kind == NodeAdd {
		ed.put("added-up "+ed.name(n), "added the values up, as if they were in series", n, as(sum, ed.sort(n), 1))
	}
}

// one says that a node is the number 1.
func (ed *editor) one(n *Node) bool {
	return n.Kind == NodeNumber && !n.HasUnit && n.Number.Value() == 1
}

// inverses turns 1/a + 1/b + … into a + b + …; nil where n is something else.
func (ed *editor) inverses(n *Node) *Node {
	switch {
	case n.Kind == NodeDiv && ed.one(n.Args[0]):
		return ed.bare(n.Args[1])
	case n.Kind == NodeAdd:
		a, b := ed.inverses(n.Args[0]), ed.inverses(n.Args[1])
		if a != nil && b != nil {
			return twoOf(NodeAdd, a, b)
		}
	}
	return nil
}

// inverse is 1/b, times a factor.
func (ed *editor) inverse(b *Node, s sort, factor float64) *Node {
	return as(&Node{Kind: NodePow, Literal: noLiteral, Pos: b.Pos, End: b.End, Args: []*Node{ed.bare(b), whole(-1)}}, s, factor)
}

// points says that a product or quotient weighs temperatures, on the way to a mean.
func (ed *editor) points(n *Node) bool {
	return ed.sort(n.Args[0]).isPoint() || ed.sort(n.Args[1]).isPoint()
}

// products: divided, a factor left out.
func (ed *editor) products(n *Node) {
	if n.Kind != NodeMul || ed.points(n) {
		return
	}
	a, b, s := n.Args[0], n.Args[1], ed.sort(n)
	ua, ub := ed.unit(a), ed.unit(b)
	if single(b) || b.Kind == NodeAdd || b.Kind == NodeSub || b.Kind == NodeDiv {
		ed.put("left-out "+ed.name(b), "left out "+ed.name(b), n, as(ed.bare(a), s, ub))
		ed.put("divided "+ed.name(b), "divided by "+ed.name(b)+" where it should multiply", n, as(twoOf(NodeDiv, ed.bare(a), ed.bare(b)), s, ub*ub))
	}
	if single(a) || a.Kind == NodeAdd || a.Kind == NodeSub {
		ed.put("left-out "+ed.name(a), "left out "+ed.name(a), n, as(ed.bare(b), s, ua))
		ed.put("divided "+ed.name(a), "divided by "+ed.name(a)+" where it should multiply", n, as(twoOf(NodeDiv, ed.bare(b), ed.bare(a)), s, ua*ua))
	}
}

// sums of plain quantities: a term left out, the other sign, the wrong way round.
func (ed *editor) sums(n *Node) {
	if n.Kind != NodeAdd && n.Kind != NodeSub || ed.points(n) {
		return
	}
	a, b, s := n.Args[0], n.Args[1], ed.sort(n)
	if single(b) || b.Kind == NodeMul || b.Kind == NodeDiv {
		is := "left out " + ed.name(b)
		if air(b) {
			is += ": gauge and absolute pressure mixed up"
		}
		ed.put("left-out "+ed.name(b), is, n, as(a, s, 1))
	}
	if single(a) || a.Kind == NodeMul || a.Kind == NodeDiv {
		is := "left out " + ed.name(a)
		if n.Kind == NodeSub {
			is = "took " + ed.name(b) + " alone, not the difference"
		}
		ed.put("left-out "+ed.name(a), is, n, as(b, s, 1))
	}
	if n.Kind == NodeAdd {
		ed.put("subtracted "+ed.name(b), "subtracted "+ed.name(b)+" where it should be added", n, as(twoOf(NodeSub, ed.bare(a), ed.bare(b)), s, 1))
		if single(a) {
			ed.put("subtracted "+ed.name(a), "subtracted "+ed.name(a)+" where it should be added", n, as(twoOf(NodeSub, ed.bare(b), ed.bare(a)), s, 1))
		}
		return
	}
	ed.put("added "+ed.name(b), "added "+ed.name(b)+" where it should be subtracted", n, as(twoOf(NodeAdd, ed.bare(a), ed.bare(b)), s, 1))
	ed.put("reversed "+ed.name(n), "took the difference the wrong way round, "+ed.name(b)+" − "+ed.name(a), n, as(twoOf(NodeSub, ed.bare(b), ed.bare(a)), s, 1))
}

// differences and means of temperatures: one for the other, one temperature alone, the sum.
func (ed *editor) differences(n *Node) {
	s := ed.sort(n)
	if n.Kind == NodeDiv && len(n.Args[0].Args) == 2 && n.Args[0].Kind == NodeAdd && s.weight == 1 {
		a, b := n.Args[0].Args[0], n.Args[0].Args[1]
		ed.put("difference "+ed.name(n), "took the difference "+ed.name(a)+" − "+ed.name(b)+" in place of the mean", n, ed.celsius(twoOf(NodeSub, ed.bare(a), ed.bare(b)), s))
		ed.put("sum "+ed.name(n), "forgot to halve the sum for the mean", n, ed.celsius(twoOf(NodeAdd, ed.bare(a), ed.bare(b)), s))
		return
	}
	if n.Kind != NodeSub && n.Kind != NodeAdd || !ed.points(n) || s.weight != 0 && s.weight != 1 {
		return
	}
	a, b := n.Args[0], n.Args[1]
	put := func(key, is string, with *Node) {
		if s.weight == 1 {
			with = ed.celsius(with, s)
		} else {
			with = as(with, s, 1)
		}
		ed.put(key, is, n, with)
	}
	if s.weight == 0 {
		half := as(twoOf(NodeAdd, ed.bare(a), ed.bare(b)), sort{dim: s.dim}, 0.5)
		put("mean "+ed.name(n), "took the mean of "+ed.name(a)+" and "+ed.name(b)+" in place of their difference", half)
	}
	put("alone "+ed.name(a), "took "+ed.name(a)+" alone in place of "+ed.name(n), ed.bare(a))
	put("alone "+ed.name(b), "took "+ed.name(b)+" alone in place of "+ed.name(n), ed.bare(b))
	if n.Kind == NodeAdd {
		put("subtracted "+ed.name(b), "subtracted "+ed.name(b)+" where it should be added", twoOf(NodeSub, ed.bare(a), ed.bare(b)))
		return
	}
	put("added "+ed.name(b), "added "+ed.name(b)+" where it should be subtracted", twoOf(NodeAdd, ed.bare(a), ed.bare(b)))
	put("reversed "+ed.name(n), "took the difference the wrong way round, "+ed.name(b)+" − "+ed.name(a), twoOf(NodeSub, ed.bare(b), ed.bare(a)))
}

// celsius takes a number in K for a temperature in °C.
func (ed *editor) celsius(n *Node, s sort) *Node { return shifted(n, s, 1, zeroCelsius) }

// powers and roots: left out, multiplied, one too low.
func (ed *editor) powers(n *Node) {
	s := ed.sort(n)
	switch n.Kind {
	case NodePow:
		a, b, e := n.Args[0], n.Args[1], ed.exponent(n)
		u := ed.unit(n) / ed.unit(a)
		is := "left out the exponent " + ed.name(b)
		if e == 2 {
			is = "did not square " + ed.name(a)
		}
		ed.put("not-raised "+ed.name(n), is, n, as(ed.bare(a), s, u))
		ed.put("multiplied-exponent "+ed.name(n), "multiplied by the exponent "+ed.name(b)+" in place of raising to it", n, as(twoOf(NodeMul, ed.bare(a), ed.bare(b)), s, u))
		if e == float64(int(e)) && e >= 3 && e <= 9 {
			low := &Node{Kind: NodePow, Literal: noLiteral, Pos: n.Pos, End: n.End, Args: []*Node{ed.bare(a), whole(int(e) - 1)}}
			ed.put("raised-less "+ed.name(n), "raised "+ed.name(a)+" to "+strconv.Itoa(int(e)-1)+" in place of "+strconv.Itoa(int(e)), n, as(low, s, ed.unit(a)))
		}
	case NodeRoot:
		ed.put("no-root "+ed.name(n.Args[0]), "did not take the root of "+ed.name(n.Args[0]), n, as(ed.bare(n.Args[0]), s, ed.unit(n)/ed.unit(n.Args[0])))
	case NodeNumber, NodeName, NodePi, NodeNeg, NodeAdd, NodeSub, NodeMul, NodeDiv, NodeUnit, NodeCall:
	}
}
