// Package insight says how the figures of a brief did: how many got each right, whether those did who are strong on the rest,
// and where the checked answer itself is to be looked at.
//
// It counts and judges no trainee. A coefficient from few attempts says little, so that below Enough none is given.
package insight

import (
	"math"
	"slices"
)

// Mark is how one attempt stands on one line.
type Mark uint8

// The marks. What a tutor has to read, or nobody answered, counts neither way.
const (
	Open  Mark = iota // not answered, or for the tutor to read
	Wrong             // answered, and neither right nor followed through
	Right             // right, or right from the trainee's own figures
)

// Enough is how many attempts a line needs before a coefficient is given for it (our own value, on the safe side of the common
// advice to distrust item statistics from under about thirty; from memory).
const Enough = 20

// strongest is the part of the attempts that counts as the strong ones, and as the weak ones: Kelley (1939) shows that 27 % at
// either end tells the most about an item (from memory).
const strongest = 0.27

// Item is how one line did.
type Item struct {
	Answered int // attempts that answered it
	Right    int
	// Discrimination is Pearson's coefficient between right or not (1 or 0) and the share of the other lines that the same
	// attempt has right: for a variable of two values that is the point-biserial coefficient, (M1 − M0) / s × √(p q), corrected
	// for the item's own part in the sum. From −1 to 1; near 0 it tells strong from weak no better than chance, below 0 the
	// strong get it wrong. Lord and Novick, Statistical Theories of Mental Test Scores, 1968 (from memory).
	Discrimination float64
	Known          bool // Discrimination can be given: Enough attempts, and they differ
	Strong, Weak   Group
	// Suspect says that the strong ones mostly get it wrong, or more often than the weak ones do, so that the checked answer or
	// the question is to be looked at before the trainees are.
	Suspect bool
}

// Group is one end of the attempts, by how they did on the other lines.
type Group struct{ Answered, Right int }

// Share is the part that is right; 0 where nobody answered.
func (g Group) Share() float64 {
	if g.Answered == 0 {
		return 0
	}
	return float64(g.Right) / float64(g.Answered)
}

// Items says how each line did; every attempt has a mark for each line, in the same order.
func Items(attempts [][]Mark) []Item {
	if len(attempts) == 0 {
		return nil
	}
	right, answered := make([]int, len(attempts)), make([]int, len(attempts))
	for i, marks := range attempts {
		for _, m := range marks {
			if m != Open {
				answered[i]++
			}
			if m == Right {
				right[i]++
			}
		}
	}
	items := make([]Item, len(attempts[0]))
	for line := range items {
		var pairs []pair
		for i, marks := range attempts {
			m := marks[line]
			if m == Open {
				continue
			}
			p := pair{right: m == Right}
			own := 0
			if p.right {
				own = 1
			}
			if others := answered[i] - 1; others > 0 {
				p.rest, p.ranked = float64(right[i]-own)/float64(others), true
			}
			pairs = append(pairs, p)
		}
		items[line] = item(pairs)
	}
	return items
}

// pair is one attempt at one line: whether it is right, and the share of its other lines that are.
type pair struct {
	right, ranked bool
	rest          float64
}

func item(pairs []pair) Item {
	it := Item{Answered: len(pairs)}
	for _, p := range pairs {
		if p.right {
			it.Right++
		}
	}
	ranked := slices.DeleteFunc(pairs, func(p pair) bool { return !p.ranked })
	if len(ranked) >= Enough {
		it.Discrimination, it.Known = correlation(ranked)
	}
	slices.SortStableFunc(ranked, func(a, b pair) int {
		switch {
		case a.rest < b.rest:
			return -1
		case a.rest > b.rest:
			return 1
		}
		return 0
	})
	end := int(math.Round(strongest * float64(len(ranked))))
	it.Weak, it.Strong = group(ranked[:end]), group(ranked[len(ranked)-end:])
	it.Suspect = it.Strong.Answered >= suspectFrom && (2*it.Strong.Right < it.Strong.Answered || it.Known && it.Discrimination < 0)
	return it
}

// suspectFrom is how many strong attempts it takes to suspect the answer rather than them (our own value).
const suspectFrom = 3

func group(pairs []pair) Group {
	g := Group{Answered: len(pairs)}
	for _, p := range pairs {
		if p.right {
			g.Right++
		}
	}
	return g
}

// correlation is the point-biserial coefficient; false where all are right, none is, or the rest does not differ.
func correlation(pairs []pair) (float64, bool) {
	n := float64(len(pairs))
	var mean, q, sumRight, right float64
	for i, p := range pairs { // Welford's running mean and sum of squares
		d := p.rest - mean
		mean += d / float64(i+1)
		q += float64(d * (p.rest - mean))
		if p.right {
			right++
			sumRight += p.rest
		}
	}
	s := math.Sqrt(q / n)
	if right == 0 || right == n || s < 1e-12 {
		return 0, false
	}
	m1 := sumRight / right
	m0 := (mean*n - sumRight) / (n - right)
	return (m1 - m0) / s * math.Sqrt(right/n*(1-right/n)), true
}
