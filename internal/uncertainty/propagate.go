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
		sum += l.U * l.U
	}
	return math.Sqrt(sum)
}

// Shared is what two inputs have in common: line A of the one and line B of the other are correlated by R.
type Shared struct {
	InputA, LineA int
	InputB, LineB int
	R             float64
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

// Propagate is a model's result with its uncertainty to first order (JCGM 100, 5.1 and 5.2).
func Propagate(m Model, in []Input, shared []Shared) (Estimate, error) {
	values, partials := make([]float64, len(in)), make([]float64, len(in))
	for i := range in {
		values[i] = in[i].Value
	}
	y, err := m.EvalGradient(values, partials)
	if err != nil {
		return Estimate{}, err
	}
	terms, first := budget(in, partials)
	correlations := make([]Correlation, len(shared))
	for i, s := range shared {
		if !s.fits(in) {
			return Estimate{}, fmt.Errorf("uncertainty: inputs %d and %d share lines %d and %d, which they have not", s.InputA, s.InputB, s.LineA, s.LineB)
		}
		correlations[i] = Correlation{A: first[s.InputA] + s.LineA, B: first[s.InputB] + s.LineB, R: s.R}
	}
	c, err := Combine(terms, correlations)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: y, Combined: c, Low: y - c.Expanded, High: y + c.Expanded, Method: FirstOrder}
	e.Doubt = doubt(m, in, values, terms, e)
	return e, nil
}

func (s Shared) fits(in []Input) bool {
	has := func(input, line int) bool {
		return input >= 0 && input < len(in) && line >= 0 && line < len(in[input].Lines)
	}
	return has(s.InputA, s.LineA) && has(s.InputB, s.LineB)
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

// bends reports whether a step of 2u to either side of some input departs from a straight line by more than bendShare
// of what the estimate covers. So do a kink of min, max or a table, a hollow where the gradient is nothing (JCGM 101,
// 9.4.2), and a step that leaves where the model has results.
func bends(m Model, in []Input, values []float64, e Estimate) bool {
	for i := range in {
		u := in[i].U()
		if u == 0 {
			continue
		}
		at := values[i]
		values[i] = at + 2*u
		up, errUp := m.Eval(values)
		values[i] = at - 2*u
		down, errDown := m.Eval(values)
		values[i] = at
		if errUp != nil || errDown != nil || math.Abs(up-2*e.Value+down)/2 > bendShare*e.Expanded+1e-12*math.Abs(e.Value) {
			return true
		}
	}
	return false
}

func oneRectangle(terms []Term, u float64) bool {
	for _, t := range terms {
		own := math.Abs(t.Sensitivity) * t.Line.U
		if rest := u*u - own*own; t.Line.Shape == Rectangle && rest <= dominantShare*dominantShare*own*own {
			return true
		}
	}
	return false
}
