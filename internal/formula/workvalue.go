package formula

import (
	"fmt"

	"witnessmark/internal/quantity"
)

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
	// BareRange and SIRange are what the values may be because the trainee rounded earlier results before using them
	// here (see Known). They are the value alone where no such number occurs, and infinite where the segment has no
	// value for some of what the rounded numbers may stand for. They are undefined where there is no value.
	BareRange, SIRange Interval
	// HasUnits says that some number carries a unit, AllUnits that every one does.
	HasUnits, AllUnits bool
	// Notes are what was forgiven, as sentences for the trainee.
	Notes []string
}

// Values gives the values of names in working: the value in SI base units, and whether there is one.
type Values func(name string) (si float64, ok bool)

// Known is a value that the numbers of a line are compared with. A number that agrees with a given or a constant to its
// last digit is that value as it is. One that agrees with an earlier result of the trainee's own, and with none of those,
// was rounded: it stands for anything within half of its last place. All other numbers are exact.
type Known struct {
	SI   float64 // in SI base units
	Unit quantity.Unit
	// Own says that the value is an earlier result, unrounded where that is known.
	Own bool
}

// Sheet is what a line of working is read against.
type Sheet struct {
	// Env has the names that the line may use, which are found whatever their case; Values values them.
	Env    Env
	Values Values
	// Known are the values that the line's numbers may stand for.
	Known []Known
	// Asked is the unit of the figure that the line works out, nil where that is not known. It decides between the two
	// readings of 1/2 m.
	Asked *quantity.Unit
}

// Evaluate works out every segment, with its units and as bare numbers, for names and values alone; see EvaluateOn.
func (w *Working) Evaluate(env Env, values Values) []SegmentValue {
	return w.EvaluateOn(&Sheet{Env: env, Values: values})
}

// EvaluateOn works out every segment, with its units and as bare numbers.
func (w *Working) EvaluateOn(s *Sheet) []SegmentValue { return new(Reader).evaluate(w, s) }

// Evaluate works out every segment of the line that was read last, with its units and as bare numbers.
func (r *Reader) Evaluate(s *Sheet) []SegmentValue { return r.evaluate(&r.w, s) }

func (r *Reader) evaluate(w *Working, s *Sheet) []SegmentValue {
	r.values = r.values[:0]
	r.c.notes, r.c.steps = r.c.notes[:0], 0
	for i := range w.Segments {
		r.values = append(r.values, r.segment(w.Segments[i].Expr, s))
	}
	return r.values
}

func (r *Reader) segment(e *Expr, s *Sheet) SegmentValue {
	var v SegmentValue
	with, without, plain := survey(e.root)
	v.HasUnits, v.AllUnits = with > 0, with > 0 && without == 0
	if e.timesX > 0 {
		if err := e.checkTimesX(s.Env); err != nil {
			v.UnitErr, v.BareErr = err, err
			return v
		}
	}
	first := len(r.c.notes)
	x, err := r.withUnits(e, s)
	if notes := r.c.notes[first:len(r.c.notes):len(r.c.notes)]; len(notes) > 0 {
		v.Notes = notes
	}
	v.SI, v.SIRange, v.Dimension, v.Kind, v.UnitErr = x.value, x.within, x.dim, x.unitKind(), err
	if err == nil && plain && r.c.bareErr == nil {
		v.Bare, v.BareRange = x.bare, x.around
		return v
	}
	notes := len(r.c.notes)
	r.c.begin(e, s, mode{lenient: true, bare: true})
	x, v.BareErr = r.c.work()
	r.c.notes = r.c.notes[:notes] // the same once more
	v.Bare, v.BareRange = x.value, x.within
	return v
}

// withUnits works a segment out with its units. Where it holds 1/2 m and the asked unit fits 1/(2 m) and not ½ m, that is
// what is meant; where both fit, a person has to read it.
func (r *Reader) withUnits(e *Expr, s *Sheet) (worked, error) {
	r.c.begin(e, s, mode{lenient: true})
	x, err := r.c.work()
	if s.Asked == nil || e.fraction == nil {
		return x, err
	}
	notes := len(r.c.notes)
	r.c.begin(e, s, mode{lenient: true, divided: true})
	other, otherErr := r.c.work()
	r.c.notes = r.c.notes[:notes]
	switch asked := s.Asked.Dimension(); {
	case otherErr != nil || other.dim != asked:
		return x, err
	case err == nil && x.dim == asked:
		return x, twoReadings(e.source, e.fraction)
	}
	return other, nil
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

// evalNames evaluates with named values.
func (p *Program) evalNames(values Values) (float64, error) {
	in := make([]float64, len(p.names))
	for i, n := range p.names {
		v, ok := values(n)
		if !ok {
			return 0, &Error{Source: p.source, Message: fmt.Sprintf("%s has no value yet.", n)}
		}
		in[i] = v
	}
	return p.Eval(in)
}

// survey counts the numbers with and without a unit; exponents and the numbers of a fraction with a unit do not count.
// Plain says that there are no calls, so that leaving units aside changes no step.
func survey(n *Node) (with, without int, plain bool) {
	plain = true
	args := n.Args
	switch n.Kind {
	case NodeNumber:
		if n.HasUnit {
			return 1, 0, true
		}
		return 0, 1, true
	case NodeUnit:
		_, _, plain = survey(args[0])
		return 1, 0, plain
	case NodePow:
		_, _, plain = survey(args[1])
		args = args[:1]
	case NodeCall:
		plain = false
	case NodeName, NodePi, NodeNeg, NodeAdd, NodeSub, NodeMul, NodeDiv, NodeRoot:
	}
	for _, a := range args {
		w, o, same := survey(a)
		with, without, plain = with+w, without+o, plain && same
	}
	return with, without, plain
}
