package formula

import "witnessmark/internal/quantity"

// NodeKind says what a Node is.
type NodeKind uint8

const (
	// NodeNumber is a literal: Number, and Unit where HasUnit. A temperature below zero carries its sign in Number.
	NodeNumber NodeKind = iota
	// NodeName is a given, a reading or an earlier figure: Name.
	NodeName
	// NodePi is π.
	NodePi
	// NodeNeg is −Args[0].
	NodeNeg
	// NodeAdd is Args[0] + Args[1].
	NodeAdd
	// NodeSub is Args[0] − Args[1].
	NodeSub
	// NodeMul is Args[0] × Args[1].
	NodeMul
	// NodeDiv is Args[0] / Args[1].
	NodeDiv
	// NodePow is Args[0] to the power of Args[1].
	NodePow
	// NodeRoot is the square root of Args[0].
	NodeRoot
	// NodeUnit gives Args[0], a plain number, the unit Unit: (3 + 4) m or 10³ W.
	NodeUnit
	// NodeCall is a function Name of Args.
	NodeCall
)

// Node is one part of a formula's tree. Pos and End are byte offsets into the formula's text as typed. Nodes are not
// changed after parsing.
type Node struct {
	Kind     NodeKind
	Pos, End int
	*Literal // of a NodeNumber and a NodeUnit; empty for all others
	Name     string
	Args     []*Node
	cast     *cast // of a nodeCast, which only edited trees have
}

// Literal is a number as it is written, with its unit; or the unit behind a bracket. It is apart from the node because
// most nodes have none.
type Literal struct {
	Number  quantity.Number
	Unit    quantity.Unit
	HasUnit bool
	// slash says that the number is a fraction typed with a slash, as 1/2: with a unit behind it, as in 1/2 m, it can be
	// read two ways.
	slash bool
}

// noLiteral is what nodes without a literal share.
var noLiteral = &Literal{}

// Expr is a formula that was read.
type Expr struct {
	source string
	root   *Node
	timesX int // the place of an x read as a times sign, plus one; 0 where there is none
	// fraction is the first fraction typed with a slash before a unit, which can be read two ways; nil where there is none.
	fraction *Node
}

// Source gives the text as typed.
func (e *Expr) Source() string { return e.source }

// Root gives the tree, for typesetting and explanations.
func (e *Expr) Root() *Node { return e.root }

// Names lists the names the formula uses, each once, in the order of their first use.
func Names(e *Expr) []string { return appendNames(nil, e.root) }

func appendNames(names []string, n *Node) []string {
	if n.Kind == NodeName {
		for _, have := range names {
			if have == n.Name {
				return names
			}
		}
		return append(names, n.Name)
	}
	for _, a := range n.Args {
		names = appendNames(names, a)
	}
	return names
}

// Functions lists the functions the formula calls, each once, in the order of their first use.
func Functions(e *Expr) []string {
	var names []string
	var walk func(*Node)
	walk = func(n *Node) {
		if n.Kind == NodeCall {
			for _, have := range names {
				if have == n.Name {
					return
				}
			}
			names = append(names, n.Name)
		}
		for _, a := range n.Args {
			walk(a)
		}
	}
	walk(e.root)
	return names
}
