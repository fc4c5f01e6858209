package uncertainty

import (
	"math"
	"math/rand/v2"

	"witnessmark/internal/formula"
)

// Trials is a formula's result with its uncertainty by trials (JCGM 101:2008, 7), as many as make so many digits of u
// stable, but at most so many. draw fills the columns of the formula's names; Draws makes one. Low and High leave as much
// out on either side. The error is that of formula.Program.MonteCarlo: no result in one of a thousand trials.
func Trials(p *formula.Program, draw func(columns [][]float64), digits, most int) (Estimate, error) {
	o, err := p.MonteCarlo(draw, formula.TrialOptions{Coverage: Coverage, Digits: digits, Most: most})
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: o.Mean, Low: o.Symmetric.Lo, High: o.Symmetric.Hi, Method: MonteCarlo, Combined: Combined{U: o.Uncertainty}}
	e.Expanded = math.Max(e.High-e.Value, e.Value-e.Low)
	if e.U > 0 {
		e.Factor = e.Expanded / e.U
	}
	return e, nil
}

// Draws draws rows of inputs, a column for each: every line of every input from its shape. The first line of an instrument's
// inputs is drawn in two parts of its shape, √R that all of them share and √(1 − R) of each one's own: its standard
// uncertainty stays, and any two are correlated by R. The same seed draws the same rows. The error says that common does
// not fit.
func Draws(in []Input, common []Common, seed uint64) (func(columns [][]float64), error) {
	group := make([]int, len(in)) // 1 for the first of common; 0 for none
	for i, c := range common {
		if err := c.check(in); err != nil {
			return nil, err
		}
		for _, of := range c.Inputs {
			group[of] = i + 1
		}
	}
	s := sampler{rand.New(rand.NewPCG(seed, 0))}
	shared := make([]float64, len(common)+1)
	return func(columns [][]float64) {
		if len(columns) == 0 {
			return
		}
		for row := range columns[0] {
			for i, c := range common {
				if len(c.Inputs) > 0 {
					shared[i+1] = s.standard(in[c.Inputs[0]].Lines[0])
				}
			}
			for i := range in {
				x := in[i].Value
				for j, l := range in[i].Lines {
					z := s.standard(l)
					if g := group[i]; g > 0 && j == 0 {
						r := common[g-1].R
						z = float64(math.Sqrt(r)*shared[g]) + float64(math.Sqrt(1-r)*z)
					}
					x += float64(l.U * z)
				}
				columns[i][row] = x
			}
		}
	}, nil
}

type sampler struct{ rng *rand.Rand }

// standard draws from a line's shape with a standard uncertainty of 1; a spread found from repeats has the scale of its
// standard uncertainty and Student's tails (JCGM 101, 6.4.9).
func (s sampler) standard(l Line) float64 {
	switch l.Shape {
	case Rectangle:
		return math.Sqrt(3) * (2*float64(s.rng.Float64()) - 1)
	case Triangle:
		return math.Sqrt(6) * (float64(s.rng.Float64()) - float64(s.rng.Float64()))
	case Normal:
	}
	z := s.rng.NormFloat64()
	dof := math.Floor(l.DoF)
	if dof < 1 {
		return z
	}
	square := 0.0
	for range int(dof) {
		x := s.rng.NormFloat64()
		square += float64(x * x)
	}
	return z / math.Sqrt(square/dof)
}
