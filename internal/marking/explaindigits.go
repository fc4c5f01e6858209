package marking

import (
	"math"

	"witnessmark/internal/formula"
)

// checkable is how far a step may be out when it is worked again from the numbers that it shows. Most steps are far nearer
// with the usual digits; a difference of two values that are nearly the same is not.
const checkable = 1e-4

// sharpen gives the rounded numbers of a step, which comes to x, as many digits as somebody needs who works it again. Their
// own lines show them as well.
func (s *stepper) sharpen(step *formula.Node, x float64) {
	if !near(bare(step, s.in), x) {
		return // a function, or a step that comes out in another unit
	}
	for figures := stepFigures + 1; figures <= mostFigures && !s.checks(step, x); figures++ {
		for _, n := range numbered(step, nil) {
			s.raise(n, figures)
		}
	}
}

// mostFigures is how many figures a value is shown with at most: what results hold.
const mostFigures = 12

func (s *stepper) checks(step *formula.Node, x float64) bool {
	shown := bare(step, func(n *formula.Node) float64 { return n.Number.Value() })
	return math.Abs(shown-x) <= checkable*math.Abs(x)
}

// raise shows a rounded value, wherever it stands, with so many figures.
func (s *stepper) raise(n *formula.Node, figures int) {
	x, ok := s.exact[n]
	if !ok || signOf(x, n.Number) == "=" {
		return
	}
	number := numberOf(trimmed(x, figures))
	for same, y := range s.exact {
		if x == y && same.Unit.Equal(n.Unit) && same.Number.Decimals() < number.Decimals() {
			same.Number = number
		}
	}
}
