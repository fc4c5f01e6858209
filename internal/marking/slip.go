package marking

import (
	"math"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// matchSlips looks which declared slips lead to the stated figure, to its stated digits (policy 15). A slip counts only
// where its own value lies outside the tolerance; it is named where exactly one fits, else all that fit are listed. Each
// slip is worked from the given values and from the trainee's own figures, because it may have been made on either.
func (m *marker) matchSlips(it *brief.CompiledItem, f *Finding, t typed) {
	var fits []SlipMatch
	for i := range it.Slips {
		s := &it.Slips[i]
		if s.Formula == nil {
			continue
		}
		for _, own := range []bool{false, true} {
			r := m.evaluate(s.Formula, it.Unit, own)
			if !r.known || f.FromGiven == nil || Tolerance(it.Tolerance).Accepts(*f.FromGiven, r.value, keptDigits) {
				continue
			}
			if statedAs(t, r.value, it.Unit) {
				fits = append(fits, SlipMatch{Key: s.Slip.Key, Is: s.Slip.Is})
				break
			}
		}
	}
	m.nameSlip(it, f, fits)
}

// keptDigits stands for a value that was worked out, not stated.
const keptDigits = 12

// nameSlip names the one slip that fits, or lists those that do.
func (m *marker) nameSlip(it *brief.CompiledItem, f *Finding, fits []SlipMatch) {
	switch len(fits) {
	case 0:
		return
	case 1:
		f.Slip = &fits[0]
	default:
		f.Candidates = fits
		return
	}
	if first, made := m.slips[f.Slip.Key]; made {
		f.flag(FlagSlipAgain, "The same slip as at %s, made afresh here; you may count it once.", first)
		return
	}
	m.slips[f.Slip.Key] = it.Item.Title
}

// statedAs reports whether a value in the asked unit, written with the digits that were stated and in the unit that was
// stated, is what was stated. An integer that ends in zeros may be meant to fewer digits, but to two at least.
func statedAs(t typed, value float64, asked quantity.Unit) bool {
	x, err := quantity.Convert(value, asked, t.unit)
	if err != nil {
		return false
	}
	n := t.number.Value()
	half := t.number.HalfUnit()
	if math.Abs(x-n) <= half+slack*math.Max(math.Abs(x), math.Abs(n)) {
		return true
	}
	least, most := t.number.SignificantFigures()
	return least < most && least >= 2 && quantity.RoundFigures(x, least) == quantity.RoundFigures(n, least)
}
