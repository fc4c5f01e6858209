package main

import (
	"fmt"

	"witnessmark/internal/verify/cli"
)

// verifyCmd is for whoever has a portfolio and the centre's key: it needs neither database nor data folder.
type verifyCmd struct {
	cli.Command `embed:""`
}

// Run says what it found. The exit code is 0 for genuine, 1 for altered, 2 where it cannot be told or was asked wrongly.
func (c *verifyCmd) Run(w *world) error {
	code, err := c.Command.Run(w.out)
	switch {
	case err != nil:
		return fmt.Errorf("%w%w", err, exit(code))
	case code != cli.Genuine:
		return exit(code)
	}
	return nil
}
