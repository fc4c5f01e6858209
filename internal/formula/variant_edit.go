package formula

import (
	"slices"
	"strconv"
	"strings"

	"witnessmark/internal/quantity"
)

// editor collects the edits of one formula.
type editor struct {
	expr  *Expr
	env   Env
	asked quantity.Unit
	nodes []*Node // of the tree, each before its arguments
	sorts map[*Node]sort
	texts map[*Node]string
	out   []edit
}

// mostEdits bounds the edits that are tried of a long formula, before the last few that every formula has.
const mostEdits = 240

func newEditor(e *Expr, env Env, asked quantity.Unit) *editor {
	return &editor{expr: e, env: env, asked: asked, nodes: walk(e.root, nil), sorts: map[*Node]sort{}, texts: map[*Node]string{}}
}

// edit is one edited tree. A key that begins with ~ belongs to an edit that says little; its words are not put beside
// those of another that comes to the same.
type edit struct {
	key, is string
	root    *Node
}

// edits collects all edits, the most telling kinds first. That order decides which words a value gets that several edits
// lead to, and which variants stay where there are too many.
func (ed *editor) edits() {
	ed.resultUnits()
	ed.unitsThroughout()
	ed.gaugeThroughout()
	for _, kind := range []func(*Node){
		ed.sums, ed.units, ed.pressures, ed.temperatures, ed.angles, ed.logarithms, ed.circles, ed.ratios, ed.parallel,
		ed.divisions, ed.products, ed.differences, ed.powers, ed.extremes, ed.statistics, ed.takenFor, ed.constants,
	} {
		for _, n := range ed.nodes {
			if len(ed.out) < mostEdits {
				kind(n)
			}
		}
	}
	ed.resultFactors()
}

// once notes the tree with one node in another's place.
func (ed *editor) once(key, is string, at, with *Node) {
	ed.out = append(ed.out, edit{key: key, is: is, root: replaced(ed.expr.root, at, with)})
}

// put is once, and where the same stands in the formula several times, the tree with all of them replaced as well: whoever
// gets a part wrong mostly works it out once.
func (ed *editor) put(key, is string, at, with *Node) {
	ed.once(key, is, at, with)
	text, places, first := ed.name(at), 0, (*Node)(nil)
	same := func(n *Node) bool { return n.Kind == at.Kind && ed.name(n) == text }
	for _, n := range ed.nodes {
		if same(n) {
			if places++; first == nil {
				first = n
			}
		}
	}
	if places < 2 || first != at {
		return // it is noted at the first of them
	}
	root := edited(ed.expr.root, func(n *Node) *Node {
		if same(n) {
			return with
		}
		return nil
	})
	ed.out = append(ed.out, edit{key: key + " throughout", is: is + ", throughout", root: root})
}

// name is a node as a sentence repeats it: a function by its name alone, anything long cut off.
func (ed *editor) name(n *Node) string {
	if n.Kind == NodeCall && builtins[n.Name].compile == nil {
		return n.Name
	}
	if text, ok := ed.texts[n]; ok {
		return text
	}
	s := []rune(strings.ReplaceAll((&Expr{source: ed.expr.source, root: n}).String(), "-", "−"))
	if len(s) > 40 {
		s = append(s[:39], '…')
	}
	ed.texts[n] = string(s)
	return ed.texts[n]
}

// whole is a whole number as a node.
func whole(n int) *Node {
	x, err := quantity.ParseNumber(strconv.Itoa(n))
	if err != nil {
		return &Node{Kind: NodeNumber, Literal: noLiteral}
	}
	return &Node{Kind: NodeNumber, Literal: &Literal{Number: x}}
}

// takenFor: one value for another of the same kind, in the formula first, then anywhere in the brief so far.
func (ed *editor) takenFor(n *Node) {
	if n.Kind != NodeName && (n.Kind != NodeNumber || !n.HasUnit) {
		return
	}
	s := ed.sort(n)
	for _, o := range ed.nodes {
		same := o.Kind == n.Kind && ed.name(o) != ed.name(n) && (o.Kind == NodeName || o.HasUnit)
		if t := ed.sort(o); same && t.dim == s.dim && t.weight == s.weight {
			ed.once("~taken-for "+ed.name(n)+" "+ed.name(o), "took "+ed.name(o)+" for "+ed.name(n), n, as(o, s, 1))
		}
	}
	if n.Kind == NodeName {
		ed.strangers(n, s)
	}
}

// mostStrangers bounds how many values from outside the formula are tried for one of its own.
const mostStrangers = 6

// strangers are values of the brief that the formula does not use and that could stand for one it does.
func (ed *editor) strangers(n *Node, s sort) {
	used := Names(ed.expr)
	tried := 0
	for _, name := range ed.env.sortedNames() {
		t := sortOf(ed.env.Names[name])
		if tried == mostStrangers || t.dim != s.dim || t.weight != s.weight || t.dim.IsNumber() || slices.Contains(used, name) {
			continue
		}
		tried++
		with := &Node{Kind: NodeName, Literal: noLiteral, Pos: n.Pos, End: n.End, Name: name}
		ed.once("~taken-for "+n.Name+" "+name, "took "+name+" for "+n.Name, n, as(with, s, 1))
	}
}
