package formula

import (
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// Thumb is a rule of thumb that practice puts in the place of a function: one value whatever its arguments.
type Thumb struct {
	Key   string  // names the rule, as a brief does that rules it out
	Is    string  // in words, as in "water at 1 kg/L"
	Value float64 // in SI base units, in place of the function's result
	// Growth is what practice takes for the ratio of two of the function's values, less 1; nil where there is no such
	// rule.
	Growth *Thumb
}

// Thumbs gives a formula as it is worked by rule of thumb: with one value for a property that the formula looks up, and
// with all such values at once. Rules whose keys are ruled out are not used. A rule that leads to the value of a declared
// slip on all samples, or to the formula's own, is left out; so is one that mostly is more than a tenth off, because it
// is for something else, unless it is a growth.
func Thumbs(e *Expr, env Env, asked quantity.Unit, ruledOut []string, declared []*Program, samples []Sample) []Variant {
	reference, err := Compile(e, env, asked)
	if err != nil {
		return nil
	}
	ed := newEditor(e, env, asked)
	var found []Variant
	add := func(x edit) {
		if p, err := Compile(&Expr{source: e.source, root: x.root}, env, asked); err == nil && !slices.Contains(ruledOut, x.key) {
			found = append(found, Variant{Key: x.key, Is: x.is, Program: p})
		}
	}
	for _, n := range ed.nodes {
		if t := ed.growth(n); t != nil {
			add(edit{t.Key, t.Is, replaced(e.root, n, ed.fixed(n, t.Value))})
		}
	}
	growths := len(found)
	for _, x := range ed.values() {
		add(x)
	}
	near := slices.DeleteFunc(found[growths:], func(v Variant) bool { return !nearly(v.Program, reference, samples) })
	return distinct(found[:growths+len(near)], append([]*Program{reference}, declared...), samples)
}

// growth is the rule for a ratio of a property's values, less 1.
func (ed *editor) growth(n *Node) *Thumb {
	if n.Kind == NodeCall {
		if t := ed.env.Functions[n.Name].Thumb; t != nil && t.Growth == nil && ed.env.Functions[n.Name].Result.Dimension().IsNumber() {
			return t
		}
		return nil
	}
	if n.Kind != NodeSub || n.Args[0].Kind != NodeDiv {
		return nil
	}
	a, b, one := n.Args[0].Args[0], n.Args[0].Args[1], n.Args[1]
	if a.Kind != NodeCall || b.Kind != NodeCall || a.Name != b.Name || one.Kind != NodeNumber || one.HasUnit || one.Number.Value() != 1 {
		return nil
	}
	if t := ed.env.Functions[a.Name].Thumb; t != nil {
		return t.Growth
	}
	return nil
}

// values puts the rules' values in the place of calls: first of all functions, then of each alone.
func (ed *editor) values() []edit {
	var names []string
	for _, n := range ed.nodes {
		if n.Kind == NodeCall && ed.env.Functions[n.Name].Thumb != nil && !slices.Contains(names, n.Name) {
			names = append(names, n.Name)
		}
	}
	sets := [][]string{names}
	if len(names) > 1 {
		for _, n := range names {
			sets = append(sets, []string{n})
		}
	}
	var out []edit
	for _, set := range sets {
		var x edit
		var is []string
		x.root = edited(ed.expr.root, func(n *Node) *Node {
			if n.Kind != NodeCall || !slices.Contains(set, n.Name) {
				return nil
			}
			t := ed.env.Functions[n.Name].Thumb
			if x.key = t.Key; !slices.Contains(is, t.Is) {
				is = append(is, t.Is)
			}
			return ed.fixed(n, t.Value)
		})
		if x.is = strings.Join(is, " and "); x.is != "" {
			out = append(out, x)
		}
	}
	return out
}

// fixed is a value in the place of a node.
func (ed *editor) fixed(n *Node, value float64) *Node {
	one := whole(1)
	one.Pos, one.End = n.Pos, n.End
	return as(one, ed.sort(n), value)
}

// nearly says that a program mostly gives what another does, to a tenth.
func nearly(p, reference *Program, samples []Sample) bool {
	columns := sampled([]*Program{reference, p}, samples)
	far := 0
	for i, ref := range columns[0] {
		if x := columns[1][i]; !(x-ref <= 0.1*max(ref, -ref) && ref-x <= 0.1*max(ref, -ref)) {
			far++
		}
	}
	return 2*far < len(samples)
}
