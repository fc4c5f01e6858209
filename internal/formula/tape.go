package formula

import "math"

// taped is one step of a segment that was worked out: run again, the tape gives the segment for other values of the
// rounded numbers. Slots count the steps from 1; a step uses only earlier ones.
type taped struct {
	op          op
	a, b        int
	value, bare float64
	// A number that stands for a rounded result has push, its place among the rounded ones from 1, and half of its last
	// digit's place.
	push           int
	half, bareHalf float64
	fn             func([]float64) (float64, error)
	args           []int
}

// slot gives the slot that holds x, which may have none yet.
func (c *compiler) slot(x *operand) int {
	if x.index == 0 {
		c.tape = append(c.tape, taped{op: opConst, value: x.value, bare: x.bare})
		x.index = len(c.tape)
	}
	return x.index
}

// spread gives what the segment comes to within the rounding of up to three earlier results, at all corners; the
// deviations of more are added up, each on its own.
func (c *compiler) spread(x operand) (within, around Interval) {
	within, around = Interval{x.value, x.value}, Interval{x.bare, x.bare}
	if c.n == 0 {
		return within, around
	}
	c.slot(&x)
	var signs [maxRounded]float64
	if c.n <= 3 {
		for corner := range 1 << c.n {
			for i := range c.n {
				signs[i] = float64(corner>>i&1)*2 - 1
			}
			v, bare := c.replay(&signs)
			within, around = within.with(v), around.with(bare)
		}
	} else {
		for i := range c.n {
			signs[i] = 1
			up, bareUp := c.replay(&signs)
			signs[i] = -1
			down, bareDown := c.replay(&signs)
			signs[i] = 0
			within = Interval{within.Lo + min(up-x.value, down-x.value, 0), within.Hi + max(up-x.value, down-x.value, 0)}
			around = Interval{around.Lo + min(bareUp-x.bare, bareDown-x.bare, 0), around.Hi + max(bareUp-x.bare, bareDown-x.bare, 0)}
		}
	}
	return within.known(), around.known()
}

// with widens r to v, or to NaN.
func (r Interval) with(v float64) Interval { return Interval{min(r.Lo, v), max(r.Hi, v)} }

// known makes a range with a value that there is not infinite.
func (r Interval) known() Interval {
	if r.Lo-r.Lo != 0 || r.Hi-r.Hi != 0 {
		return Interval{math.Inf(-1), math.Inf(1)}
	}
	return r
}

// replay runs the tape with every rounded number pushed to one side; NaN where there is no value, or where a divisor
// changes its sign, because then there is none in between.
func (c *compiler) replay(signs *[maxRounded]float64) (value, bare float64) {
	c.steps += len(c.tape)
	c.replayed = append(c.replayed[:0], c.tape...)
	t := c.replayed
	for i := range t {
		s := &t[i]
		switch {
		case s.push > 0:
			s.value += float64(signs[s.push-1] * s.half)
			s.bare += float64(signs[s.push-1] * s.bareHalf)
		case s.fn != nil:
			s.value = s.callAgain(t, &c.in)
		case s.op != opConst:
			a, b := &t[s.a-1], &t[s.b-1]
			s.value = s.op.again(a.value, b.value, c.tape[s.b-1].value)
			s.bare = s.op.again(a.bare, b.bare, c.tape[s.b-1].bare)
		}
	}
	last := t[len(t)-1]
	return last.value, last.bare
}

// again does a step for pushed values, was being the second one unpushed.
func (o op) again(a, b, was float64) float64 {
	v, ok := o.now(a, b)
	if !ok || o == opDiv && (b < 0) != (was < 0) {
		return math.NaN()
	}
	return v
}

func (s *taped) callAgain(t []taped, in *[]float64) float64 {
	args := (*in)[:0]
	for _, slot := range s.args {
		args = append(args, t[slot-1].value)
	}
	*in = args
	v, err := s.fn(args)
	if err != nil {
		return math.NaN()
	}
	return v
}
