//go:build linux

// Package faults_test kills the program, and its PostgreSQL, under load, and holds what is there afterwards against a list
// that the driver kept of everything that was acknowledged: nothing of it may be lost, and nothing may be there twice.
//
// The driver (load_test.go) knows the program by its JSON API alone. It keeps its list (ledger_test.go) apart from the
// program; where no answer came it sends the same again under the same id, as a phone does. The program is a child process,
// built from this tree; PostgreSQL is a real one with all its durability.
//
// SIGKILL does not test a power cut: what the kernel has taken over, it keeps. That the program asks for more than that is
// proved elsewhere, by the order of its system calls (internal/blob) and the settings of its sessions (internal/store).
package faults_test

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
)

var (
	cycles  = flag.Int("cycles", 0, "how often each test kills, many for a soak; 0 for as often as each says by itself")
	seed    = flag.Uint64("seed", 0, "seed of the random moments and payloads; 0 takes one and prints it")
	bits    = flag.Int("bits", 16_000, "how much the slow phone sends in a second; 1000 is as slow as it gets")
	lossy   = flag.Bool("lossy", false, "have PostgreSQL acknowledge before it has written, and want the loss to be found")
	program string // the built binary
)

func TestMain(m *testing.M) {
	if dir := os.Getenv(smallDiskEnv); dir != "" {
		fmt.Fprintln(os.Stderr, onSmallDisk(dir, os.Args[1:])) // returns only where it failed
		os.Exit(1)
	}
	if onlyAppends() { // returns only where it failed
		os.Exit(1)
	}
	os.Exit(run(m))
}

func run(m *testing.M) int {
	flag.Parse()
	if *seed == 0 {
		*seed = rand.Uint64()
	}
	dir, err := os.MkdirTemp("", "witnessmark-faults-")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	defer os.RemoveAll(dir)
	program = filepath.Join(dir, "witnessmark")
	build := exec.Command("go", "build", "-o", program, "witnessmark/cmd/witnessmark")
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "build the program: %v\n%s", err, out)
		return 1
	}
	if err := flag.Set("test.parallel", strconv.Itoa(atOnce)); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	return m.Run()
}

// atOnce is how many tests run at once: each waits for most of its time, for servers to start and for moments to come.
const atOnce = 6

// times is how often a test kills: as often as it says, or as was asked for.
func times(own int) int {
	if *cycles > 0 {
		return *cycles
	}
	return own
}
