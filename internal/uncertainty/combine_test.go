package uncertainty

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// JCGM 100:2008, H.1: the calibration of an end gauge. The budget of l is 25, 9.7, 2.9 and 16.6 nm on 18, 25.6, 50 and 2
// degrees of freedom, that of d 5.8, 3.9 and 6.7 nm on 24, 5 and 8.
func TestEndGauge(t *testing.T) {
	d := combined(t, []Term{{1, Line{U: 5.8, DoF: 24}}, {1, Line{U: 3.9, DoF: 5}}, {1, Line{U: 6.7, DoF: 8}}})
	same(t, "u(d)", d.U, want(t, "GUM H.1 u(d)"))
	same(t, "ν(d)", d.DoF, want(t, "GUM H.1 nu_eff(d)"))
	l := combined(t, []Term{{1, Line{U: 25, DoF: 18}}, {1, Line{U: 9.7, DoF: 25.6}}, {1, Line{U: 2.9, DoF: 50}}, {1, Line{U: 16.6, DoF: 2}}})
	same(t, "u(l)", l.U, want(t, "GUM H.1 uc(l)"))
	same(t, "ν(l)", l.DoF, want(t, "GUM H.1 nu_eff"))
	same(t, "t99(16)", Factor(0.99, l.DoF), want(t, "t_99(16)"))
	same(t, "U99", Factor(0.99, l.DoF)*l.U, want(t, "GUM H.1 U99"))
}

func combined(t testing.TB, terms []Term, correlations ...Correlation) Combined {
	t.Helper()
	c, err := Combine(terms, correlations)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCorrelations(t *testing.T) {
	two := []Term{{1, Line{U: 3}}, {-1, Line{U: 3}}}
	near(t, "none", combined(t, two).U, math.Sqrt(18), 1e-12)
	near(t, "full: a difference loses it", combined(t, two, Correlation{0, 1, 1}).U, 0, 1e-12)
	near(t, "half: a difference has it once", combined(t, two, Correlation{0, 1, 0.5}).U, 3, 1e-12)
	// JCGM 100, 5.2.2, example: ten resistors of 1000 Ω by one standard of u = 100 mΩ: 1 Ω, not 0.32 Ω.
	var ten []Term
	var all []Correlation
	for i := range 10 {
		ten = append(ten, Term{1, Line{U: 0.1}})
		for j := range i {
			all = append(all, Correlation{i, j, 1})
		}
	}
	near(t, "ten resistors", combined(t, ten, all...).U, 1, 1e-12)
	near(t, "taken as independent", combined(t, ten).U, 0.316227766, 1e-8)
	three := []Term{{1, Line{U: 1}}, {1, Line{U: 1}}, {1, Line{U: 1}}}
	for name, bad := range map[string][]Correlation{
		"beyond 1":            {{0, 1, 1.1}},
		"no number":           {{0, 1, math.NaN()}},
		"with itself":         {{1, 1, 0.5}},
		"a term that is not":  {{0, 3, 0.5}},
		"before the first":    {{-1, 0, 0.5}},
		"against one another": {{0, 1, -1}, {0, 2, -1}, {1, 2, -1}},
	} {
		if c, err := Combine(three, bad); err == nil {
			t.Errorf("%s: no error, but %+v", name, c)
		}
	}
	if c, err := Combine([]Term{{math.Inf(1), Line{U: 1}}}, nil); err == nil {
		t.Errorf("a sensitivity without end: %+v", c)
	}
}

func TestExpanded(t *testing.T) {
	for _, c := range []struct {
		name  string
		terms []Term
		want  float64
	}{
		{"nothing", nil, 0},
		{"a bell: twice u", []Term{{1, Line{U: 0.3}}}, 0.6},
		{"sensitivity counts without its sign", []Term{{-2, Line{U: 0.3}}}, 1.2},
		{"one rectangle: 95.45 % of its half-width", []Term{{1, Rectangular(1)}}, 0.954499736},
		{"two alike: a triangle, whose 95.45 % ends at 2 − √(8 × 0.02275)", []Term{{1, Rectangular(1)}, {1, Rectangular(1)}}, 1.573384},
		{"a broad and a narrow one", []Term{{1, Rectangular(0.5)}, {1, Rectangular(0.05)}}, 0.482544},
		{"a very narrow one does not count beyond the flat top", []Term{{1, Rectangular(1)}, {1, Rectangular(0.01)}}, 0.954499736},
		{"three rectangles: k is 2", []Term{{1, Rectangular(1)}, {1, Rectangular(1)}, {1, Rectangular(1)}}, 2},
		{"but never more than their bounds", []Term{{1, Rectangular(1)}, {1, Rectangular(0.05)}, {1, Rectangular(0.01)}}, 1.06},
		{"a triangle's bound", []Term{{1, Triangular(1)}}, 0.816496581},
		{"few repeats: Student's t, 13.97 on one degree", []Term{{1, Line{U: 1, DoF: 1}}}, 13.9678},
	} {
		got := combined(t, c.terms)
		near(t, c.name, got.Expanded, c.want, 1e-4)
		if got.U > 0 {
			near(t, c.name+": factor", got.Factor*got.U, got.Expanded, 1e-12)
		}
	}
}

// A sum of two rectangles covers what it says: counted on a fine grid of both.
func TestTwoRectanglesCover(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a, b := rapid.Float64Range(0.01, 3).Draw(rt, "a"), rapid.Float64Range(0.01, 3).Draw(rt, "b")
		x := twoRectangles(a, b)
		const n = 1000
		inside := 0.0
		for i := range n { // the share of ± b round each point of ± a
			m := -a + (float64(i)+0.5)*2*a/n
			inside += max(0, min(x, m+b)-max(-x, m-b)) / (2 * b)
		}
		if got := inside / n; math.Abs(got-Coverage) > 1e-3 {
			rt.Errorf("± %v and ± %v: %v covers %v", a, b, x, got)
		}
	})
}

// More uncertainty of one line never makes the result better known, and the order of lines does not count.
func TestCombineIsMonotone(t *testing.T) {
	line := rapid.Custom(func(rt *rapid.T) Term {
		return Term{rapid.Float64Range(-5, 5).Draw(rt, "c"), Line{
			Shape: Shape(rapid.IntRange(0, 2).Draw(rt, "shape")), U: rapid.Float64Range(0, 10).Draw(rt, "u"),
		}}
	})
	rapid.Check(t, func(rt *rapid.T) {
		terms := rapid.SliceOfN(line, 1, 8).Draw(rt, "terms")
		c, err := Combine(terms, nil)
		if err != nil {
			rt.Fatal(err)
		}
		terms[0], terms[len(terms)-1] = terms[len(terms)-1], terms[0]
		turned, _ := Combine(terms, nil)
		if math.Abs(turned.U-c.U) > 1e-12*c.U || math.Abs(turned.Expanded-c.Expanded) > 1e-12*c.Expanded {
			rt.Errorf("another order gives %v instead of %v", turned, c)
		}
		terms[0].Line.U *= 1.5
		if more, _ := Combine(terms, nil); more.U < c.U*(1-1e-12) {
			rt.Errorf("u fell from %v to %v", c.U, more.U)
		}
	})
}
