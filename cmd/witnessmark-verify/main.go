// Command witnessmark-verify says whether portfolios are what their centre made. It is a program by itself for somebody else's machine:
// it needs no database and no network, and cannot open a connection.
package main

import (
	"fmt"
	"os"

	"github.com/alecthomas/kong"

	"witnessmark/internal/verify/cli"
)

func main() {
	var c cli.Command
	parser, err := kong.New(&c, kong.Name("witnessmark-verify"), kong.UsageOnError(),
		kong.Description("Says whether a portfolio is genuine, altered, or neither can be told, and what was and was not checked. "+
			"It ends with code 0, 1 or 2 for these."))
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(cli.Unknown)
	}
	if _, err := parser.Parse(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(cli.Unknown)
	}
	code, err := c.Run(os.Stdout)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
	}
	os.Exit(code)
}
