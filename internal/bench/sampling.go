package main

import (
	"encoding/binary"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/sampling"
)

// drawSizes are the lists that a sample is drawn from, a quarter of each.
var drawSizes = []int{96, 960, 9600}

// drawTurns is how often the two sides take turns in a round: both take microseconds, and the machine changes meanwhile.
const drawTurns = 10

// drawing compares drawing a sample and saying what it shows with one evaluation of the hypergeometric distribution for the same numbers.
// The bar is for a centre's usual list of some hundred; a longer one costs as many times as much as it is longer.
func drawing() []rounds.Comparison {
	var all []rounds.Comparison
	for i, size := range drawSizes {
		items := drawnFrom(size)
		limit := 200.0
		for range i {
			limit *= float64(drawSizes[1] / drawSizes[0])
		}
		all = append(all, rounds.Comparison{
			Bar: rounds.Bar{Name: fmt.Sprintf("sampling: drawing %d of %d and its figures", size/4, size), Unit: "microseconds", Ours: "draw", Theirs: "one probability", Kind: rounds.AtMost, Limit: limit},
			Measure: func(bool) (rounds.Round, error) {
				var err error
				var r rounds.Round
				for range drawTurns {
					r.Ours += each(2000*96/size/drawTurns, func() {
						var l sampling.List
						if l, err = sampling.NewList(items); err != nil {
							return
						}
						_ = l.Draw(size/4, "0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f0f", l.Digest())
						_ = sampling.Before(size, size/4)
					}) / drawTurns
					r.Theirs += each(100_000/drawTurns, func() { _ = sampling.Exactly(size, size/10, size/4, 1) }) / drawTurns
				}
				return r, err
			},
		})
	}
	return all
}

// each is how many microseconds one of n takes.
func each(n int, do func()) float64 {
	began := time.Now()
	for range n {
		do()
	}
	return time.Since(began).Seconds() * 1e6 / float64(n)
}

// drawnFrom is a list of attempts in twelve strata.
func drawnFrom(n int) []sampling.Item {
	items := make([]sampling.Item, n)
	for i := range items {
		var id, assessor uuid.UUID
		binary.BigEndian.PutUint64(id[:], uint64(i)*0x9e3779b97f4a7c15)
		binary.BigEndian.PutUint64(assessor[8:], uint64(i%4))
		items[i] = sampling.Item{Attempt: id, Risk: 1 + i%5, Stratum: sampling.Stratum{Assessor: assessor, Units: fmt.Sprint("H", i%3), Method: "from evidence", Site: "at the centre"}}
	}
	return items
}
