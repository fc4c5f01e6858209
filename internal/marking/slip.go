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
		slices.Sort(m.fits) // the declared ones first
		m.nameSlip(it, f, matches(w, m.fits))
	}
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
		if !ok || si < span.low || si > span.high || slices.Contains(m.fits, i) {
			continue
		}
		x := it.Unit.FromSI(si)
		if statedAs(t, x, it.Unit, fewest(w.Ways[i].Made)) && !Tolerance(it.Tolerance).Accepts(ref, x, keptDigits) && !m.twin(w, i, si) {
			m.fits = append(m.fits, i)
		}
	}
}

// twin reports whether way number i, made by the marker, comes to the same value as a declared one that fits already: the
// brief's own words win. Two of one kind that come to the same on this sheet are both candidates.
func (m *marker) twin(w *brief.Wrongs, i int, si float64) bool {
	return w.Ways[i].Made && slices.ContainsFunc(m.fits, func(i int) bool {
		have, ok := w.Family.Result(m.slots, i)
		return !w.Ways[i].Made && ok && near(have, si)
	})
}

// matches gives the ways of working at some places, each key once.
func matches(w *brief.Wrongs, places []int) []SlipMatch {
	var out []SlipMatch
	for _, i := range places {
		way := w.Ways[i]
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
