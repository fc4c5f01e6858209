package formula_test

import (
	"crypto/sha256"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"witnessmark/internal/formula"
)

// spread reads "a normal 0 1" or "a rectangle -√3 √3".
func spread(t *testing.T, text string) (name string, d formula.Distribution) {
	t.Helper()
	f := strings.Fields(text)
	number := func(s string) float64 {
		root := 1.0
		if r, ok := strings.CutSuffix(s, "√3"); ok {
			root, s = math.Sqrt(3), r
			if s == "" || s == "-" {
				s += "1"
			}
		}
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v * root
	}
	if f[1] == "normal" {
		return f[0], formula.Normal(number(f[2]), number(f[3]))
	}
	return f[0], formula.Rectangular(number(f[2]), number(f[3]))
}

// TestMonteCarloPublished repeats the examples of JCGM 101 clause 9 with 10^6 trials each.
func TestMonteCarloPublished(t *testing.T) {
	f, err := os.Open("testdata/montecarlo.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		t.Run(row[0], func(t *testing.T) {
			known := map[string]formula.Distribution{}
			var names []string
			for _, s := range strings.Split(row[2], ";") {
				n, d := spread(t, s)
				known[n], names = d, append(names, n)
			}
			p := plain(t, row[1], names...)
			var inputs []formula.Distribution
			for _, n := range p.Names() {
				inputs = append(inputs, known[n])
			}
			draw, err := formula.Independent(1, inputs...)
			if err != nil {
				t.Fatal(err)
			}
			got, err := p.MonteCarlo(draw, formula.TrialOptions{All: true})
			if err != nil {
				t.Fatal(err)
			}
			var want [5]float64
			for i, s := range []string{row[3], row[4], row[6], row[7], row[8]} {
				if want[i], err = strconv.ParseFloat(s, 64); err != nil {
					t.Fatal(err)
				}
			}
			x := got.Symmetric
			if row[5] == "shortest" {
				x = got.Shortest
			}
			if got.Trials != 1_000_000 || math.Abs(got.Uncertainty-want[0]) > want[1] || math.Abs(x.Lo-want[2]) > want[4] || math.Abs(x.Hi-want[3]) > want[4] {
				t.Errorf("%d trials: u %.6g, interval %.6g; want u %v, %s interval [%v, %v]", got.Trials, got.Uncertainty, x, want[0], row[5], want[2], want[3])
			}
		})
	}
}

// TestDistributions: what is drawn has the mean and the standard uncertainty that the distribution states, and those are
// the ones of JCGM 101 table 1.
func TestDistributions(t *testing.T) {
	p := plain(t, "x", "x")
	for _, c := range []struct {
		name    string
		d       formula.Distribution
		mean, u float64
		widest  formula.Interval
	}{
		{"fixed", formula.Fixed(3), 3, 0, formula.Interval{Lo: 3, Hi: 3}},
		{"normal", formula.Normal(5, 0.5), 5, 0.5, formula.Interval{Lo: 0, Hi: 10}},
		{"rectangular", formula.Rectangular(2, 8), 5, math.Sqrt(3), formula.Interval{Lo: 2, Hi: 8}},
		{"triangular", formula.Triangular(2, 8), 5, 3 / math.Sqrt(6), formula.Interval{Lo: 2, Hi: 8}},
		{"trapezoidal", formula.Trapezoidal(2, 8, 0.5), 5, 3 * math.Sqrt(1.25/6), formula.Interval{Lo: 2, Hi: 8}},
		{"arc sine", formula.ArcSine(2, 8), 5, 3 / math.Sqrt2, formula.Interval{Lo: 2, Hi: 8}},
		{"t", formula.StudentT(5, 0.5, 9), 5, 0.5 * math.Sqrt(9.0/7), formula.Interval{Lo: -10, Hi: 20}},
	} {
		if got := [2]float64{c.d.Mean(), c.d.Uncertainty()}; math.Abs(got[0]-c.mean)+math.Abs(got[1]-c.u) > 1e-12 {
			t.Errorf("%s: mean and uncertainty %v, want %v and %v", c.name, got, c.mean, c.u)
		}
		draw, err := formula.Independent(7, c.d)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.MonteCarlo(draw, formula.TrialOptions{Most: 200_000, All: true, Coverage: 0.999})
		if err != nil || math.Abs(got.Mean-c.mean) > 0.02 || math.Abs(got.Uncertainty-c.u) > 0.01*c.u {
			t.Errorf("%s: drawn %+v, %v; want mean %v, u %v", c.name, got, err, c.mean, c.u)
		}
		if !c.widest.Has(got.Symmetric.Lo) || !c.widest.Has(got.Symmetric.Hi) {
			t.Errorf("%s: drawn from %v, want values within %v", c.name, got.Symmetric, c.widest)
		}
	}
	for _, d := range []formula.Distribution{formula.Normal(1, -1), formula.Normal(inf(), 1), formula.Rectangular(2, 1), formula.Trapezoidal(1, 2, 3), formula.StudentT(0, 1, 0)} {
		if _, err := formula.Independent(1, d); err == nil {
			t.Errorf("%+v: no error", d)
		}
	}
}

