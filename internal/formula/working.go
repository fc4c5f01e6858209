package formula

import (
	"fmt"
	"strings"

	"witnessmark/internal/quantity"
)

// Working is one line of a trainee's written calculation: Q = 0.28 × 4.19 × (70 − 50) = 23.464 = 23.5 kW.
type Working struct {
	source string
	// Label is what stands before the first = or : where that is a name alone, such as Q; empty where there is none.
	Label string
	// Segments are the formulas between the signs of equality, in order. Segments before the last are working, the last
	// is what is stated.
	Segments []Segment
	// Notes are what was forgiven while reading, as sentences for the trainee.
	Notes []string
}

// Segment is one side of an equality.
type Segment struct {
	Expr *Expr
	// Approximate says that the sign before the segment was ≈.
	Approximate bool
	// Pos and End are its byte offsets in the line.
	Pos, End int
}

// Source gives the line as typed.
func (w *Working) Source() string { return w.source }

// maxSegments bounds the signs of equality in a line.
const maxSegments = 20

// ParseWorking reads one line. The error is an *Error; one with quantity.ErrAmbiguous is for the tutor to read.
func ParseWorking(line string) (*Working, error) {
	p, err := newParser(line, MaxLine)
	if err != nil {
		return nil, err
	}
	p.working = true
	w := &Working{source: line}
	if w.Label = p.colonLabel(); w.Label == "" {
		w.Label = p.nameLabel()
	}
	approximate := false
	for {
		p.space()
		start := p.pos
		if p.pos == len(p.s) && len(w.Segments) > 0 {
			return nil, p.fail(p.pos, "Nothing stands behind the last equals sign.")
		}
		x, err := p.sum()
		if err != nil {
			return nil, err
		}
		s := Segment{Expr: &Expr{source: line, root: x}, Approximate: approximate, Pos: p.offsets.At(start), End: p.offsets.At(p.pos)}
		if w.Segments = append(w.Segments, s); len(w.Segments) > maxSegments {
			return nil, p.fail(start, "A line has at most %d equals signs: begin a new line.", maxSegments)
		}
		p.space()
		switch {
		case p.take("="):
			approximate = false
		case p.take("≈"), p.take("~="), p.take("≅"):
			approximate = true
		case p.pos == len(p.s):
			w.Notes = p.notes
			return w, nil
		default:
			return nil, p.unexpected()
		}
	}
}

// colonLabel reads "heat output:" before the calculation.
func (p *parser) colonLabel() string {
	i := strings.IndexByte(p.s, ':')
	if i < 0 || strings.ContainsAny(p.s[:i], "=0123456789(×*/") && strings.Contains(p.s[:i], "=") {
		return ""
	}
	label := strings.TrimSpace(p.s[:i])
	for _, r := range label {
		if !nameRune(r) && r != ' ' && r != '-' {
			return ""
		}
	}
	p.pos = i + 1
	return label
}

// nameLabel reads "Q =" or "heat output =" where more follows.
func (p *parser) nameLabel() string {
	i := strings.IndexByte(p.s, '=')
	if i < 0 || strings.TrimSpace(p.s[i+1:]) == "" {
		return ""
	}
	label := strings.TrimSpace(p.s[:i])
	for j, r := range label {
		if j == 0 && !nameStart(r) || !nameRune(r) && r != ' ' {
			return ""
		}
	}
	if label != "" && !reserved[label] {
		p.pos = i + 1
		return label
	}
	return ""
}

// Stated gives the line's result: the last segment, where it is a number alone, with the unit it was given; ok is false
// where the line ends in a calculation.
func (w *Working) Stated() (n quantity.Number, u quantity.Unit, hasUnit, ok bool) {
	last := w.Segments[len(w.Segments)-1]
	x := last.Expr.root
	if x.Kind == NodeMul || x.Kind == NodeNeg { // perhaps 1.2 × 10³ W, which is one number
		if q, err := quantity.ParseQuantity(w.source[last.Pos:last.End]); err == nil {
			return q.Number, q.Unit, q.UnitText != "", true
		}
	}
	neg := false
	if x.Kind == NodeNeg {
		x, neg = x.Args[0], true
	}
	if x.Kind != NodeNumber {
		return quantity.Number{}, quantity.One, false, false
	}
	n = x.Number
	if neg {
		n = n.Neg()
	}
	return n, x.Unit, x.HasUnit, true
}

