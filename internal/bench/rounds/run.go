package rounds

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	"time"
)

// Comparison is a bar and how to measure one round of it.
type Comparison struct {
	Bar
	// Measure takes one round's figures; theirsFirst says which side goes first, if the order is the measure's own.
	Measure func(theirsFirst bool) (Round, error)
	// Note says what else was found, once all rounds are done; nil where there is nothing.
	Note func() string
}

// ErrMissed says that a bar was not reached.
var ErrMissed = errors.New("missed")

// Run reads the flags -rounds, 5 unless given, and -only, a part of a bar's name; it measures and prints the tables. The
// error is ErrMissed where a bar is.
func Run(args []string, out io.Writer, comparisons []Comparison) error {
	f := flag.NewFlagSet("bench", flag.ContinueOnError)
	f.SetOutput(out)
	count := f.Int("rounds", 5, "rounds of each bar")
	only := f.String("only", "", "measure only bars with this in their name")
	if err := f.Parse(args); err != nil {
		return err
	}
	if *count < 1 || f.NArg() > 0 {
		return errors.New("-rounds has to be 1 at least, and nothing stands behind the flags")
	}
	results, err := Measure(out, comparisons, *count, *only)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "\n%d cores; %s %s\n", runtime.NumCPU(), runtime.Version(), runtime.GOARCH)
	return Report(out, results)
}

// Measure takes count rounds of every comparison with only in its name, all of them once a round; which side goes first
// changes with the round.
func Measure(out io.Writer, comparisons []Comparison, count int, only string) ([]Result, error) {
	var results []Result
	var chosen []Comparison
	for _, c := range comparisons {
		if strings.Contains(c.Name, only) {
			results, chosen = append(results, Result{Bar: c.Bar}), append(chosen, c)
		}
	}
	for round := range count {
		for i := range results {
			r := &results[i]
			figures, err := chosen[i].Measure(round%2 == 1)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", r.Name, err)
			}
			r.Rounds = append(r.Rounds, figures)
			if _, err := fmt.Fprintf(out, "round %d of %d, %s: %.3f\n", round+1, count, r.Name, r.Ratio(figures)); err != nil {
				return nil, err
			}
		}
	}
	for i, c := range chosen {
		if c.Note != nil {
			results[i].Note = c.Note()
		}
	}
	return results, nil
}

// Report prints the tables, and is ErrMissed where a bar is missed.
func Report(out io.Writer, results []Result) error {
	var missed []string
	for _, r := range results {
		if err := r.Print(out); err != nil {
			return err
		}
		if !r.Passed() {
			missed = append(missed, r.Name)
		}
	}
	if len(missed) > 0 {
		return fmt.Errorf("%w: %s", ErrMissed, strings.Join(missed, "; "))
	}
	return nil
}

const (
	// turnTime is how long one turn of Turns takes at least: less than a busy machine lets a process run on.
	turnTime = 500 * time.Microsecond
	turns    = 41
)

// Turns times two loops, which do what they do n times, in many short turns, one after the other. The figures are
// nanoseconds each, in the middle one of either side's turns: what gets in the way now and then does not count, and garbage
// that a side leaves does.
func Turns(ours, theirs func(n int), theirsFirst bool) Round {
	first, second := ours, theirs
	if theirsFirst {
		first, second = second, first
	}
	n, m := enough(first), enough(second)
	var a, b []float64
	for range turns {
		a, b = append(a, each(first, n)), append(b, each(second, m))
	}
	if theirsFirst {
		a, b = b, a
	}
	return Round{Median(a), Median(b)}
}

// enough finds how often a loop has to run for turnTime; that warms it up as well.
func enough(loop func(n int)) int {
	for n := 1; ; n *= 2 {
		start := time.Now()
		loop(n)
		if t := time.Since(start); t > turnTime {
			return n
		}
	}
}

func each(loop func(n int), n int) float64 {
	start := time.Now()
	loop(n)
	return float64(time.Since(start).Nanoseconds()) / float64(n)
}

// Mean is the geometric mean of several rounds, side by side: of workloads that count alike.
func Mean(rounds []Round) Round {
	var ours, theirs float64
	for _, r := range rounds {
		ours, theirs = ours+math.Log(r.Ours), theirs+math.Log(r.Theirs)
	}
	n := float64(len(rounds))
	return Round{math.Exp(ours / n), math.Exp(theirs / n)}
}

// Slope is that of the line of least squares through the points.
func Slope(x, y []float64) float64 {
	var sx, sy, sxx, sxy float64
	for i := range x {
		sx, sy, sxx, sxy = sx+x[i], sy+y[i], sxx+x[i]*x[i], sxy+x[i]*y[i]
	}
	n := float64(len(x))
	return (n*sxy - sx*sy) / (n*sxx - sx*sx)
}
