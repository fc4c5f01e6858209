package uncertainty

import "math"

// Shape is how likely the values inside a line's spread are.
type Shape uint8

// The shapes of a line.
const (
	Normal    Shape = iota // a bell; with finite degrees of freedom Student's t
	Rectangle              // anywhere between two bounds alike
	Triangle               // between two bounds, the middle most likely
)

// Line is one source of uncertainty: a row of an uncertainty budget.
type Line struct {
	Shape Shape
	U     float64 // standard uncertainty, not negative
	DoF   float64 // degrees of freedom; 0 for infinitely many
}

// Rectangular is a source of which only bounds ± a are known, such as a maker's accuracy: a/√3 (JCGM 100, 4.3.7).
func Rectangular(a float64) Line { return Line{Shape: Rectangle, U: math.Abs(a) / math.Sqrt(3)} }

// Resolution is the last digit of a display that moves in steps of d: d/√12 (JCGM 100, F.2.2.1).
func Resolution(d float64) Line { return Rectangular(d / 2) }

// Triangular is a source with bounds ± a and values near the middle more likely: a/√6 (JCGM 100, 4.3.9).
func Triangular(a float64) Line { return Line{Shape: Triangle, U: math.Abs(a) / math.Sqrt(6)} }

// Certificate is an expanded uncertainty as a calibration certificate states it with its factor: U/k (JCGM 100, 4.3.3).
func Certificate(expanded, k float64) Line { return Line{U: math.Abs(expanded / k)} }

// Repeats is the mean of repeated readings with its line: s/√n on n − 1 degrees of freedom (JCGM 100, 4.2). A single
// reading says nothing of its own spread: its line has no uncertainty. xs may not be empty.
//
// Sums run as differences from the running mean, so that readings which differ in late digits only keep them.
func Repeats(xs []float64) (mean float64, line Line) {
	var m2 float64
	for i, x := range xs {
		d := x - mean
		mean += d / float64(i+1)
		m2 += float64(d * (x - mean))
	}
	n := float64(len(xs))
	if n < 2 {
		return mean, Line{}
	}
	return mean, Line{U: math.Sqrt(m2 / (n - 1) / n), DoF: n - 1}
}

// Bound is the most that the line can be off; ok is false where its shape has no end.
func (l Line) Bound() (a float64, ok bool) {
	switch l.Shape {
	case Rectangle:
		return l.U * math.Sqrt(3), true
	case Triangle:
		return l.U * math.Sqrt(6), true
	case Normal:
	}
	return 0, l.U == 0
}
