package uncertainty

import (
	"fmt"
	"math"
)

// Term is one line of a budget with how much the result changes for each unit of it.
type Term struct {
	Sensitivity float64 // ∂result/∂line
	Line        Line
}

// Correlation is between two terms, by their places in the budget; R lies from −1 to 1.
type Correlation struct {
	A, B int
	R    float64
}

// Combined is a budget's sum.
type Combined struct {
	U   float64 // standard uncertainty of the result
	DoF float64 // effective degrees of freedom, not truncated; 0 for infinitely many
	// Expanded is the half-width that covers 95.45 %, and Factor what it is of U; Factor is 0 where U is.
	Expanded, Factor float64
}

// Combine adds up a budget: u² = Σ c²u² + 2 ΣΣ c c′ u u′ r (JCGM 100, 5.1.2 and 5.2.2), with Welch and Satterthwaite's
// effective degrees of freedom (G.4.1). Those hold for independent lines: correlate lines of finite degrees of freedom
// only where their number is large. The error says that correlations contradict one another or name no term.
func Combine(terms []Term, correlations []Correlation) (Combined, error) {
	var sum, fourth float64
	for _, t := range terms {
		c := t.Sensitivity * t.Line.U
		square := float64(c * c)
		sum += square
		if t.Line.DoF > 0 {
			fourth += square * square / t.Line.DoF
		}
	}
	independent := sum
	for _, r := range correlations {
		if min(r.A, r.B) < 0 || max(r.A, r.B) >= len(terms) || r.A == r.B || !(math.Abs(r.R) <= 1) {
			return Combined{}, fmt.Errorf("uncertainty: a correlation of %v between terms %d and %d of %d", r.R, r.A, r.B, len(terms))
		}
		a, b := terms[r.A], terms[r.B]
		sum += float64(2 * a.Sensitivity * a.Line.U * b.Sensitivity * b.Line.U * r.R)
	}
	if sum < -1e-12*independent || sum-sum != 0 {
		return Combined{}, fmt.Errorf("uncertainty: the correlations contradict one another or a line is not finite: u² comes to %v", sum)
	}
	out := Combined{U: math.Sqrt(max(sum, 0))}
	if fourth > 0 {
		out.DoF = sum * sum / fourth
	}
	out.Expanded = expanded(out, terms, len(correlations) > 0)
	if out.U > 0 {
		out.Factor = out.Expanded / out.U
	}
	return out, nil
}

// expanded is the half-width that covers Coverage: exact for one or two rectangles alone, k·u else, and never more than
// bounded lines can come to together.
func expanded(c Combined, terms []Term, correlated bool) float64 {
	k := Factor(Coverage, c.DoF) * c.U
	var bounds []float64
	total := 0.0
	rectangles := true
	for _, t := range terms {
		if t.Sensitivity == 0 || t.Line.U == 0 {
			continue
		}
		a, ok := t.Line.Bound()
		if !ok {
			return k
		}
		a = float64(a * math.Abs(t.Sensitivity))
		bounds, total = append(bounds, a), total+a
		rectangles = rectangles && t.Line.Shape == Rectangle
	}
	if rectangles && !correlated && (len(bounds) == 1 || len(bounds) == 2) {
		return twoRectangles(bounds[0], total-bounds[0])
	}
	return math.Min(k, total)
}

// twoRectangles is the half-width that covers Coverage of the sum of two rectangles ± a and ± b: a trapezoid (JCGM 101,
// 6.4.4). Beyond its flat top the share above x is (a + b − x)²/(8ab).
func twoRectangles(a, b float64) float64 {
	const tail = (1 - Coverage) / 2
	a, b = math.Max(a, b), math.Min(a, b)
	if b > 2*a*tail {
		return a + b - math.Sqrt(8*a*b*tail)
	}
	return a * Coverage // the flat top covers it
}
