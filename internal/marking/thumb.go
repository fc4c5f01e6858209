package marking

import (
	"math"

	"witnessmark/internal/brief"
)

// byThumb gives a figure that is outside its tolerance the benefit of a rule of thumb: worked with one, it is wrong only
// if the brief ruled that out (policy 11). On a safety-critical figure the true value decides (policy 8), so there the
// tutor reads it; and where the true value breaks the limit and the stated one keeps it, no rule of thumb brings it back
// inside (policy 5).
func (m *marker) byThumb(it *brief.CompiledItem, f *Finding, t typed) {
	limit := Limit(it.Limit)
	if f.FromGiven == nil || limit.Set() && !limit.Keeps(*f.FromGiven) && limit.Keeps(t.value) {
		return
	}
	w := it.Thumbs()
	if i := m.thumb(it, w, t, false); i >= 0 {
		f.Verdict, f.Code = Correct, codeThumb
		if it.Item.Figure.Safety {
			f.Verdict = ToRead
		}
		m.sayThumb(f, w.Ways[i].Is)
	} else if i := m.thumb(it, w, t, true); i >= 0 && !it.Item.Figure.Safety {
		m.followed(it, f)
		f.Code = codeThumb
		m.sayThumb(f, w.Ways[i].Is)
	}
}

// thumb is the place of the first rule of thumb that the stated figure is right by; -1 where there is none.
func (m *marker) thumb(it *brief.CompiledItem, w *brief.Wrongs, t typed, own bool) int {
	if len(w.Ways) == 0 {
		return -1
	}
	m.wrongInputs(w, own)
	m.slots = w.Family.Eval(m.in, m.slots)
	return firstRight(it, w, m.slots, t.value, t.statedDigits())
}

func (m *marker) sayThumb(f *Finding, rule string) {
	f.flags(Flag{
		Code:    FlagThumb,
		Text:    "Worked by a rule of thumb (" + rule + "), which this brief does not rule out.",
		Trainee: "You worked with " + rule + ", which is fair here; the value at temperature is a little different.",
	})
}

// wrongInputs puts into m.in the values that ways of working take, from the given and measured values or, with own, from
// the trainee's own; a NaN stands for one that is not known. differ says that the two are not the same.
func (m *marker) wrongInputs(w *brief.Wrongs, own bool) (differ bool) {
	m.in = m.in[:0]
	for _, n := range w.Needs {
		v := &m.values[n]
		x := math.NaN()
		switch {
		case own && v.ownKnown:
			x = v.own
			differ = differ || !v.known || v.own != v.given
		case v.known:
			x = v.given
		}
		m.in = append(m.in, x)
	}
	return differ
}
