// Command marker measures the marker's core against Go itself, in one run, and ends with 1 where a bar is missed. What it
// is faster than besides is in the module of rivals beside it, whose libraries the program does not carry.
package main

import (
	"fmt"
	"os"
	"slices"

	"witnessmark/internal/bench/rounds"
)

func main() {
	comparisons, err := all()
	if err == nil {
		err = rounds.Run(os.Args[1:], os.Stdout, comparisons)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "marker:", err)
		os.Exit(1)
	}
}

// all are the bars, a file for each subject.
func all() ([]rounds.Comparison, error) {
	var comparisons []rounds.Comparison
	for _, subject := range []func() ([]rounds.Comparison, error){evaluation, bulk} {
		c, err := subject()
		if err != nil {
			return nil, err
		}
		comparisons = slices.Concat(comparisons, c)
	}
	return comparisons, nil
}
