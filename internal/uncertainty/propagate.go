package uncertainty

import (
	"fmt"
	"math"
)

// Model is what a result is worked out by; a *formula.Program is one.
type Model interface {
	// Eval gives the result at the inputs' values.
	Eval(values []float64) (float64, error)
	// EvalGradient gives it as well, and in partials how it changes with each input.
	EvalGradient(values, partials []float64) (float64, error)
}

// Input is what is known of one input of a model.
type Input struct {
	Value float64
	Lines []Line // none where it is exact
}

// U is the input's standard uncertainty.
func (in Input) U() float64 {
	var sum float64
	for _, l := range in.Lines {
		sum += float64(l.U * l.U)
	}
	return math.Sqrt(sum)
}

// Common names inputs that come from one instrument: the first lines of any two of them are correlated by R, from 0 to 1
// (JCGM 100, F.1.2.3).
type Common struct {
	Inputs []int
	R      float64
}

// check says what is wrong with c for these inputs.
func (c Common) check(in []Input) error {
	if !(c.R >= 0 && c.R <= 1) {
		return fmt.Errorf("uncertainty: inputs of one instrument are correlated by %v, not from 0 to 1", c.R)
	}
	for _, i := range c.Inputs {
		if i < 0 || i >= len(in) || len(in[i].Lines) == 0 {
			return fmt.Errorf("uncertainty: input %d of an instrument has no line", i)
		}
	}
	return nil
}

// Method says how an estimate was found.
type Method string

// The methods.
const (
	FirstOrder Method = "first-order" // JCGM 100, by gradients
	MonteCarlo Method = "monte-carlo" // JCGM 101, by trials
)

// Estimate is a result with its uncertainty.
type Estimate struct {
	Value float64 // at the inputs' values; of trials their mean
	Combined
	Low, High float64 // what covers Coverage; of trials not always symmetric about Value
	Method    Method
	Doubt     Doubt // of a first-order estimate: why trials would do better
}

// Doubt is a reason why first order may not be enough; "" where there is none.
type Doubt string

// The doubts.
const (
	NoDoubt       Doubt = ""
	LargeShare    Doubt = "more than a tenth of the value" // a value near zero among them
	Bends         Doubt = "the formula bends within the spread of an input"
	OneRectangle  Doubt = "one rectangular source makes up nearly all of it"
	largeShare          = 0.1
	bendShare           = 0.1 // of the expanded uncertainty that a bend may come to
	dominantShare       = 0.3 // what all others may come to beside a dominant line (common practice, no source)
)

// Propagate is a model's result with its uncertainty to first order (JCGM 100, 5.1 and 5.2). The error is the model's own
// at these values, or says that common does not fit.
func Propagate(m Model, in []Input, common []Common) (Estimate, error) {
	values, partials := valuesOf(in), make([]float64, len(in))
	y, err := m.EvalGradient(values, partials)
	if err != nil {
		return Estimate{}, err
	}
	terms, first := budget(in, partials)
	var correlations []Correlation
	for _, c := range common {
		if err := c.check(in); err != nil {
			return Estimate{}, err
		}
		for i, a := range c.Inputs {
			for _, b := range c.Inputs[:i] {
				correlations = append(correlations, Correlation{A: first[a], B: first[b], R: c.R})
			}
		}
	}
	c, err := Combine(terms, correlations)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: y, Combined: c, Low: y - c.Expanded, High: y + c.Expanded, Method: FirstOrder}
	e.Doubt = doubt(m, in, values, terms, e)
	return e, nil
}

func valuesOf(in []Input) []float64 {
	values := make([]float64, len(in))
	for i := range in {
		values[i] = in[i].Value
	}
	return values
}

// budget sets every line of every input down as a term; first is where each input's lines begin.
func budget(in []Input, partials []float64) (terms []Term, first []int) {
	first = make([]int, len(in))
	for i := range in {
		first[i] = len(terms)
		for _, l := range in[i].Lines {
			terms = append(terms, Term{Sensitivity: partials[i], Line: l})
		}
	}
	return terms, first
}

// doubt looks whether first order is enough. Two rectangles are covered exactly, so they raise none.
func doubt(m Model, in []Input, values []float64, terms []Term, e Estimate) Doubt {
	switch {
	case bends(m, in, values, e):
		return Bends
	case e.U > largeShare*math.Abs(e.Value):
		return LargeShare
	case len(terms) > 2 && oneRectangle(terms, e.U):
		return OneRectangle
	}
	return NoDoubt
}

// bends reports whether a step of 2u in one input to either side, or in two at once, departs from a straight line by more
// than bendShare of what the estimate covers. So do a kink of min, max or a table, a hollow where the gradient is nothing
// (JCGM 101, 9.4.2), a product of two differences near zero (9.3), and a step that leaves where the model has results.
func bends(m Model, in []Input, values []float64, e Estimate) bool {
	most := float64(bendShare*e.Expanded) + float64(1e-12*math.Abs(e.Value))
	ups := make([]float64, len(in))
	// at gives the model with steps of some inputs' 2u, and puts the values back.
	at := func(steps float64, inputs ...int) (float64, bool) {
		for _, i := range inputs {
			values[i] += float64(steps * in[i].U())
		}
		y, err := m.Eval(values)
		for _, i := range inputs {
			values[i] = in[i].Value
		}
		return y, err == nil
	}
	for i := range in {
		if len(in[i].Lines) == 0 {
			continue
		}
		up, ok := at(2, i)
		down, okDown := at(-2, i)
		if !ok || !okDown || math.Abs(up-float64(2*e.Value)+down)/2 > most {
			return true
		}
		ups[i] = up
		for j := range i {
			if len(in[j].Lines) == 0 {
				continue
			}
			both, ok := at(2, i, j)
			if !ok || math.Abs(both-up-ups[j]+e.Value) > most {
				return true
			}
		}
	}
	return false
}

func oneRectangle(terms []Term, u float64) bool {
	for _, t := range terms {
		own := math.Abs(t.Sensitivity) * t.Line.U
		if rest := float64(u*u) - float64(own*own); t.Line.Shape == Rectangle && rest <= dominantShare*dominantShare*own*own {
			return true
		}
	}
	return false
}
