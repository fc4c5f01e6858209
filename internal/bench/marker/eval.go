package main

import (
	"fmt"

	"witnessmark/internal/bench/marker/formulas"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/formula"
)

const nanoseconds = "geometric mean of five formulas, nanoseconds each"

// evaluation compares the interpreters with Go and with one another.
func evaluation() ([]rounds.Comparison, error) {
	five, err := compiled()
	if err != nil {
		return nil, err
	}
	// The first has seven names; without the last it has six.
	heat := formulas.All[0]
	heat.Text, heat.Names, heat.Values, heat.Native = formulas.HeatOfSix, heat.Names[:6], heat.Values[:6], nil
	p, err := heat.Program()
	if err != nil {
		return nil, err
	}
	six := append([]*subject{subjectOf(heat, p)}, five[1:]...)
	return []rounds.Comparison{
		compare(rounds.Bar{Name: "eval: one evaluation", Ours: "program", Theirs: "Go", Kind: rounds.AtMost, Limit: 3}, five, (*subject).eval, (*subject).native),
		compare(rounds.Bar{Name: "eval: a batch, each row", Ours: "batch", Theirs: "Go's loop", Kind: rounds.AtMost, Limit: 1.4}, five, (*subject).batch, (*subject).nativeRows),
		compare(rounds.Bar{Name: "eval: gradient of six inputs", Ours: "gradient", Theirs: "program", Kind: rounds.AtMost, Limit: 5}, six, (*subject).gradient, (*subject).eval),
		compare(rounds.Bar{Name: "eval: interval", Ours: "interval", Theirs: "program", Kind: rounds.AtMost, Limit: 6}, five, (*subject).interval, (*subject).eval),
	}, nil
}

// subject is a workload with all that its loops need.
type subject struct {
	formulas.Workload
	p        *formula.Program
	result   float64 // so that no call is left out
	partials []float64
	ranges   []formula.Interval

	rows    [][]float64 // some like them, row by row
	columns [][]float64 // and column by column
	out     []float64
	b       *formula.Batch
}

// rowCount is how many rows a batch has here: some blocks, and few enough for both sides to have them in the cache.
const rowCount = 4096

func compiled() ([]*subject, error) {
	var five []*subject
	for _, w := range formulas.All {
		p, err := w.Program()
		if err != nil {
			return nil, err
		}
		five = append(five, subjectOf(w, p))
	}
	return five, nil
}

func subjectOf(w formulas.Workload, p *formula.Program) *subject {
	s := &subject{Workload: w, p: p, partials: make([]float64, len(w.Values)), b: p.NewBatch(rowCount), out: make([]float64, rowCount)}
	for _, v := range w.Values {
		s.ranges = append(s.ranges, formula.Interval{Lo: v * 0.999, Hi: v * 1.001})
		s.columns = append(s.columns, make([]float64, rowCount))
	}
	for r := range rowCount {
		row := make([]float64, len(w.Values))
		for i, v := range w.Values {
			row[i] = v * (1 + float64(r%97)*1e-4)
			s.columns[i][r] = row[i]
		}
		s.rows = append(s.rows, row)
	}
	return s
}

func (s *subject) eval(n int) {
	for range n {
		v, err := s.p.Eval(s.Values)
		if err != nil {
			panic(err)
		}
		s.result = v
	}
}

func (s *subject) native(n int) {
	for range n {
		s.result = s.Native(s.Values)
	}
}

func (s *subject) gradient(n int) {
	for range n {
		v, err := s.p.EvalGradient(s.Values, s.partials)
		if err != nil {
			panic(err)
		}
		s.result = v
	}
}

func (s *subject) interval(n int) {
	for range n {
		x, err := s.p.EvalInterval(s.ranges)
		if err != nil {
			panic(fmt.Sprintf("%s: %v", s.Name, err))
		}
		s.result = x.Lo
	}
}

// batch and nativeRows count rows.
func (s *subject) batch(n int) {
	for ; n > 0; n -= rowCount {
		s.b.Eval(s.columns, s.out[:min(n, rowCount)])
	}
}

func (s *subject) nativeRows(n int) {
	for ; n > 0; n -= rowCount {
		out := s.out[:min(n, rowCount)]
		for i := range out {
			out[i] = s.Native(s.rows[i])
		}
	}
}

// compare makes a bar of the geometric mean over subjects.
func compare(b rounds.Bar, subjects []*subject, ours, theirs func(*subject, int)) rounds.Comparison {
	b.Unit = nanoseconds
	return rounds.Comparison{Bar: b, Measure: func(theirsFirst bool) (rounds.Round, error) {
		var all []rounds.Round
		for _, s := range subjects {
			r := rounds.Turns(func(n int) { ours(s, n) }, func(n int) { theirs(s, n) }, theirsFirst)
			all = append(all, r)
		}
		return rounds.Mean(all), nil
	}}
}
