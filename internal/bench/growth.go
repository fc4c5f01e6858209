package main

import (
	"fmt"
	"io"
	"math"
	"text/tabwriter"

	"witnessmark/internal/bench/rounds"
)

// growths is what each page of a centre took, by its name and the number of trainees.
type growths map[string]map[int][]rounds.Round

func (g growths) add(page string, trainees int, r rounds.Round) {
	if g[page] == nil {
		g[page] = map[int][]rounds.Round{}
	}
	g[page][trainees] = append(g[page][trainees], r)
}

// print writes one table of the pages that were measured at every size: the milliseconds at each, how many times its statements' own
// time the largest takes, and the slope between the logarithms of trainees and milliseconds, which is 1 where twice as many take twice
// as long.
func (g growths) print(out io.Writer, pages []centrePage) error {
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprint(t, "page\t")
	for _, n := range centreSizes {
		fmt.Fprintf(t, "%d trainees\t", n)
	}
	fmt.Fprint(t, "ratio\tslope\t\n")
	measured := false
	for _, p := range pages {
		if len(g[p.name]) < len(centreSizes) {
			continue
		}
		measured = true
		var x, y []float64
		var ratio float64
		fmt.Fprintf(t, "%s\t", p.name)
		for _, n := range centreSizes {
			var ms float64
			ms, _, ratio = rounds.Result{Rounds: g[p.name][n]}.Medians()
			fmt.Fprintf(t, "%.1f\t", ms)
			x, y = append(x, math.Log(float64(n))), append(y, math.Log(ms))
		}
		fmt.Fprintf(t, "%.2f\t%.2f\t\n", ratio, rounds.Slope(x, y))
	}
	if !measured {
		return nil
	}
	if _, err := fmt.Fprint(out, "\nPages of a centre, milliseconds\n"); err != nil {
		return err
	}
	return t.Flush()
}
