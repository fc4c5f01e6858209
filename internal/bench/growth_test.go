package main

import (
	"strings"
	"testing"

	"witnessmark/internal/bench/rounds"
)

func TestGrowths(t *testing.T) {
	g := growths{}
	for i, n := range centreSizes {
		g.add("grows", n, rounds.Round{Ours: float64(n) / 10, Theirs: float64(n) / 20})
		g.add("stays", n, rounds.Round{Ours: 4, Theirs: 2.5})
		if i == 0 {
			g.add("small alone", n, rounds.Round{Ours: 1, Theirs: 1})
		}
	}
	var out strings.Builder
	if err := g.print(&out, []centrePage{{name: "grows"}, {name: "stays"}, {name: "small alone"}, {name: "never"}}); err != nil {
		t.Fatal(err)
	}
	lines := map[string]bool{}
	for line := range strings.Lines(out.String()) {
		lines[strings.Join(strings.Fields(line), " ")] = true
	}
	for _, want := range []string{"page 100 trainees 300 trainees 1000 trainees ratio slope", "grows 10.0 30.0 100.0 2.00 1.00", "stays 4.0 4.0 4.0 1.60 0.00"} {
		if !lines[want] {
			t.Errorf("no line %q in\n%s", want, out.String())
		}
	}
	if strings.Contains(out.String(), "small alone") || strings.Contains(out.String(), "never") {
		t.Errorf("what was not measured at every size is there:\n%s", out.String())
	}
	var none strings.Builder
	if err := (growths{}).print(&none, centrePages()); err != nil || none.Len() > 0 {
		t.Errorf("of nothing: %q, %v", none.String(), err)
	}
}
