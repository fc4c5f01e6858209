// Command rivals measures the marker's core against libraries of others, in one run, and ends with 1 where a bar is
// missed. It is a module of its own, so that the program carries none of them.
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
		fmt.Fprintln(os.Stderr, "rivals:", err)
		os.Exit(1)
	}
}

// all are the bars, a file for each subject.
func all() ([]rounds.Comparison, error) {
	var comparisons []rounds.Comparison
	for _, subject := range []func() ([]rounds.Comparison, error){evaluation, compiling, lines} {
		c, err := subject()
		if err != nil {
			return nil, err
		}
		comparisons = slices.Concat(comparisons, c)
	}
	return comparisons, nil
}
