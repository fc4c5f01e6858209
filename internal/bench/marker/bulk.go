package main

import (
	"fmt"
	"math"
	"os"
	"runtime"
	"sync"
	"syscall"
	"time"

	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/marking"
)

// bulkFull is the brief that the bars are about: twelve figures with sixty wrong ways of working each.
var bulkFull = bulkSize{copies: 1, ways: 60}

// million is how many blocks hold a million submissions.
const million = (1_000_000 + bulkRows - 1) / bulkRows

// bulk compares marking a million submissions from decoded values, on one core, with Go's own loops over the same columns
// that work out the twelve reference formulas and nothing else.
func bulk() ([]rounds.Comparison, error) {
	full := bulkFull.ready()
	return []rounds.Comparison{
		{Bar: rounds.Bar{Name: "bulk: 12 million figures, a fifth wrong, 60 slips tried on each wrong one", Unit: "seconds of the processor", Ours: "marker", Theirs: "Go's loops", Kind: rounds.AtMost, Limit: 30},
			Measure: func(theirsFirst bool) (rounds.Round, error) { return bulkRound(full, theirsFirst) }},
		{Bar: rounds.Bar{Name: "bulk: memory in use over a million submissions", Unit: "KiB", Ours: "after", Theirs: "before", Kind: rounds.AtMost, Limit: 1.05},
			Measure: func(bool) (rounds.Round, error) { return bulkHeap(full) }},
		grows("submissions", []int{4 * bulkRows, 8 * bulkRows, 16 * bulkRows}, func(n int) (func() float64, error) {
			r, err := full()
			return func() float64 { return r.ours(n / bulkRows) }, err
		}),
		grows("slips tried on each figure", []int{60, 120, 240}, sized(func(n int) bulkSize { return bulkSize{copies: 1, ways: n} })),
		grows("figures of a submission", []int{12, 24, 48}, sized(func(n int) bulkSize { return bulkSize{copies: n / len(bulkFigures), ways: 60} })),
	}, nil
}

// bulkRun is a brief with its data, ready to run.
type bulkRun struct {
	run   *marking.Bulk
	data  *bulkData
	codes [][]marking.Code
}

// ready makes a run when it is first asked for: a bench of other bars need not wait for it.
func (z bulkSize) ready() func() (*bulkRun, error) {
	return sync.OnceValues(func() (*bulkRun, error) {
		c, err := z.compile()
		if err != nil {
			return nil, err
		}
		r := &bulkRun{run: marking.NewBulk(c, bulkRows)}
		r.codes = r.run.NewCodes()
		if r.data, err = z.data(c, r.run); err != nil {
			return nil, err
		}
		if err := r.data.agrees(); err != nil {
			return nil, err
		}
		wrong, all := 0, 0
		for _, k := range r.data.blocks {
			r.run.Mark(k, r.codes)
			for _, column := range r.codes {
				for _, code := range column {
					all++
					if code.Verdict() == marking.Wrong {
						wrong++
					}
				}
			}
		}
		_, err = fmt.Fprintf(os.Stdout, "%d figures, %d ways of working each; %.1f %% of what is stated is wrong\n",
			len(r.codes), z.ways, 100*float64(wrong)/float64(all))
		return r, err
	})
}

// ours marks so many blocks and gives the seconds that it takes.
func (r *bulkRun) ours(blocks int) float64 {
	return processor(func() {
		for i := range blocks {
			r.run.Mark(r.data.blocks[i%bulkBlocks], r.codes)
		}
	})
}

// theirs works out the references alone.
func (r *bulkRun) theirs(blocks int) float64 {
	return processor(func() {
		for i := range blocks {
			r.data.native(r.data.columns[i%bulkBlocks], bulkRows)
		}
	})
}

// processor is the seconds of the processor's time that something takes. Legs here are so long that others on a busy
// machine come in between, and more often in the long ones than in the short.
func processor(do func()) float64 {
	var before, after syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &before); err != nil {
		return math.NaN()
	}
	do()
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &after); err != nil {
		return math.NaN()
	}
	return time.Duration(after.Utime.Nano() + after.Stime.Nano() - before.Utime.Nano() - before.Stime.Nano()).Seconds()
}

// bulkSlice is how many blocks a side takes before the other has its turn, so that both meet the same machine.
const bulkSlice = 16

func bulkRound(full func() (*bulkRun, error), theirsFirst bool) (rounds.Round, error) {
	r, err := full()
	if err != nil {
		return rounds.Round{}, err
	}
	var ours, theirs float64
	for from := 0; from < million; from += bulkSlice {
		n := min(bulkSlice, million-from)
		if theirsFirst {
			theirs += r.theirs(n)
		}
		ours += r.ours(n)
		if !theirsFirst {
			theirs += r.theirs(n)
		}
	}
	return rounds.Round{Ours: ours, Theirs: theirs}, nil
}

// bulkHeap looks at what is in use before and after a run, with nothing tidied up in between.
func bulkHeap(full func() (*bulkRun, error)) (rounds.Round, error) {
	r, err := full()
	if err != nil {
		return rounds.Round{}, err
	}
	var before, after runtime.MemStats
	runtime.GC()
	runtime.ReadMemStats(&before)
	r.ours(million)
	runtime.ReadMemStats(&after)
	return rounds.Round{Ours: float64(after.HeapAlloc) / 1024, Theirs: float64(before.HeapAlloc) / 1024}, nil
}

// sized is a leg over a block or two of a brief of each size.
func sized(size func(n int) bulkSize) func(n int) (func() float64, error) {
	ready := map[int]func() (*bulkRun, error){}
	return func(n int) (func() float64, error) {
		if ready[n] == nil {
			ready[n] = size(n).ready()
		}
		r, err := ready[n]()
		return func() float64 { return r.ours(2) }, err
	}
}

// turnsOfSizes is how often the sizes take turns. The shortest leg of each counts: what a busy machine adds to the others
// tells nothing of how cost grows.
const turnsOfSizes = 12

// grows is a bar for the cost of three sizes: its exponent, the slope between the logarithms of size and cost, is 1 where
// twice as much costs twice as much.
func grows(what string, sizes []int, leg func(n int) (func() float64, error)) rounds.Comparison {
	return rounds.Comparison{
		Bar: rounds.Bar{Name: "bulk: cost grows with the " + what, Unit: "exponent", Ours: "marker", Theirs: "linear", Kind: rounds.AtMost, Limit: 1.1},
		Measure: func(bool) (rounds.Round, error) {
			seconds := make([]float64, len(sizes))
			for turn := range turnsOfSizes {
				for i, n := range sizes {
					run, err := leg(n)
					if err != nil {
						return rounds.Round{}, err
					}
					if s := run(); turn == 0 || s < seconds[i] {
						seconds[i] = s
					}
				}
			}
			var x, y []float64
			for i, n := range sizes {
				if _, err := fmt.Fprintf(os.Stdout, "%d %s: %.1f ms, %.3g µs each\n", n, what, seconds[i]*1e3, seconds[i]*1e6/float64(n)); err != nil {
					return rounds.Round{}, err
				}
				x, y = append(x, math.Log(float64(n))), append(y, math.Log(seconds[i]))
			}
			return rounds.Round{Ours: rounds.Slope(x, y), Theirs: 1}, nil
		},
	}
}
