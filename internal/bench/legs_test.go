package main

import (
	"context"
	"os"
	"testing"
)

// Every kind of leg does what it says on a real database: measure refuses a leg whose rows are not there. How fast it goes
// is no matter for a test.
func TestLegs(t *testing.T) {
	ctx := t.Context()
	c, err := start(ctx, os.Stderr)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := c.stop(); err != nil {
			t.Error(err)
		}
		if _, err := os.Stat(c.dir); !os.IsNotExist(err) {
			t.Errorf("the cluster's folder is left: %v", err)
		}
	})
	b := &bench{cluster: c, seconds: 3} // on a busy machine pgbench may leave out a second's line
	if err := b.prepare(ctx, 12_000); err != nil {
		t.Fatal(err)
	}
	for name, l := range map[string]leg{
		"store": {pristine, 2, b.throughStore}, "echo": {pristine, 2, b.throughEcho},
		"pgbench, store": {held, 2, b.byPgbench(b.byStore)}, "pgbench, echo": {pristine, 2, b.byPgbench(b.byEcho)},
		"pgbench, no policies": {free, 2, b.byPgbench(b.byStore)},
	} {
		if got, err := b.measure(ctx, l); err != nil || got.done == 0 {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	if _, err := b.measure(ctx, leg{pristine, 1, func(context.Context, int) (tally, error) { return tally{done: 1}, nil }}); err == nil {
		t.Error("a leg that did nothing and claims one hand-over is believed")
	}
}
