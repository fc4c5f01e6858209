package marking

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// cornersUpTo is for how many rounded answers every combination of their ends is worked out; for more the slopes are
// added up.
const cornersUpTo = 3

// carried is what a trainee may have gone on with: a value in SI, and the range it may have had before it was rounded.
type carried struct{ value, low, high float64 }

// coarsest is the share of an answer that its rounding may come to: an answer stands for what rounds to it, taken at two
// significant figures at least.
const coarsest = 0.05

// carry is what the trainee may have gone on with where own was stated to the half of its last digit and the true value is
// given: anything between the two where own is a rounding of given, else what rounds to own. A half of 0 is exact.
func carry(given, own, half float64) carried {
	if isRounding(given, own, half) {
		return carried{own, math.Min(own, given), math.Max(own, given)}
	}
	half = math.Min(half, coarsest*math.Abs(own))
	return carried{own, own - half, own + half}
}

// isRounding reports whether own, stated to the half of its last digit, is given, rounded.
func isRounding(given, own, half float64) bool { return math.Abs(own-given) <= half*(1+slack) }

// rounder works out how far rounding of a trainee's own answers reaches. Its room is kept from one figure to the next.
type rounder struct {
	values       []carried
	in, partials []float64
	open         []int // the values that are not exact
}

// begin makes room for what a formula takes; the caller then fills in values.
func (r *rounder) begin(f *brief.Formula) []carried {
	n := len(f.Needs)
	if cap(r.values) < n {
		r.values, r.in, r.partials, r.open = make([]carried, n), make([]float64, n), make([]float64, n), make([]int, 0, n)
	}
	r.values = r.values[:n]
	return r.values
}

// moved is a reference from the trainee's own figures, moved towards what is stated (x, with so many digits) as far as
// rounding of those figures reaches, where that makes x right: whoever carried more digits than they wrote down is not
// inconsistent with themselves. Givens, readings and numbers of the formula are exact. Both are in the asked unit.
//
// It never helps across a limit, nor where the tolerance has a side or is exact. The reference from the given and measured
// values, which decides on safety-critical lines, is never moved.
func (r *rounder) moved(it *brief.CompiledItem, own, x float64, digits int) float64 {
	tolerance, limit := Tolerance(it.Tolerance), Limit(it.Limit)
	if tolerance.AtLeast || tolerance.AtMost || tolerance.Exact || limit.Set() && limit.Keeps(x) && !limit.Keeps(own) {
		return own
	}
	least, most, ok := r.reach(it.Formula)
	if !ok {
		return own
	}
	if to := math.Max(it.Unit.FromSI(least), math.Min(it.Unit.FromSI(most), x)); tolerance.Accepts(to, x, digits) {
		return to
	}
	return own
}

// reach is the range of a formula's results, in SI, over the ranges of its values: over all their corners for few of them,
// which kinks of min and max do not mislead, else Σ|∂f/∂x|·reach either way. ok is false where all is exact or there is no
// result.
func (r *rounder) reach(f *brief.Formula) (least, most float64, ok bool) {
	r.open = r.open[:0]
	r.in = r.in[:len(r.values)]
	for i, v := range r.values {
		r.in[i] = v.value
		if v.low != v.high {
			r.open = append(r.open, i)
		}
	}
	switch {
	case len(r.open) == 0:
		return 0, 0, false
	case len(r.open) > cornersUpTo:
		return r.slopes(f)
	}
	return r.corners(f)
}

func (r *rounder) slopes(f *brief.Formula) (least, most float64, ok bool) {
	y, err := f.Program.EvalGradient(r.in, r.partials[:len(r.in)])
	if err != nil {
		return 0, 0, false
	}
	least, most = y, y
	for i, v := range r.values {
		down, up := r.partials[i]*(v.low-v.value), r.partials[i]*(v.high-v.value)
		least, most = least+math.Min(down, up), most+math.Max(down, up)
	}
	return least, most, true
}

