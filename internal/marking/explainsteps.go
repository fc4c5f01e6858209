package marking

import (
	"math"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// stepper writes a formula's working down, as a tutor would on a board: functions, brackets and sums one after another, a
// product as far as it comes to a quantity that the trade has a unit for, and conversions where the bare numbers would not
// come out right without them. Every step goes on unrounded.
type stepper struct {
	expr     *formula.Expr
	env      formula.Env
	asked    quantity.Unit
	values   map[string]float64        // of names, SI
	decimals map[string]int            // that they were stated with
	exact    map[*formula.Node]float64 // what a written value stands for, in its unit, unrounded
	told     map[string]bool           // conversions that were written
	out      []formula.Line
}

// lines writes all of it; result is the value in the asked unit.
func (s *stepper) lines(it *brief.CompiledItem, result float64) []formula.Line {
	root := s.expr.Root()
	name := formula.Name(it.Item.Key)
	first := formula.Line{{Node: name}, {Sign: "=", Node: s.put(root)}}
	line := formula.Line{{Node: name}}
	last := s.reduce(root, nil)
	switch {
	case len(last.Args) > 0:
		left, between := s.converted(last, s.asked, result)
		line = append(line, formula.Side{Sign: "=", Node: left})
		if between != nil {
			line = append(line, s.side(between))
		}
	case !last.Unit.Equal(s.asked):
		line = append(line, formula.Side{Sign: "=", Node: last})
	}
	if len(s.out) > 0 {
		s.out = append([]formula.Line{first}, s.out...)
	}
	return append(s.out, s.resulting(line, it.Tolerance, result))
}

// put gives n with the values of its names in their places, as they are stated.
func (s *stepper) put(n *formula.Node) *formula.Node {
	if n.Kind == formula.NodeName {
		u := s.env.Names[n.Name]
		x := u.FromSI(s.values[n.Name])
		v := formula.Value(statedNumber(x, s.decimals[n.Name]), u)
		s.exact[v] = x
		return v
	}
	if len(n.Args) == 0 {
		return n
	}
	m := *n
	m.Args = make([]*formula.Node, len(n.Args))
	for i, a := range n.Args {
		m.Args[i] = s.put(a)
	}
	return &m
}

// reduce writes down what has to be worked out first and gives n with those values in their places. up is n's parent, nil
// for the whole.
func (s *stepper) reduce(n, up *formula.Node) *formula.Node {
	if len(n.Args) == 0 {
		return s.put(n)
	}
	m := *n
	m.Args = make([]*formula.Node, len(n.Args))
	for i, a := range n.Args {
		m.Args[i] = s.reduce(a, n)
	}
	if arg := m.Args[0]; n.Kind == formula.NodeUnit && arg.Kind == formula.NodeNumber && !arg.HasUnit {
		return s.value(s.in(arg), n.Unit)
	}
	if up == nil {
		return &m
	}
	part, err := formula.CompilePart(s.expr, n, s.env)
	if err != nil || !s.ownStep(n, up, part) {
		return &m
	}
	si, err := part.SI(func(name string) (float64, bool) { v, ok := s.values[name]; return v, ok })
	if err != nil {
		return &m
	}
	return s.step(&m, up, part, si)
}

// ownStep reports whether a part is written as a step of its own. A ratio in a sum is not: 1.0287 − 1 would lose the
// figures that matter.
func (s *stepper) ownStep(n, up *formula.Node, part formula.Part) bool {
	inSum := up.Kind == formula.NodeAdd || up.Kind == formula.NodeSub
	inProduct := up.Kind == formula.NodeMul || up.Kind == formula.NodeDiv
	switch n.Kind {
	case formula.NodeCall:
		return true
	case formula.NodeAdd, formula.NodeSub:
		return !inSum || up.Args[0] != n
	case formula.NodeMul, formula.NodeDiv:
		if inProduct && up.Args[0] == n {
			return up.Kind == formula.NodeMul && !s.plain(up.Args[1]) && natural(part)
		}
		return up.Kind != formula.NodeNeg && !(inSum && part.Dimension.IsNumber())
	case formula.NodePow, formula.NodeRoot:
		return !inProduct && up.Kind != formula.NodeNeg
	case formula.NodeNumber, formula.NodeName, formula.NodePi, formula.NodeNeg, formula.NodeUnit:
	}
	return false
}

// plain reports whether n is a number or a name without a unit, which joins the product before it.
func (s *stepper) plain(n *formula.Node) bool {
	switch n.Kind {
	case formula.NodeNumber:
		return n.Unit.Dimension().IsNumber()
	case formula.NodeName:
		return s.env.Names[n.Name].Dimension().IsNumber()
	case formula.NodePi:
		return true
	case formula.NodeNeg, formula.NodeAdd, formula.NodeSub, formula.NodeMul, formula.NodeDiv, formula.NodePow, formula.NodeRoot, formula.NodeUnit, formula.NodeCall:
	}
	return false
}

// step writes one part down and gives its value.
func (s *stepper) step(m, up *formula.Node, part formula.Part, si float64) *formula.Node {
	u := s.unit(m, up, part, si)
	x := u.FromSI(si)
	left, between := s.converted(m, u, x)
	line := formula.Line{{Node: left}}
	if between != nil {
		line = append(line, s.side(between))
	}
	v := s.value(x, u)
	s.tell(append(line, s.side(v)))
	return v
}

// value is a node for a value in a unit; it remembers what was not rounded.
func (s *stepper) value(x float64, u quantity.Unit) *formula.Node {
	n := formula.Value(numberOf(trimmed(x, stepFigures)), u)
	s.exact[n] = x
	return n
}

// side is a value behind the sign that says whether it is written in full.
func (s *stepper) side(n *formula.Node) formula.Side {
	return formula.Side{Sign: signOf(s.exact[n], n.Number), Node: n}
}

// resulting ends a line with the result: to eight figures, then as it is asked.
func (s *stepper) resulting(line formula.Line, t brief.CompiledTolerance, x float64) formula.Line {
	full := numberOf(trimmed(x, resultFigures))
	line = append(line, formula.Side{Sign: signOf(x, full), Node: formula.Value(full, s.asked)})
	if asked := numberOf(asAsked(t, x)); asked.Value() != full.Value() {
		line = append(line, formula.Side{Sign: "≈", Node: formula.Value(asked, s.asked)})
	}
	return line
}

const (
	stepFigures   = 5 // of a value on its way
	resultFigures = 8 // of a result that is not rounded yet
)

// asAsked is a result rounded as it is asked.
func asAsked(t brief.CompiledTolerance, x float64) string {
	return quantity.RoundFigures(x, askedFigures(t, x))
}

// askedFigures is how many figures a result needs: as many as the tolerance asks for, else three, or more until all digits
// before the point are there and rounding takes no more than a tenth of the tolerance.
func askedFigures(t brief.CompiledTolerance, x float64) int {
	if t.Figures > 0 {
		return t.Figures
	}
	most := max(t.Absolute, t.Relative*math.Abs(x)) / 10
	for figures := 3; figures < 6; figures++ {
		if math.Abs(x) < math.Pow10(figures) && math.Abs(numberOf(quantity.RoundFigures(x, figures)).Value()-x) <= most {
			return figures
		}
	}
	return 6
}

// statedNumber is a value with the decimals that it was stated with, where they hold it in full; else as a step shows it.
func statedNumber(x float64, decimals int) quantity.Number {
	if decimals >= 0 {
		if n := numberOf(quantity.RoundDecimals(x, decimals)); signOf(x, n) == "=" {
			return n
		}
	}
	return numberOf(trimmed(x, stepFigures))
}

// signOf is "=" before a value that is written in full, and else "≈".
func signOf(x float64, n quantity.Number) string {
	if quantity.Stored(x) == quantity.Stored(n.Value()) {
		return "="
	}
	return "≈"
}

// numberOf reads a number that this package wrote.
func numberOf(text string) quantity.Number {
	n, err := quantity.ParseNumber(strings.ReplaceAll(text, "\u2009", ""))
	if err != nil {
		return quantity.Number{}
	}
	return n
}
