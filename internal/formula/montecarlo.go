package formula

import (
	"fmt"
	"math"
)

// TrialOptions steers a Monte Carlo run; with the zero value it goes on until two digits of the uncertainty are stable.
type TrialOptions struct {
	// Coverage is the probability that the intervals hold, 0.95 where it is 0.
	Coverage float64
	// Digits are the significant digits of the standard uncertainty that have to be stable, 2 where it is 0.
	Digits int
	// Most bounds the trials, 1,000,000 where it is 0; a run takes two blocks of 10,000 at least.
	Most int
	// All takes Most trials however soon the figures are stable.
	All bool
}

// Outcome is what a Monte Carlo run found, in SI base units.
type Outcome struct {
	Trials int
	// Without counts the trials that were left out because the formula has no result for them.
	Without int
	// Stable says that the digits asked for are (JCGM 101:2008, 7.9), and not only that the trials ran out.
	Stable bool
	// Mean is the estimate and Uncertainty the standard uncertainty.
	Mean, Uncertainty float64
	// Symmetric leaves out as many results below as above; Shortest is the shortest that holds as many.
	Symmetric, Shortest Interval
}

const (
	trialBlock = 10_000
	mostTrials = 1_000_000
)

// MonteCarlo says how the formula's results are spread where its values are: propagation of distributions, JCGM 101:2008
// clause 7, with the adaptive procedure of 7.9. draw fills the columns, one for each name in the order of Names, with
// values in SI base units; what it draws decides the outcome, and Independent makes one. The error says that the formula
// has no result for more than one trial in a thousand.
func (p *Program) MonteCarlo(draw func(columns [][]float64), o TrialOptions) (Outcome, error) {
	s := newTrials(p, o)
	for !s.done() {
		draw(s.columns)
		s.block()
		if all := len(s.values) + s.without; s.without*1000 > all {
			return Outcome{}, &Error{Source: p.source, Message: fmt.Sprintf(
				"The formula has no result for %d of %d values within the uncertainty.", s.without, all)}
		}
	}
	return s.outcome(), nil
}

// trials is a run under way.
type trials struct {
	o       TrialOptions
	batch   *Batch
	columns [][]float64
	out     []float64 // of one block

	values  []float64 // of all blocks
	without int
	all     moments
	blocks  [4]moments // over the blocks: mean, uncertainty and the ends of the symmetric interval
}

func newTrials(p *Program, o TrialOptions) *trials {
	if !(o.Coverage > 0 && o.Coverage < 1) {
		o.Coverage = 0.95
	}
	if o.Digits <= 0 {
		o.Digits = 2
	}
	if o.Most <= 0 {
		o.Most = mostTrials
	}
	// At least 100/(1 − coverage) trials a block, so that there are some beyond each end (7.9.4 b).
	rows := max(trialBlock, int(math.Ceil(100/(1-o.Coverage))))
	s := &trials{o: o, batch: p.NewBatch(rows), out: make([]float64, rows)}
	for range p.names {
		s.columns = append(s.columns, make([]float64, rows))
	}
	return s
}

// block works out the trials that were drawn.
func (s *trials) block() {
	s.batch.Eval(s.columns, s.out)
	first := len(s.values)
	var m moments
	for _, v := range s.out {
		if v != v {
			s.without++
			continue
		}
		m.add(v)
		s.all.add(v)
		s.values = append(s.values, v)
	}
	if m.n == 0 {
		return
	}
	// The order of the values says nothing any more, so the block is rearranged in place.
	x := symmetric(s.values[first:], s.o.Coverage)
	for i, v := range [4]float64{m.mean, m.deviation(), x.Lo, x.Hi} {
		s.blocks[i].add(v)
	}
}

// done says whether to stop.
func (s *trials) done() bool {
	blocks := s.blocks[0].n
	full := len(s.values)+s.without+len(s.out) > s.o.Most
	return blocks >= 2 && (full || !s.o.All && s.stable())
}

// stable compares twice the deviation of each figure's mean with the numerical tolerance (7.9.2, 7.9.4 i and j).
func (s *trials) stable() bool {
	delta := tolerance(s.all.deviation(), s.o.Digits)
	for _, b := range s.blocks {
		if 2*b.deviation()/math.Sqrt(float64(b.n)) > delta {
			return false
		}
	}
	return true
}

// tolerance is half a unit in the last of so many significant digits of u.
func tolerance(u float64, digits int) float64 {
	if u == 0 {
		return 0
	}
	return 0.5 * math.Pow10(int(math.Floor(math.Log10(u)))-digits+1)
}

func (s *trials) outcome() Outcome {
	return Outcome{
		Trials: len(s.values) + s.without, Without: s.without, Stable: s.stable(),
		Mean: s.all.mean, Uncertainty: s.all.deviation(),
		Symmetric: symmetric(s.values, s.o.Coverage), Shortest: shortest(s.values, s.o.Coverage),
	}
}

// moments are mean and sum of squared deviations, kept up value by value so that no digits cancel (B. P. Welford, 1962).
type moments struct {
	n             int
	mean, squares float64
}

func (m *moments) add(v float64) {
	m.n++
	d := v - m.mean
	m.mean += d / float64(m.n)
	m.squares += float64(d * (v - m.mean))
}

// deviation is the standard deviation, 0 of fewer than two values.
func (m *moments) deviation() float64 {
	if m.n < 2 {
		return 0
	}
	return math.Sqrt(m.squares / float64(m.n-1))
}