// SegmentValue is what a segment of working comes to.
type SegmentValue struct {
	// Bare is the value with all numbers as written and units left aside.
	Bare float64
	// BareErr says why there is no bare value.
	BareErr error
	// SI is the value in SI base units where the segment's units go together, and Dimension and Kind are what it
	// measures; UnitErr says why there is none.
	SI        float64
	Dimension quantity.Dimension
	Kind      quantity.Kind
	UnitErr   error
	// HasUnits says that some number carries a unit, AllUnits that every one does.
	HasUnits, AllUnits bool
	// Notes are what was forgiven, as sentences for the trainee.
	Notes []string
}

// Values gives the values of names in working: the value in SI base units, and whether there is one.
type Values func(name string) (si float64, ok bool)

// Evaluate works out every segment, with its units and as bare numbers. Names in the working are looked for in env,
// whatever their case, and valued by values.
func (w *Working) Evaluate(env Env, values Values) []SegmentValue {
	out := make([]SegmentValue, len(w.Segments))
	for i, s := range w.Segments {
		out[i] = s.evaluate(env, values)
	}
	return out
}

func (s Segment) evaluate(env Env, values Values) SegmentValue {
	var v SegmentValue
	with, without := literals(s.Expr.root)
	v.HasUnits, v.AllUnits = with > 0, with > 0 && without == 0
	accept := func(c *compiler, _ *Node, _ sort) error { v.Notes = c.notes; return nil }
	p, kind, err := compile(s.Expr, env, mode{lenient: true}, accept)
	if err == nil {
		v.Dimension, v.Kind = kind.dim, kind.unitKind()
		v.SI, err = p.evalNames(values, nil)
	}
	v.UnitErr = err
	p, _, err = compile(s.Expr, env, mode{lenient: true, bare: true}, func(*compiler, *Node, sort) error { return nil })
	if err == nil {
		v.Bare, err = p.evalNames(values, env.Names)
	}
	v.BareErr = err
	return v
}

// unitKind turns a sort's weight back into a kind.
func (s sort) unitKind() quantity.Kind {
	kelvin := quantity.Dimension{0, 0, 0, 0, 1}
	switch {
	case s.weight != 0:
		return quantity.TemperaturePoint
	case s.dim == kelvin:
		return quantity.TemperatureDifference
	}
	return s.kind
}

// evalNames evaluates with named values, in the names' own units where units is given.
func (p *Program) evalNames(values Values, units map[string]quantity.Unit) (float64, error) {
	in := make([]float64, len(p.names))
	for i, n := range p.names {
		v, ok := values(n)
		if !ok {
			return 0, &Error{Source: p.source, Message: fmt.Sprintf("%s has no value yet.", n)}
		}
		if u, ok := units[n]; ok {
			v = u.FromSI(v)
		}
		in[i] = v
	}
	return p.Eval(in)
}

// literals counts the numbers with and without a unit; exponents and the numbers of a fraction with a unit do not count.
func literals(n *Node) (with, without int) {
	switch n.Kind {
	case NodeNumber:
		if n.HasUnit {
			return 1, 0
		}
		return 0, 1
	case NodeUnit:
		return 1, 0
	case NodePow:
		return literals(n.Args[0])
	case NodeName, NodePi, NodeNeg, NodeAdd, NodeSub, NodeMul, NodeDiv, NodeRoot, NodeCall:
	}
	for _, a := range n.Args {
		w, o := literals(a)
		with, without = with+w, without+o
	}
	return with, without
}
