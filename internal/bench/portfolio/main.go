// Command portfolio measures how a portfolio is built, and ends with 1 where a bar is missed. Each side of each round is a process of its
// own, so that the system tells its processor time and its peak memory.
//
// What is built is what the program builds: photos out of the folder of evidence, held against their digests on the way, laid out with
// readings and decisions, with the record attached, signed, and kept in the folder under the digest of the whole. What it is held
// against reads the same photos and writes them through one buffer, with two SHA-256 of every byte.
package main

import (
	"fmt"
	"os"

	"witnessmark/internal/bench/rounds"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "portfolio:", err)
		os.Exit(1)
	}
}

func run(args []string) error {
	if len(args) > 1 && args[0] == "leg" {
		return leg(args[1:])
	}
	b, err := newBench()
	if err != nil {
		return err
	}
	err = rounds.Run(args, os.Stdout, b.comparisons())
	if gone := os.RemoveAll(b.dir); err == nil {
		err = gone
	}
	return err
}
