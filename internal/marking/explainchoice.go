package marking

import (
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// WorkedOption is an option of a choice, or a size, put to the test.
type WorkedOption struct {
	Text  string       // "22 × 0.9 mm"; "" of a size, whose comparison begins with it
	Tests []WorkedTest // its comparisons, as far as they had to be looked at; none where it takes what the others leave
	Holds bool
}

// WorkedTest is a comparison with the values put in.
type WorkedTest struct {
	Join  string         // "and" or "or", how it is joined to the one before it; "" of the first
	Lines []formula.Line // in symbols, then what its sides come to where they are worked out
	Last  formula.Line   // with the values: 0.97 m/s ≤ 1.5 m/s
	Holds bool
}

// Words says whether the comparison holds.
func (t WorkedTest) Words() string {
	if t.Holds {
		return "holds"
	}
	return "does not hold"
}

// Words says that an option has nothing to keep; "" where it has.
func (o WorkedOption) Words() string {
	if len(o.Tests) == 0 {
		return "without a condition"
	}
	return ""
}

func (e *explainer) choice(it *brief.CompiledItem) Explanation {
	out := Explanation{Item: it.Item.Key, Title: it.Item.Title}
	if it.Formula != nil {
		expr, err := formula.Parse(it.Formula.Text)
		if err != nil { // cannot be: the brief was compiled from it
			out.Given.Why = err.Error()
			return out
		}
		out.Formula = formula.Line{{Node: formula.Name(it.Item.Key)}, {Sign: "≥", Node: expr.Root()}}
	}
	given, own := e.m.answerTo(it, false), e.m.answerTo(it, true)
	out.Given = e.decided(it, given, false)
	if own.known && (!given.known || own.text != given.text) {
		w := e.decided(it, own, true)
		w.Values = differing(w.Values, out.Given.Values)
		out.Own = &w
	}
	out.Stands = e.chose(it, given)
	return out
}

// decided shows how a choice comes to its answer, from the trainee's own earlier answers where own is set.
func (e *explainer) decided(it *brief.CompiledItem, answer chosen, own bool) Worked {
	switch {
	case !answer.known:
		return Worked{Values: e.values(it.Needs(), nil, own), Why: sentenceOf(answer.why)}
	case it.Formula != nil:
		return e.sized(it, answer, own)
	}
	s := e.stepper(it.Needs(), own)
	w := Worked{Answer: answer.text}
	var needs []int
	for i := range it.Options {
		o := &it.Options[i]
		tried := WorkedOption{Text: o.Option.Text, Holds: o.Condition == nil}
		if o.Condition != nil {
			tried.Tests, tried.Holds = e.tests(s, o.Condition, own)
			needs = append(needs, o.Condition.Needs...)
		}
		w.Options = append(w.Options, tried)
		if tried.Holds {
			break
		}
	}
	s.written()
	w.Values, w.So = e.values(needs, s, own), soOption(&w)
	return w
}

// soOption is what the tests of a choice by conditions come to.
func soOption(w *Worked) string {
	last := w.Options[len(w.Options)-1]
	switch {
	case !last.Holds:
		return "None of the conditions holds: " + none + "."
	case len(last.Tests) == 0:
		return "No condition above holds, so it is this one: " + last.Text + "."
	case len(w.Options) == 1:
		return "The first condition holds, so it is this one: " + last.Text + "."
	}
	return "This is the first that holds: " + last.Text + "."
}

// tests puts a condition to the test. It holds where the marker says so.
func (e *explainer) tests(s *stepper, c *brief.Condition, own bool) ([]WorkedTest, bool) {
	condition, err := formula.ParseCondition(c.Text)
	in, why := e.m.inputs(c.Needs, own)
	if err != nil || why != "" { // cannot be: the brief was compiled from it, and the answer is known
		return nil, false
	}
	looked, holds, err := c.Program.Trace(in)
	if err != nil {
		return nil, false
	}
	var out []WorkedTest
	comparisons := condition.Comparisons()
	for _, l := range looked {
		x := comparisons[l.At]
		t := WorkedTest{Join: x.Join, Holds: l.Holds}
		t.Lines, t.Last = s.comparison(x, l)
		out = append(out, t)
	}
	return out, holds
}

// sized works a size's formula out and compares it with the first size that is not less, and with the one below that.
func (e *explainer) sized(it *brief.CompiledItem, answer chosen, own bool) Worked {
	expr, err := formula.Parse(it.Formula.Text)
	r := e.m.evaluate(it.Formula, it.Unit, own)
	if err != nil || !r.known { // cannot be: the brief was compiled from it, and the answer is known
		return Worked{Why: sentenceOf(r.why)}
	}
	s := e.stepper(it.Formula.Needs, own)
	least := s.value(r.value, it.Unit)
	s.whole(expr, it.Item.Key, "≥", it.Unit, r.value, least)
	w := Worked{Answer: answer.text, So: soSize(it, answer)}
	first := slices.Index(it.Sizes, answer.size)
	if first < 0 {
		first = len(it.Sizes)
	}
	for i := max(first-1, 0); i <= min(first, len(it.Sizes)-1); i++ {
		size := formula.Value(numberOf(it.Item.Choice.Size.Sizes[i]), it.Unit)
		s.tellApart(size, formula.GreaterOrEqual, least, i == first)
		line := formula.Line{{Node: size}, {Sign: formula.GreaterOrEqual.String(), Node: least}}
		w.Options = append(w.Options, WorkedOption{Tests: []WorkedTest{{Last: line, Holds: i == first}}, Holds: i == first})
	}
	w.Lines = s.written()
	w.Values = e.values(it.Formula.Needs, s, own)
	return w
}

func soSize(it *brief.CompiledItem, answer chosen) string {
	switch {
	case answer.text == none:
		return "No size is large enough: " + none + "."
	case it.Item.Choice.Size.Larger && answer.size < it.Sizes[len(it.Sizes)-1]:
		return "The first size that is not too small is " + answer.text + "; a larger one is right as well."
	}
	return "The first size that is not too small is " + answer.text + "."
}

// chose says what was chosen, and what is accepted.
func (e *explainer) chose(it *brief.CompiledItem, given chosen) string {
	f := e.finding(it.Item.Key)
	if f == nil || f.Verdict == NotAttempted || f.Stated == "" {
		return ""
	}
	s := "Chosen: " + joined(f.Stated, e.printedSize(it)) + "."
	switch {
	case !given.known:
		return s
	case it.Formula != nil && it.Item.Choice.Size.Larger && given.text != none && given.size < it.Sizes[len(it.Sizes)-1]:
		return s + " Accepted: " + given.text + " or larger."
	}
	return s + " Accepted: " + given.text + "."
}

// printedSize is a size's unit where the trainee typed none.
func (e *explainer) printedSize(it *brief.CompiledItem) string {
	entry := e.m.entries[lineKey{item: it.Item.Key}]
	if t := readTyped(entry.Text, entry.Unit, it.Unit); it.Formula != nil && t.verdict == "" && !t.unitSet {
		return it.Unit.String()
	}
	return ""
}

// comparison writes one comparison down: in symbols, with its sides worked out, and last with the values.
func (s *stepper) comparison(x formula.Compared, l formula.Looked) (lines []formula.Line, last formula.Line) {
	before, sign := len(s.out), x.Sign.String()
	s.out = append(s.out, formula.Line{{Node: x.Left.Root()}, {Sign: sign, Node: x.Right.Root()}})
	left, right := s.worth(x.Left, l.Left, x.Right), s.worth(x.Right, l.Right, x.Left)
	if left.Kind == formula.NodeNumber && right.Kind == formula.NodeNumber {
		right = s.as(right, left.Unit)
		s.tellApart(left, x.Sign, right, l.Holds)
	}
	return slices.Clone(s.out[before:]), formula.Line{{Node: left}, {Sign: sign, Node: right}}
}

// worth is one side of a comparison as a value, which comes to si; its steps are written down. The other side says which
// unit is at home here.
func (s *stepper) worth(side *formula.Expr, si float64, other *formula.Expr) *formula.Node {
	s.expr, s.asked = side, s.home(other)
	root := side.Root()
	part, err := formula.CompilePart(side, root, s.env)
	if len(root.Args) == 0 || err != nil { // a value, or what has none of its own, such as the sum of two temperatures
		return s.filled(root)
	}
	step := s.reduce(root, nil)
	if step.Kind == formula.NodeNeg && step.Args[0].Kind == formula.NodeNumber {
		return s.value(-s.in(step.Args[0]), step.Args[0].Unit)
	}
	if step.Kind == formula.NodeNumber {
		return step
	}
	return s.step(step, nil, part, si)
}

// home is the unit of a formula that is a value or a name alone; none of another.
func (s *stepper) home(e *formula.Expr) quantity.Unit {
	switch root := e.Root(); root.Kind {
	case formula.NodeNumber:
		return root.Unit
	case formula.NodeName:
		return s.env.Names[root.Name]
	default:
		return quantity.One
	}
}

// as gives a value in another unit where that is of its kind; the conversion is written down.
func (s *stepper) as(n *formula.Node, u quantity.Unit) *formula.Node {
	if n.Unit.Equal(u) || n.Unit.Dimension() != u.Dimension() || n.Unit.Kind() != u.Kind() || n.Unit.Scale() != u.Scale() {
		return n
	}
	v := s.value(u.FromSI(n.Unit.ToSI(s.in(n))), u)
	s.tell(formula.Line{{Node: n}, s.side(v)})
	return v
}

// tellApart gives the rounded ones of two values as many digits as it takes that what is shown compares as it does.
func (s *stepper) tellApart(a *formula.Node, sign formula.Comparison, b *formula.Node, holds bool) {
	if !a.Unit.Equal(b.Unit) {
		return
	}
	for figures := stepFigures + 1; figures <= mostFigures && sign.Holds(a.Number.Value(), b.Number.Value()) != holds; figures++ {
		s.raise(a, figures)
		s.raise(b, figures)
	}
}
