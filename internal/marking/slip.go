package marking

import (
	"math"
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// leastFigures is how many figures have to be stated before a slip is looked for that the brief does not declare. With
// sixty ways of working spread over two decades a figure that is wrong for another reason looks like one of them in one
// case of twenty at three figures, and in every second case at two (the share is half the number of ways, times the width
// that the stated digits leave, over ln 10).
const leastFigures = 3

// mostCandidates bounds how many slips are listed where more than one fits.
const mostCandidates = 5

// matchSlips looks which slips lead to the stated figure, to its stated digits (policy 15): those that the brief
// declares, and those made from the figure's own formula by one edit. A slip counts only where its own value lies outside
// the tolerance; it is named where exactly one fits, else all that fit are listed. Each slip is worked from the given
// values and from the trainee's own figures, because it may have been made on either.
func (m *marker) matchSlips(it *brief.CompiledItem, f *Finding, t typed) {
	if f.FromGiven == nil {
		return
	}
	w := it.Wrongs()
	m.fits = m.fits[:0]
	m.fitting(w, it, *f.FromGiven, t, false)
	m.fitting(w, it, *f.FromGiven, t, true)
	if len(m.fits) > 0 {
		m.nameSlip(it, f, matches(w, giveWay(w, m.fits, t.lastPlace())))
	}
}

// slipFit is a way of working, by its place, and the value in SI that fits what was stated.
type slipFit struct {
	way int
	si  float64
}

// fitting adds to m.fits the places of the ways of working that lead to the stated figure. It allocates nothing where
// none does.
func (m *marker) fitting(w *brief.Wrongs, it *brief.CompiledItem, ref float64, t typed, own bool) {
	differ := m.wrongInputs(w, own)
	if own && !differ {
		return
	}
	m.slots = w.Family.Eval(m.in, m.slots)
	span, made := spanOf(t), t.statedDigits() >= leastFigures
	for i := range w.Ways {
		if w.Ways[i].Made && !made {
			return // they stand behind the declared ones
		}
		si, ok := w.Family.Result(m.slots, i)
		if !ok || si < span.low || si > span.high || slices.ContainsFunc(m.fits, func(f slipFit) bool { return f.way == i }) {
			continue
		}
		x := it.Unit.FromSI(si)
		if statedAs(t, x, it.Unit, fewest(w.Ways[i].Made)) && !Tolerance(it.Tolerance).Accepts(ref, x, keptDigits) {
			m.fits = append(m.fits, slipFit{i, si})
		}
	}
}

// giveWay sorts the fits, the declared ones first, and leaves out those made by the marker that the stated digits do not
// tell from a declared one: the brief's own words win. Two of one kind are both candidates.
func giveWay(w *brief.Wrongs, fits []slipFit, place float64) []slipFit {
	slices.SortFunc(fits, func(a, b slipFit) int { return a.way - b.way })
	return slices.DeleteFunc(fits, func(f slipFit) bool {
		return w.Ways[f.way].Made && slices.ContainsFunc(fits, func(d slipFit) bool { return !w.Ways[d.way].Made && withinPlace(d.si, f.si, place) })
	})
}

// withinPlace reports whether two values in SI that fit what was stated lie within one unit of its last place. A value may
// fit and lie further away where zeros at the end of an integer need not count.
func withinPlace(a, b, place float64) bool {
	return math.Abs(a-b) <= place+float64(slack*math.Max(math.Abs(a), math.Abs(b)))
}

// lastPlace is one unit of the last stated place, in SI.
func (t typed) lastPlace() float64 { return t.unit.Difference().ToSI(2 * t.number.HalfUnit()) }

// matches gives the ways of working that fit, each key once.
func matches(w *brief.Wrongs, fits []slipFit) []SlipMatch {
	var out []SlipMatch
	for _, f := range fits {
		way := w.Ways[f.way]
		if len(out) < mostCandidates && !slices.ContainsFunc(out, func(s SlipMatch) bool { return s.Key == way.Key }) {
			out = append(out, SlipMatch{Key: way.Key, Is: way.Is, Made: way.Made})
		}
	}
	return out
}

// keptDigits stands for a value that was worked out, not stated.
const keptDigits = 12

// nameSlip names the one slip that fits, or lists those that do. One that was made further up already is said to be made
// afresh: its value is worked from what was stated there, so this is no consequence of it (policy 10).
func (m *marker) nameSlip(it *brief.CompiledItem, f *Finding, fits []SlipMatch) {
	if len(fits) == 0 {
		return
	}
	if len(fits) > 1 {
		f.Candidates = fits
		for _, c := range fits {
			if first, made := m.slips[c.Key]; made {
				f.flag(FlagSlipAgain, "One of the slips that fit was made at %s as well: %s. If it was made afresh here, you may count it once.", first, c.Is)
				return
			}
		}
		return
	}
	f.Slip = &fits[0]
	if first, made := m.slips[f.Slip.Key]; made {
		f.flag(FlagSlipAgain, "The same slip as at %s, made afresh here; you may count it once.", first)
		return
	}
	m.slips[f.Slip.Key] = it.Item.Title
}

// span is what a stated figure may have been rounded from, in SI base units: wide enough for every reading of its digits.
type span struct{ low, high float64 }

func spanOf(t typed) span {
	n, half := t.number.Value(), t.number.HalfUnit()
	if least, most := t.number.SignificantFigures(); least < most && least >= 2 {
		half *= math.Pow10(most - least)
	}
	half += float64(slack * math.Abs(n))
	return span{low: t.unit.ToSI(n - half), high: t.unit.ToSI(n + half)}
}

// fewest is how many figures an integer that ends in zeros has to be meant to, at least, for a slip to be looked for.
func fewest(made bool) int {
	if made {
		return leastFigures
	}
	return 2
}

// statedAs reports whether a value in the asked unit, written with the digits that were stated and in the unit that was
// stated, is what was stated. An integer that ends in zeros may be meant to fewer digits, but not to fewer than fewest.
func statedAs(t typed, value float64, asked quantity.Unit, fewest int) bool {
	x, err := quantity.Convert(value, asked, t.unit)
	if err != nil {
		return false
	}
	n := t.number.Value()
	half := t.number.HalfUnit()
	if math.Abs(x-n) <= half+float64(slack*math.Max(math.Abs(x), math.Abs(n))) {
		return true
	}
	least, most := t.number.SignificantFigures()
	return least < most && least >= fewest && quantity.RoundFigures(x, least) == quantity.RoundFigures(n, least)
}
