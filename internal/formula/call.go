package formula

import (
	"errors"
	"math"

	"witnessmark/internal/quantity"
)

// call is one use of a function in a program.
type call struct {
	name string
	argc int
	fn   func(args []float64) (float64, error)
	// ranges works fn out over ranges; nil where nothing is known of the function's course.
	ranges func(args []Interval) (Interval, error)
	// slopes gives fn's derivative by each argument.
	slopes func(args, out []float64) error
}

// callOf is a function of the trade, in SI base units.
func callOf(f Function) call {
	c := call{name: f.Name, argc: len(f.Params), fn: f.Call, slopes: f.slopes}
	if f.Turns != nil {
		c.ranges = f.ranges
	}
	if f.Steps {
		c.slopes = level
	}
	return c
}

// level are the derivatives of a function that has no slope.
func level(_, out []float64) error {
	clear(out)
	return nil
}

// bareCall lets a function take and give values in its table's own units, as a trainee without units means them.
func bareCall(f Function) call {
	bare := f
	bare.Call = func(args []float64) (float64, error) {
		si := make([]float64, len(args))
		for i, a := range args {
			si[i] = f.Params[i].Unit.ToSI(a)
		}
		v, err := f.Call(si)
		return f.Result.FromSI(v), err
	}
	bare.Turns = nil // working is not worked out over ranges
	return callOf(bare)
}

// bounds makes a call over ranges.
func (c *call) bounds(args []Interval) (Interval, string) {
	if c.ranges == nil {
		return Interval{}, "How " + c.name + " behaves over a range is not known."
	}
	r, err := c.ranges(args)
	if err != nil {
		return Interval{}, c.name + ": within these ranges: " + err.Error()
	}
	return r, ""
}

// ranges looks at the ends of every argument's range and at the turns between them: the extremes are there.
func (f Function) ranges(args []Interval) (Interval, error) {
	values := make([]float64, len(args))
	r := Interval{math.Inf(1), math.Inf(-1)}
	var each func(i int) error
	each = func(i int) error {
		if i == len(args) {
			v, err := f.Call(values)
			r = Interval{min(r.Lo, v), max(r.Hi, v)}
			return err
		}
		ends := append([]float64{args[i].Lo, args[i].Hi}, f.Turns[i]...)
		for _, v := range ends {
			if !args[i].Has(v) {
				continue
			}
			values[i] = v
			if err := each(i + 1); err != nil {
				return err
			}
		}
		return nil
	}
	if err := each(0); err != nil {
		return Interval{}, err
	}
	// A function's last digits are noise, and a turn is known to some digits only.
	noise := float64(1e-9*max(math.Abs(r.Lo), math.Abs(r.Hi))) + float64(1e-12*unitFactor(f.Result))
	return Interval{r.Lo - noise, r.Hi + noise}, nil
}

// slopeStep is the step of a numeric derivative over the argument: the cube root of float64's precision balances the
// step's own error with that of rounding.
const slopeStep = 6e-6

// slopes are central differences, or from one side at the end of the function's range; they are right to 1e-6 and
// mostly to 1e-9 of the larger of the slope and value/argument.
func (f Function) slopes(args, out []float64) error {
	for i, x := range args {
		h := slopeStep * max(math.Abs(x), 1e-3*unitFactor(f.Params[i].Unit))
		s, err := f.slope(args, i, h)
		args[i] = x
		if err != nil {
			return err
		}
		out[i] = s
	}
	return nil
}

func (f Function) slope(args []float64, i int, h float64) (float64, error) {
	x := args[i]
	at := func(d float64) (float64, error) {
		args[i] = x + d
		return f.Call(args)
	}
	up, noUp := at(h)
	down, noDown := at(-h)
	if noUp == nil && noDown == nil {
		return (up - down) / (2 * h), nil
	}
	if noUp != nil {
		h = -h
	}
	v, err := at(0)
	one, err1 := at(h)
	two, err2 := at(2 * h)
	if err := errors.Join(err, err1, err2); err != nil {
		return 0, err
	}
	return (float64(4*one) - float64(3*v) - two) / (2 * h), nil
}

// unitFactor is the size of one of a unit in SI.
func unitFactor(u quantity.Unit) float64 { return u.ToSI(1) - u.ToSI(0) }
