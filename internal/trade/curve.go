package trade

import (
	"fmt"
	"slices"

	"witnessmark/internal/formula"
	"witnessmark/internal/quantity"
)

// Point is a point of a function's chart: an argument in its parameter's unit and what the function gives, in the unit of
// its result.
type Point struct{ X, Y float64 }

// Curve works the entry's chart out: n points (two or more) from one end to the other, evenly apart, and the entry's own
// example as a point of it. An entry without a chart gives an error, and so does one whose chart leaves the function's range.
func (e Entry) Curve(n int) (curve []Point, example Point, err error) {
	over := slices.IndexFunc(e.Params, func(p formula.Param) bool { return p.Name == e.Chart.Over })
	if over < 0 || n < 2 || len(e.Example) != len(e.Params) {
		return nil, Point{}, fmt.Errorf("%s has no chart over %q in %d points", e.Name, e.Chart.Over, n)
	}
	args := make([]float64, len(e.Params))
	for i, text := range e.Example {
		if args[i], err = inSI(text, e.Params[i].Unit); err != nil {
			return nil, Point{}, fmt.Errorf("%s, example for %s: %w", e.Name, e.Params[i].Name, err)
		}
	}
	from, err := inSI(e.Chart.From, e.Params[over].Unit)
	if err != nil {
		return nil, Point{}, fmt.Errorf("%s, chart from: %w", e.Name, err)
	}
	to, err := inSI(e.Chart.To, e.Params[over].Unit)
	if err != nil {
		return nil, Point{}, fmt.Errorf("%s, chart to: %w", e.Name, err)
	}
	at := func(x float64) (Point, error) {
		args[over] = x
		y, err := e.Call(args)
		if err != nil {
			return Point{}, fmt.Errorf("%s at %s: %w", e.Name, quantity.FormatFigures(e.Params[over].Unit.FromSI(x), e.Params[over].Unit, 4), err)
		}
		return Point{X: e.Params[over].Unit.FromSI(x), Y: e.Result.FromSI(y)}, nil
	}
	if example, err = at(args[over]); err != nil {
		return nil, Point{}, err
	}
	for i := range n {
		p, err := at(from + (to-from)*float64(i)/float64(n-1))
		if err != nil {
			return nil, Point{}, err
		}
		curve = append(curve, p)
	}
	return curve, example, nil
}

// inSI reads a quantity as typed for a parameter, and gives it in SI base units.
func inSI(text string, unit quantity.Unit) (float64, error) {
	q, err := quantity.ParseQuantityFor(text, unit)
	if err != nil {
		return 0, err
	}
	v, err := q.In(unit)
	return unit.ToSI(v), err
}
