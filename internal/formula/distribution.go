package formula

import (
	"fmt"
	"math"
	"math/rand/v2"
)

// shape is a kind of distribution.
type shape uint8

const (
	shapeFixed shape = iota
	shapeNormal
	shapeRectangular
	shapeTrapezoidal
	shapeArcSine
	shapeT
)

// Distribution says what is known of a value: how its possible values are spread (JCGM 101:2008, table 1). All figures
// are in SI base units. The zero value is 0 for certain.
type Distribution struct {
	shape   shape
	a, b, c float64
}

// Fixed is a value known for certain.
func Fixed(v float64) Distribution { return Distribution{shapeFixed, v, 0, 0} }

// Normal has a best estimate and a standard uncertainty, as from a certificate.
func Normal(mean, u float64) Distribution { return Distribution{shapeNormal, mean, u, 0} }

// Rectangular lies anywhere from lo to hi alike, as an instrument's accuracy or the last digit of its display.
func Rectangular(lo, hi float64) Distribution { return Distribution{shapeRectangular, lo, hi, 0} }

// Triangular lies from lo to hi, mostly in the middle.
func Triangular(lo, hi float64) Distribution { return Distribution{shapeTrapezoidal, lo, hi, 0} }

// Trapezoidal is level over the share top, from 0 to 1, of its width from lo to hi, and falls off on both sides.
func Trapezoidal(lo, hi, top float64) Distribution {
	return Distribution{shapeTrapezoidal, lo, hi, top}
}

// ArcSine swings from lo to hi and stays longest at the ends.
func ArcSine(lo, hi float64) Distribution { return Distribution{shapeArcSine, lo, hi, 0} }

// StudentT is the t distribution of a mean of few readings: scale is the readings' standard deviation over the root of
// their number, freedom their number less one.
func StudentT(mean, scale, freedom float64) Distribution {
	return Distribution{shapeT, mean, scale, freedom}
}

// Mean is the best estimate.
func (d Distribution) Mean() float64 {
	switch d.shape {
	case shapeRectangular, shapeTrapezoidal, shapeArcSine:
		return d.a + float64((d.b-d.a)/2)
	case shapeFixed, shapeNormal, shapeT:
	}
	return d.a
}

// Uncertainty is the standard deviation; infinite for a t distribution of 2 degrees of freedom or fewer.
func (d Distribution) Uncertainty() float64 {
	switch half := (d.b - d.a) / 2; d.shape {
	case shapeNormal:
		return d.b
	case shapeRectangular:
		return half / math.Sqrt(3)
	case shapeTrapezoidal:
		return half * math.Sqrt((1+float64(d.c*d.c))/6)
	case shapeArcSine:
		return half / math.Sqrt2
	case shapeT:
		if d.c <= 2 {
			return math.Inf(1)
		}
		return d.b * math.Sqrt(d.c/(d.c-2))
	case shapeFixed:
	}
	return 0
}

// Independent draws values of inputs that do not hang together, for MonteCarlo: the same seed draws the same values, from
// one sequence for each input. The error says that an input's figures make no distribution.
//
// The numbers are those of math/rand/v2's PCG, which follow from the seed alone: nothing here is random but the use.
func Independent(seed uint64, inputs ...Distribution) (func(columns [][]float64), error) {
	draws := make([]*rand.Rand, len(inputs))
	for i, d := range inputs {
		if wrong := d.wrong(); wrong != "" {
			return nil, fmt.Errorf("input %d: a distribution with %s", i, wrong)
		}
		draws[i] = rand.New(rand.NewPCG(seed, uint64(i)))
	}
	return func(columns [][]float64) {
		for i, d := range inputs {
			d.draw(draws[i], columns[i])
		}
	}, nil
}

// wrong says what is wrong with the figures of a distribution; empty where nothing is.
func (d Distribution) wrong() string {
	if sum := d.a + d.b + d.c; sum-sum != 0 {
		return "a figure that is not finite"
	}
	switch d.shape {
	case shapeFixed:
	case shapeNormal, shapeT:
		if d.b < 0 {
			return "a spread below 0"
		}
		if d.shape == shapeT && d.c <= 0 {
			return "no degrees of freedom"
		}
	case shapeRectangular, shapeTrapezoidal, shapeArcSine:
		if d.a > d.b {
			return "its ends in the wrong order"
		}
		if d.c < 0 || d.c > 1 {
			return "a top that is no share of it"
		}
	}
	return ""
}

// draw fills the column with values drawn from the distribution (JCGM 101, 6.4).
func (d Distribution) draw(r *rand.Rand, column []float64) {
	switch width := d.b - d.a; d.shape {
	case shapeFixed:
		fill(column, d.a)
	case shapeNormal:
		for i := range column {
			column[i] = d.a + float64(d.b*r.NormFloat64())
		}
	case shapeRectangular:
		for i := range column {
			column[i] = d.a + float64(width*r.Float64())
		}
	case shapeTrapezoidal:
		for i := range column {
			level, slope := (1+d.c)/2*r.Float64(), (1-d.c)/2*r.Float64()
			column[i] = d.a + float64(width*(float64(level)+float64(slope)))
		}
	case shapeArcSine:
		for i := range column {
			column[i] = d.a + float64(width/2*(1+math.Sin(2*math.Pi*r.Float64())))
		}
	case shapeT:
		for i := range column {
			column[i] = d.a + float64(d.b*drawT(r, d.c))
		}
	}
}

// drawT draws from the t distribution by the polar method (R. W. Bailey, Mathematics of Computation 62, 1994).
func drawT(r *rand.Rand, freedom float64) float64 {
	for {
		u, v := 2*float64(r.Float64())-1, 2*float64(r.Float64())-1
		w := float64(u*u) + float64(v*v)
		if w > 0 && w <= 1 {
			return u * math.Sqrt(freedom*(power(w, -2/freedom)-1)/w)
		}
	}
}
