package formula

import (
	"errors"
	"fmt"
	"math"
	"slices"
)

// table is a table of fixed points in a formula: interp with numbers only.
type table struct{ x, y []float64 }

// ErrOutsideTable means that a value lies outside the points of a table: nothing is extended beyond them.
var ErrOutsideTable = errors.New("the value lies outside the table")

// at finds the value on the straight lines between the points; ok is false outside of them.
func (t *table) at(x float64) (y float64, ok bool) {
	xs := t.x
	ys := t.y[:len(xs)]
	if !(x >= xs[0]) {
		return 0, false
	}
	for i := 1; i < len(xs); i++ {
		if x <= xs[i] {
			return between(x, xs[i-1], ys[i-1], xs[i], ys[i]), true
		}
	}
	return 0, false
}

// between is the straight line through two points, the same wherever a table is looked up; the points lie on it exactly.
func between(x, x1, y1, x2, y2 float64) float64 {
	if x == x2 {
		return y2
	}
	return y1 + float64((y2-y1)*((x-x1)/(x2-x1)))
}

// spread allows for the rounding on a line between points, whose size counts and not that of the value.
func (x Interval) spread(largest float64) Interval {
	off := float64(largest*(libraryUnits*ulp)) + tiny
	return Interval{x.Lo - off, x.Hi + off}
}

// slope is that of the line on which at finds x, which lies within the table.
func (t *table) slope(x float64) float64 {
	i, _ := slices.BinarySearch(t.x, x)
	i = max(i, 1)
	return (t.y[i] - t.y[i-1]) / (t.x[i] - t.x[i-1])
}

// bounds takes in the ends and every point between them.
func (t *table) bounds(x Interval) (Interval, string) {
	lo, ok := t.at(x.Lo)
	hi, ok2 := t.at(x.Hi)
	if !ok || !ok2 {
		return Interval{}, "Within these ranges the value may lie outside the table."
	}
	r := Interval{min(lo, hi), max(lo, hi)}
	largest := 0.0
	for i, at := range t.x {
		largest = max(largest, math.Abs(t.y[i]))
		if x.Has(at) {
			r = Interval{min(r.Lo, t.y[i]), max(r.Hi, t.y[i])}
		}
	}
	return r.spread(largest), ""
}

// call is the table as a function that its points name.
func (t *table) call() call {
	return call{name: fmt.Sprint("interp", t.x, t.y), argc: 1, fn: func(args []float64) (float64, error) {
		v, ok := t.at(args[0])
		if !ok {
			return 0, ErrOutsideTable
		}
		return v, nil
	}}
}

// fixed says that all operands are constants.
func fixed(xs []operand) bool {
	for _, x := range xs {
		if !x.isConst {
			return false
		}
	}
	return true
}

// tableOf makes a table of constants x₁, y₁, x₂, y₂ …
func tableOf(points []operand) table {
	var t table
	for i := 0; i < len(points); i += 2 {
		t.x, t.y = append(t.x, points[i].value), append(t.y, points[i+1].value)
	}
	return t
}