// TestMonteCarloStops: a run ends as soon as its digits are stable, sooner for one digit than for two, and repeats bit for
// bit; another seed draws other values.
func TestMonteCarloStops(t *testing.T) {
	p := plain(t, "a × b", "a", "b")
	run := func(seed uint64, digits int) formula.Outcome {
		draw, err := formula.Independent(seed, formula.Normal(10, 0.3), formula.Rectangular(4, 5))
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.MonteCarlo(draw, formula.TrialOptions{Digits: digits})
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	one, two := run(1, 1), run(1, 2)
	if !one.Stable || !two.Stable || one.Trials >= two.Trials || two.Trials >= 1_000_000 {
		t.Errorf("one digit stable (%v) after %d trials, two (%v) after %d", one.Stable, one.Trials, two.Stable, two.Trials)
	}
	if run(1, 1) != one {
		t.Errorf("the same seed gives %+v and then %+v", one, run(1, 1))
	}
	if other := run(2, 1); other.Mean == one.Mean {
		t.Error("another seed draws the same values")
	}
	if three := run(1, 4); three.Stable || three.Trials != 1_000_000 {
		t.Errorf("four digits stable (%v) after %d trials; want the trials to run out", three.Stable, three.Trials)
	}
}

// TestTrialsAreTheSameOnEveryMachine: one seed draws the same values of each distribution, to the last bit, whatever the
// processor. The digest was made on amd64.
func TestTrialsAreTheSameOnEveryMachine(t *testing.T) {
	p := plain(t, "x", "x")
	all := sha256.New()
	for _, d := range []formula.Distribution{
		formula.Normal(5, 0.5), formula.Rectangular(2, 8), formula.Triangular(2, 8), formula.Trapezoidal(2, 8, 0.5), formula.ArcSine(2, 8), formula.StudentT(5, 0.5, 9),
	} {
		draw, err := formula.Independent(7, d)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.MonteCarlo(draw, formula.TrialOptions{Most: 10_000, All: true})
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(all, "%x\n", []float64{got.Mean, got.Uncertainty, got.Symmetric.Lo, got.Symmetric.Hi, got.Shortest.Lo, got.Shortest.Hi})
	}
	if got, want := fmt.Sprintf("%x", all.Sum(nil)), "68d80f00c5af7cdd39837af895f0e3c2162cf88c78ff097d3a902d5c9311c51e"; got != want {
		t.Errorf("the draws have the digest %s, want %s", got, want)
	}
}

// TestMonteCarloWithout: some values without a result are left out and counted, many are an error.
func TestMonteCarloWithout(t *testing.T) {
	p := plain(t, "√a", "a")
	for _, c := range []struct {
		mean float64
		fine bool
	}{{3.5, true}, {1, false}, {-50, false}} {
		draw, err := formula.Independent(1, formula.Normal(c.mean, 1))
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.MonteCarlo(draw, formula.TrialOptions{Most: 100_000, All: true})
		if (err == nil) != c.fine || c.fine && (got.Without == 0 || got.Without > 100) {
			t.Errorf("root of %v ± 1: %d trials without a result, %v", c.mean, got.Without, err)
		}
	}
}
