package formula

import (
	"math"
	"slices"

	"witnessmark/internal/quantity"
)

// ConditionProgram is a compiled condition. It is immutable and safe for use by many goroutines.
type ConditionProgram struct {
	names []string
	root  compiledTest
}

type compiledTest struct {
	join        joint
	parts       []compiledTest
	left, right *Program
	from        [2][]int // where each side's values stand in the condition's
	sign        Comparison
	at          int // its place among the condition's comparisons
}

// CompileCondition checks names, units and kinds on both sides of every comparison and makes the programs. The error is
// an *Error.
func CompileCondition(c *Condition, env Env) (*ConditionProgram, error) {
	p := &ConditionProgram{}
	for _, n := range ConditionNames(c) {
		if name, ok := env.resolve(n, false); ok && !slices.Contains(p.names, name) {
			p.names = append(p.names, name)
		}
	}
	next := 0
	root, err := c.compile(c.root, env, p.names, &next)
	if err != nil {
		return nil, err
	}
	p.root = root
	return p, nil
}

// compile compiles a test; next counts the comparisons.
func (c *Condition) compile(t *test, env Env, names []string, next *int) (compiledTest, error) {
	out := compiledTest{join: t.join, sign: t.sign}
	for _, part := range t.parts {
		compiled, err := c.compile(part, env, names, next)
		if err != nil {
			return out, err
		}
		out.parts = append(out.parts, compiled)
	}
	if t.join != compared {
		return out, nil
	}
	out.at = *next
	*next++
	anySort := func(*compiler, *Node, sort) error { return nil }
	left, a, err := compile(&Expr{source: c.source, root: t.left, timesX: c.timesX}, env, mode{}, anySort)
	if err != nil {
		return out, err
	}
	right, b, err := compile(&Expr{source: c.source, root: t.right, timesX: c.timesX}, env, mode{}, anySort)
	if err != nil {
		return out, err
	}
	if message := incomparable(a, b); message != "" {
		return out, &Error{Source: c.source, Pos: t.pos, End: t.pos, Message: message}
	}
	out.left, out.right = left, right
	for i, side := range []*Program{left, right} {
		for _, n := range side.names {
			out.from[i] = append(out.from[i], slices.Index(names, n))
		}
	}
	return out, nil
}

// incomparable says why two values cannot be compared; empty where they can.
func incomparable(a, b sort) string {
	switch {
	case a.dim != b.dim:
		return "The left side is " + a.about() + ", the right side is " + b.about() + ": they cannot be compared."
	case math.Abs(a.weight-b.weight) > 1e-9:
		return "The left side is " + a.about() + ", the right side is " + b.about() + ": a difference is written in K."
	case a.kind != b.kind && a.kind != quantity.Plain && b.kind != quantity.Plain, a.scale != "" && b.scale != "" && a.scale != b.scale:
		return "The left side is " + a.about() + ", the right side is " + b.about() + ": they cannot be compared."
	}
	return ""
}

// Names lists the names whose values Eval wants, in its order.
func (p *ConditionProgram) Names() []string { return slices.Clone(p.names) }

// Eval decides the condition for values in SI base units, in the order of Names. Two sides within a relative 1e-9 count
// as equal: that holds for ≤, ≥ and =, and not for < and >. The error is that of the side that has no value; the parts
// after one that decides are not looked at.
func (p *ConditionProgram) Eval(values []float64) (bool, error) { return p.root.eval(values, nil) }

// Looked is a comparison that was looked at.
type Looked struct {
	At          int     // its place among the Comparisons of the condition
	Left, Right float64 // its sides, in SI base units
	Holds       bool
}

// Trace decides as Eval does, and lists the comparisons that were looked at, in order. Where a side has no value that
// comparison is not among them.
func (p *ConditionProgram) Trace(values []float64) ([]Looked, bool, error) {
	var out []Looked
	holds, err := p.root.eval(values, &out)
	return out, holds, err
}

// eval writes what it looks at into seen, where that is not nil.
func (t *compiledTest) eval(values []float64, seen *[]Looked) (bool, error) {
	if t.join == compared {
		return t.compare(values, seen)
	}
	for i := range t.parts {
		ok, err := t.parts[i].eval(values, seen)
		if err != nil {
			return false, err
		}
		if ok == (t.join == anyOf) {
			return ok, nil
		}
	}
	return t.join == allOf, nil
}

func (t *compiledTest) compare(values []float64, seen *[]Looked) (bool, error) {
	a, err := side(t.left, t.from[0], values)
	if err != nil {
		return false, err
	}
	b, err := side(t.right, t.from[1], values)
	if err != nil {
		return false, err
	}
	holds := t.sign.Holds(a, b)
	if seen != nil {
		*seen = append(*seen, Looked{t.at, a, b, holds})
	}
	return holds, nil
}

func side(p *Program, from []int, values []float64) (float64, error) {
	own := make([]float64, len(from))
	for i, f := range from {
		if f < 0 || f >= len(values) {
			return 0, &Error{Source: p.source, Message: "A value of this condition is missing."}
		}
		own[i] = values[f]
	}
	return p.Eval(own)
}