func (r *rounder) corners(f *brief.Formula) (least, most float64, ok bool) {
	least, most = math.Inf(1), math.Inf(-1)
	for corner := range 1 << len(r.open) {
		for bit, i := range r.open {
			r.in[i] = r.values[i].low
			if corner>>bit&1 == 1 {
				r.in[i] = r.values[i].high
			}
		}
		x, err := f.Program.Eval(r.in)
		if err != nil {
			return 0, 0, false
		}
		least, most = math.Min(least, x), math.Max(most, x)
	}
	return least, most, true
}

// withRounding is the reference from the trainee's own figures, moved as far as rounding explains what is stated.
func (m *marker) withRounding(it *brief.CompiledItem, own reference, t typed) reference {
	digits := t.statedDigits()
	if !own.known || t.verdict != "" || t.number.Bound != quantity.Exactly || Tolerance(it.Tolerance).Accepts(own.value, t.value, digits) {
		return own
	}
	values := m.rounder.begin(it.Formula)
	for i, n := range it.Formula.Needs {
		v := &m.values[n]
		if !v.ownKnown {
			values[i] = carried{v.given, v.given, v.given}
			continue
		}
		values[i] = carry(v.given, v.own, v.half)
	}
	own.value = m.rounder.moved(it, own.value, t.value, digits)
	return own
}

// mostOpen is for how many rounded answers every combination of their ends is tried on a choice.
const mostOpen = 6

// roundingLeadsTo reports whether the trainee's own answers lead to what was picked for some values that they may have had
// before they were rounded.
func (m *marker) roundingLeadsTo(it *brief.CompiledItem, picked string, size float64) bool {
	var open []int
	for _, n := range it.Needs() {
		if v := &m.values[n]; v.ownKnown && v.half > 0 && !slices.Contains(open, n) {
			open = append(open, n)
		}
	}
	if len(open) > mostOpen {
		return false
	}
	kept := make([]float64, len(open))
	for i, n := range open {
		kept[i] = m.values[n].own
	}
	found := false
	for corner := range 1 << len(open) {
		for bit, n := range open {
			v := &m.values[n]
			c := carry(v.given, kept[bit], v.half)
			v.own = c.low
			if corner>>bit&1 == 1 {
				v.own = c.high
			}
		}
		own := m.answerTo(it, true)
		found = found || own.known && fits(it, own, picked, size)
	}
	for i, n := range open {
		m.values[n].own = kept[i]
	}
	return found
}

// half is half the unit of a stated figure's last digit, in SI, as later figures have it; label says that its digits went
// on in the asked unit.
func half(t typed, asked quantity.Unit, label bool) float64 {
	unit := t.unit
	if label || t.verdict != "" {
		unit = asked
	}
	return unit.Difference().ToSI(t.number.HalfUnit())
}

// onlyRounded explains a figure that follows from the trainee's own earlier ones where these are nothing but roundings of
// the true ones: the difference from the reference is then no mistake (FlagRounding).
func (m *marker) onlyRounded(it *brief.CompiledItem, f *Finding) {
	if f.Code != codeFollows && f.Code != codeTrueDecides {
		return
	}
	var words []string
	for _, n := range it.Formula.Needs {
		v := &m.values[n]
		switch {
		case !v.stated || near(v.own, v.given):
			continue
		case !isRounding(v.given, v.own, v.half):
			return
		}
		words = append(words, withUnit(m.c.Names[n].Unit.FromSI(v.own), m.c.Names[n].Unit.String()))
	}
	if len(words) == 0 {
		return
	}
	advice := "Carry more figures to the end."
	if f.Code == codeTrueDecides {
		advice = "Here the true value decides: carry more figures to the end."
	}
	text := fmt.Sprintf("The difference is what rounding %s leaves.", strings.Join(words, ", "))
	f.Flags = append(f.Flags, Flag{Code: FlagRounding, Text: text, Trainee: text + " " + advice})
}
