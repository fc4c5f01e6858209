package main

import "witnessmark/internal/bench/rounds"

// bar is a comparison of two legs, in hand-overs per second.
type bar struct {
	rounds.Bar
	ours, theirs leg
}

// against makes a bar that the ratio of the legs' rates has to reach.
func against(name string, ours, theirs leg, oursIs, theirsIs string, least float64) bar {
	return bar{
		rounds.Bar{Name: name, Unit: "hand-overs per second", Ours: oursIs, Theirs: theirsIs, Kind: rounds.AtLeast, Limit: least},
		ours, theirs,
	}
}
