package formula

import (
	"errors"
	"math"
)

var errNotRising = errors.New("the table's points must rise from left to right")

// interpolate is interp where the points are not all fixed: x and then x₁, y₁, x₂, y₂ …
func interpolate(args []float64) (float64, error) {
	i, err := segment(args)
	if err != nil {
		return 0, err
	}
	return between(args[0], args[i], args[i+1], args[i+2], args[i+3]), nil
}

// segment finds the first of the two points between which x lies.
func segment(args []float64) (int, error) {
	x, last := args[0], len(args)-2
	if x < args[1] || x > args[last] {
		return 0, ErrOutsideTable
	}
	for i := 1; i < last; i += 2 {
		if x <= args[i+2] {
			if args[i+2] <= args[i] {
				return 0, errNotRising
			}
			return i, nil
		}
	}
	return 0, errNotRising
}

// interpolateSlopes: the line's slope, and what each end has in the value.
func interpolateSlopes(args, out []float64) error {
	i, err := segment(args)
	if err != nil {
		return err
	}
	clear(out)
	width := args[i+2] - args[i]
	slope, share := (args[i+3]-args[i+1])/width, (args[0]-args[i])/width
	out[0] = slope
	out[i], out[i+1] = -slope*(1-share), 1-share
	out[i+2], out[i+3] = -slope*share, share
	return nil
}

// interpolateRanges takes in both ends of every line that x may lie on.
func interpolateRanges(args []Interval) (Interval, error) {
	x, last := args[0], len(args)-2
	if x.Lo < args[1].Hi || x.Hi > args[last].Lo {
		return Interval{}, ErrOutsideTable
	}
	r, some, largest := Interval{}, false, 0.0
	for i := 1; i < last; i += 2 {
		if args[i].Hi >= args[i+2].Lo {
			return Interval{}, errNotRising
		}
		if x.Hi < args[i].Lo || x.Lo > args[i+2].Hi {
			continue
		}
		y, z := args[i+1], args[i+3]
		line := Interval{min(y.Lo, z.Lo), max(y.Hi, z.Hi)}
		largest = max(largest, math.Abs(line.Lo), math.Abs(line.Hi))
		if some {
			line = Interval{min(line.Lo, r.Lo), max(line.Hi, r.Hi)}
		}
		r, some = line, true
	}
	return r.spread(largest), nil
}
