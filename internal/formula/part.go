package formula

import "witnessmark/internal/quantity"

// Part is a part of a formula that has a value of its own: what it measures, and how to work it out.
type Part struct {
	Dimension quantity.Dimension
	Kind      quantity.Kind
	Scale     string
	program   *Program
}

// CompilePart compiles n, a part of e's tree, for explanations. The error is as Compile's; it also says that a part has no
// value of its own, such as the sum of two temperatures that is on its way to a mean.
func CompilePart(e *Expr, n *Node, env Env) (Part, error) {
	p, s, err := compile(&Expr{source: e.source, root: n}, env, mode{}, func(c *compiler, root *Node, s sort) error {
		if s.weight != 0 && s.weight != 1 {
			return c.fail(root, "This is %s, and no value of its own.", s.about())
		}
		return nil
	})
	if err != nil {
		return Part{}, err
	}
	return Part{Dimension: s.dim, Kind: s.unitKind(), Scale: s.scale, program: p}, nil
}

// SI works the part out, in SI base units; values are asked for by name.
func (p Part) SI(values Values) (float64, error) { return p.program.evalNames(values) }
