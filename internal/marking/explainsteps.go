package marking

import (
	"math"
	"slices"
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
	put      map[string]*formula.Node  // a name's value, as it is shown first
	exact    map[*formula.Node]float64 // what a written value stands for, in its unit, unrounded
	told     map[string]bool           // lines that were written
	out      []formula.Line
}

func newStepper(env formula.Env) *stepper {
	return &stepper{
		env: env, values: map[string]float64{}, decimals: map[string]int{}, put: map[string]*formula.Node{},
		exact: map[*formula.Node]float64{}, told: map[string]bool{},
	}
}

// lines writes a figure's whole working; result is its value in the asked unit.
func (s *stepper) lines(expr *formula.Expr, key string, asked quantity.Unit, result float64, t brief.CompiledTolerance) []formula.Line {
	s.whole(expr, key, "=", asked, result, s.results(asked, t, result)...)
	return s.written()
}

// whole writes a formula's working: key, sign, and what comes to x in the asked unit, which ends shows.
func (s *stepper) whole(expr *formula.Expr, key, sign string, asked quantity.Unit, x float64, ends ...*formula.Node) {
	s.expr, s.asked = expr, asked
	root, name := expr.Root(), formula.Name(key)
	first := formula.Line{{Node: name}, {Sign: sign, Node: s.filled(root)}}
	line, before := formula.Line{{Node: name}}, len(s.out)
	last := s.reduce(root, nil)
	switch {
	case len(last.Args) > 0:
		left, between := s.converted(last, asked, x)
		line = append(line, formula.Side{Sign: sign, Node: left})
		if between != nil {
			line = append(line, s.side(between))
			s.sharpen(left, s.exact[between])
		} else {
			s.sharpen(left, x)
		}
	case !last.Unit.Equal(asked):
		line = append(line, formula.Side{Sign: "=", Node: last})
	}
	for _, n := range ends {
		line = append(line, s.side(n))
	}
	if sign != "=" {
		line[1].Sign = sign
	}
	if len(s.out) > before {
		s.out = slices.Insert(s.out, before, first)
	}
	s.out = append(s.out, line)
}

// written is every line so far; each sign says whether what stands behind it is written in full.
func (s *stepper) written() []formula.Line {
	for _, l := range s.out {
		for i := range l {
			if x, ok := s.exact[l[i].Node]; ok && (l[i].Sign == "=" || l[i].Sign == "≈") {
				l[i].Sign = signOf(x, l[i].Node.Number)
			}
		}
	}
	return s.out
}

// filled gives n with the values of its names in their places, as they are stated.
func (s *stepper) filled(n *formula.Node) *formula.Node {
	if n.Kind == formula.NodeName {
		u := s.env.Names[n.Name]
		x := u.FromSI(s.values[n.Name])
		v := formula.Value(statedNumber(x, s.decimals[n.Name]), u)
		if first := s.put[n.Name]; first != nil {
			v.Number = first.Number
		} else {
			s.put[n.Name] = v
		}
		s.exact[v] = x
		return v
	}
	if len(n.Args) == 0 {
		return n
	}
	m := *n
	m.Args = make([]*formula.Node, len(n.Args))
	for i, a := range n.Args {
		m.Args[i] = s.filled(a)
	}
	return &m
}

// reduce writes down what has to be worked out first and gives n with those values in their places. up is n's parent, nil
// for the whole.
func (s *stepper) reduce(n, up *formula.Node) *formula.Node {
	if len(n.Args) == 0 {
		return s.filled(n)
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
	comes := x
	if between != nil {
		line = append(line, s.side(between))
		comes = s.exact[between]
	}
	s.sharpen(left, comes)
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

// results are how a line ends: the result to eight figures, then as it is asked.
func (s *stepper) results(asked quantity.Unit, t brief.CompiledTolerance, x float64) []*formula.Node {
	ends := []*formula.Node{formula.Value(numberOf(trimmed(x, resultFigures)), asked)}
	if short := numberOf(asAsked(t, x)); short.Value() != ends[0].Number.Value() {
		ends = append(ends, formula.Value(short, asked))
	}
	for _, n := range ends {
		s.exact[n] = x
	}
	return ends
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
