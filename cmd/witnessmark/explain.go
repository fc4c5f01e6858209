package main

import (
	"fmt"
	"io"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// explain prints every figure of a sheet worked out step by step.
func explain(out io.Writer, c *brief.Compiled, s marking.Sheet) error {
	for _, e := range marking.ExplainAll(c, s) {
		if _, err := fmt.Fprintf(out, "\n%s", e.Text()); err != nil {
			return err
		}
	}
	_, err := fmt.Fprintf(out, "\n%s\n\n", marking.StepsRounded)
	return err
}
