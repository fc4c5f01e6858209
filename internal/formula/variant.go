package formula

import (
	"math"
	"slices"
	"strings"

	"witnessmark/internal/quantity"
)

// MaxVariants is how many variants of a formula are kept. With more of them a wrong figure that has nothing to do with
// any would too often look like one.
const MaxVariants = 60

// Variant is a formula with one slip in it: a wrong way of working that people are known for.
type Variant struct {
	Key     string   // machine-readable: the kind of slip and what it touches, as in "left-out cp"
	Is      string   // in a tutor's words, as in "left out cp"; lower case, no full stop
	Program *Program // takes its own names' values (Names) and gives SI base units, as the formula's own does
}

// Sample is one set of values by name, in SI base units. Names may be missing where nobody knows their value.
type Sample map[string]float64

// Variants edits the tree of a formula in one place at a time and gives what comes out, most telling first: the same
// formula always gives the same variants in the same order. The formula has to compile for asked.
//
// An edit is what happens on paper and on a calculator, so it does not stop at dimensions: where a factor is left out or
// turned over, the numbers stand as they are written, each in its own unit, and the result is taken for one in the asked
// unit. A density counts as kg/L there, since litres are what the trade measures.
//
// Samples are the spread of values that the formula meets. A variant that gives the formula's own value in all of them,
// or that of one of the declared programs, is left out; so is one that mostly has no value. Of variants that agree with
// one another in all of them the first stays and says the second as well: nobody could tell them apart.
func Variants(e *Expr, env Env, asked quantity.Unit, declared []*Program, samples []Sample) []Variant {
	reference, err := Compile(e, env, asked)
	if err != nil {
		return nil
	}
	ed := newEditor(e, env, asked)
	ed.edits()
	found := make([]Variant, 0, len(ed.out))
	for _, x := range ed.out {
		p, err := Compile(&Expr{source: e.source, root: x.root}, env, asked)
		if err == nil {
			found = append(found, Variant{Key: x.key, Is: x.is, Program: p})
		}
	}
	return distinct(found, append([]*Program{reference}, declared...), samples)
}

// distinct leaves out what gives the value of a known program and merges what cannot be told apart.
func distinct(found []Variant, known []*Program, samples []Sample) []Variant {
	programs := known
	for _, v := range found {
		programs = append(programs, v.Program)
	}
	columns := sampled(programs, samples)
	var kept []Variant
	var places []int // of the kept ones among programs
	merged := map[int]bool{}
next:
	for i, v := range found {
		at := len(known) + i
		if rarely(columns[at]) {
			continue
		}
		for k := range known {
			if alike(columns[at], columns[k]) {
				continue next
			}
		}
		for k, place := range places {
			if alike(columns[at], columns[place]) {
				if !merged[k] && worthSaying(v, kept[k]) {
					kept[k].Is += "; or " + v.Is
					merged[k] = true
				}
				continue next
			}
		}
		if len(kept) < MaxVariants {
			kept, places = append(kept, v), append(places, at)
		}
	}
	for i := range kept {
		if kept[i].Key[0] == '~' {
			kept[i].Key = kept[i].Key[1:]
		}
	}
	return kept
}

// worthSaying says that a variant's words tell something beside those of one that comes to the same. A unit so far off that
// the term vanishes is a term left out.
func worthSaying(v, beside Variant) bool {
	return v.Key[0] != '~' && v.Is != beside.Is && !(strings.HasPrefix(v.Key, "unit") && strings.HasPrefix(beside.Key, "left-out"))
}

// sampled runs every program on every sample; NaN stands where there is no value.
func sampled(programs []*Program, samples []Sample) [][]float64 {
	family := NewFamily(programs)
	names := family.Names()
	columns := make([][]float64, len(programs))
	in, slots := make([]float64, len(names)), []float64(nil)
	for _, s := range samples {
		for i, n := range names {
			v, ok := s[n]
			if !ok {
				v = math.NaN()
			}
			in[i] = v
		}
		slots = family.Eval(in, slots)
		for i := range programs {
			v, ok := family.Result(slots, i)
			if !ok {
				v = math.NaN()
			}
			columns[i] = append(columns[i], v)
		}
	}
	return columns
}

// rarely says that a column has a value in less than half of the samples.
func rarely(column []float64) bool {
	known := 0
	for _, v := range column {
		if v == v {
			known++
		}
	}
	return 2*known < len(column) || known == 0
}

// toldApart is the share by which two values have to differ somewhere to be told apart on the digits that people state.
const toldApart = 1e-4

// alike says that two columns agree wherever both have a value, and that somewhere both have one.
func alike(a, b []float64) bool {
	both := false
	for i := range a {
		if a[i] != a[i] || b[i] != b[i] {
			continue
		}
		if both = true; math.Abs(a[i]-b[i]) > toldApart*math.Max(math.Abs(a[i]), math.Abs(b[i])) {
			return false
		}
	}
	return both
}

// walk lists the nodes of a tree, each before its arguments.
func walk(n *Node, out []*Node) []*Node {
	out = append(out, n)
	for _, a := range n.Args {
		out = walk(a, out)
	}
	return out
}

// replaced is the tree root with one node in place of another; the rest is shared.
func replaced(root, at, with *Node) *Node {
	return edited(root, func(n *Node) *Node {
		if n == at {
			return with
		}
		return nil
	})
}

// edited is the tree root with what change makes of its nodes in their places; nil leaves a node as it is. The rest is
// shared.
func edited(root *Node, change func(*Node) *Node) *Node {
	if with := change(root); with != nil {
		return with
	}
	args := root.Args
	for i, a := range root.Args {
		b := edited(a, change)
		if b == a {
			continue
		}
		if &args[0] == &root.Args[0] {
			args = slices.Clone(args)
		}
		args[i] = b
	}
	if len(args) == 0 || &args[0] == &root.Args[0] {
		return root
	}
	c := *root
	c.Args = args
	return &c
}
