package marking

import (
	"fmt"
	"math"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// figure marks one asked figure and remembers it for the figures after it.
func (m *marker) figure(it *brief.CompiledItem) {
	spec := it.Item.Figure
	e, _ := m.entry(it, "", brief.NoPhase)
	t := readTyped(e.Text, e.Unit, it.Unit)
	given, own := m.evaluate(it.Formula, it.Unit, false), m.evaluate(it.Formula, it.Unit, true)
	unproved, _, missing := m.upstream(it.Formula.Needs)

	f := Finding{
		Unit: it.Unit.String(), Stated: t.stated, Available: max(spec.Marks, 1),
		Tolerance: Tolerance(it.Tolerance).Words(it.Unit.String(), it.Unit.Difference().String()),
		Limit:     limitWords(it),
	}
	f.FromGiven, f.FromOwn = known(given), known(own)
	own = m.withRounding(it, own, t)
	if t.hasNumber() {
		f.Read, f.Converted = stored(t.read), t.converted()
	}
	label := m.compare(it, &f, t, given, own)
	if f.Code == codeOutside && !label {
		m.byThumb(it, &f, t)
	}
	if f.Verdict == Correct || f.Verdict == FollowThrough {
		f.Marks = f.Available
	}
	if f.Code == codeOutside && !label { // what follows from the trainee's own figures has no slip of its own
		m.prefix(it, &f, t, given, own)
		m.matchSlips(it, &f, t)
	}
	m.figureFlags(it, &f, t, given, missing)
	feedback := m.working(it, &f, t, e.Working)
	m.onlyRounded(it, &f)
	m.uncertainFigure(it, &f, given)
	sayFigure(&f, t, it.Unit.Difference().String())
	f.Trainee += feedback
	if unproved && f.Verdict != NotAttempted {
		f.Blocks = true
		f.flag(FlagRestsOn, "This rests on a safety-critical reading that the tutor has not seen or checked yet.")
	}
	m.remember(it, t, given, unproved, label)
	m.add(it, f)
}

// known is a reference as a finding stores it.
func known(r reference) *float64 {
	if !r.known {
		return nil
	}
	return stored(r.value)
}

// compare gives the verdict and its code; label says that the digits are right under another unit.
func (m *marker) compare(it *brief.CompiledItem, f *Finding, t typed, given, own reference) (label bool) {
	accepts := func(r reference, x float64) bool {
		return r.known && Tolerance(it.Tolerance).Accepts(r.value, x, t.statedDigits())
	}
	switch {
	case t.verdict == UnitWrong:
		f.Verdict, f.Code = t.verdict, t.code
		label = t.usable && (accepts(given, t.bare()) || accepts(own, t.bare()))
	case t.verdict != "":
		f.Verdict, f.Code = t.verdict, t.code
	case it.Item.Figure.AskUnit && !t.unitSet && f.Unit != "":
		f.Verdict, f.Code = UnitMissing, codeUnitMissing
	case t.number.Bound != quantity.Exactly:
		f.Verdict, f.Code = ToRead, codeBound
	case !given.known:
		f.Verdict, f.Code = ToRead, codeNoReference
	case accepts(given, t.value):
		m.accepted(it, f, t, given, own.known && !accepts(own, t.value))
	case accepts(own, t.value):
		m.followed(it, f)
		f.farOff(it.Unit, given.value, t.value)
	default:
		f.Verdict, f.Code = Wrong, codeOutside
		label = !t.unit.Equal(it.Unit) && (accepts(given, t.bare()) || accepts(own, t.bare()))
	}
	if label {
		f.flag(FlagUnitLabel, "The digits are right for %s, not for %s.", askedUnit(f.Unit), askedUnit(t.unit.String()))
	}
	return label
}

// accepted is the verdict on a figure inside its tolerance. Where the true value breaks the figure's limit, tolerance
// does not bring a stated value back inside, unless the brief itself asked for that rounding (policy 5).
func (m *marker) accepted(it *brief.CompiledItem, f *Finding, t typed, given reference, inconsistent bool) {
	limit := Limit(it.Limit)
	if limit.Set() && !limit.Keeps(given.value) && limit.Keeps(t.value) && it.Tolerance.Figures == 0 {
		f.Verdict, f.Code = Wrong, codeLimitSide
		return
	}
	f.Verdict, f.Code = Correct, codeWithin
	if inconsistent {
		f.flag(FlagInconsistent, "Right, but it does not follow from the trainee's own earlier figures: ask how it was found.")
	}
}

// followed is the verdict on a figure that is right from the trainee's own earlier figures only.
func (m *marker) followed(it *brief.CompiledItem, f *Finding) {
	f.Verdict, f.Code = FollowThrough, codeFollows
	if it.Item.Figure.Safety {
		f.Verdict, f.Code = Wrong, codeTrueDecides
	}
	if it.Item.Figure.Safety || m.needed[it.Item.Key] {
		f.flag(FlagDoNotFit, "Method right; do not install to this figure.")
	}
}

// farTimes is how many times too much or too little a figure has to be to be flagged as far off. Common practice, no source.
const farTimes = 100

// farOff flags a figure that follows from an earlier one and that hardly anything real has: 97 642 % from a boiler, 15 MW from
// a radiator. A temperature or a level has no size to be out by.
func (f *Finding) farOff(u quantity.Unit, ref, stated float64) {
	if u.Kind() == quantity.TemperaturePoint || u.Kind() == quantity.Level || ref == 0 || stated == 0 {
		return
	}
	times, words := math.Abs(stated/ref), "about %s times"
	if times < 1 {
		times, words = 1/times, "about 1/%s of"
	}
	if times < farTimes {
		return
	}
	words = fmt.Sprintf(words, quantity.FormatFigures(times, quantity.One, 2))
	f.flags(Flag{
		Code:    FlagFarOff,
		Text:    fmt.Sprintf("The method is right, and it comes to %s what the given and measured values give: ask what a value like this would mean on the job.", words),
		Trainee: fmt.Sprintf("Look at its size, %s that: ask yourself whether it can be, and go back up your sheet to the figure where it began.", words),
	})
}

// figureFlags raises what does not depend on the comparison.
func (m *marker) figureFlags(it *brief.CompiledItem, f *Finding, t typed, given reference, missing []string) {
	if note := t.note.String(); note != "" && t.verdict == "" {
		f.flag(FlagUnitNote, "%s", note)
	}
	if limit := Limit(it.Limit); given.known && limit.Set() && !limit.Keeps(given.value) {
		f.flag(FlagLimit, "From the given and measured values this comes to %s, and the limit is %s.", withUnit(given.value, f.Unit), f.Limit)
		f.Blocks = f.Blocks || it.Item.Figure.Safety
	}
	if len(missing) > 0 && f.Verdict != NotAttempted && f.Verdict != Correct {
		f.flag(FlagEarlierMissing, "Not stated or not readable earlier: %s. The reference stood in for it.", strings.Join(missing, ", "))
	}
	if !given.known && f.Verdict != NotAttempted {
		f.flag(FlagNoReference, "There is nothing to compare this with: %s.", given.why)
	}
	if it.Item.Figure.Working && f.Verdict != NotAttempted && strings.TrimSpace(m.entries[lineKey{item: it.Item.Key}].Working) == "" {
		f.flag(FlagWorkingMissing, "The brief asks for the written working, and there is none.")
	}
}

// remember keeps a figure for those after it. A number under a missing or wrong unit goes on in the asked unit: its slip
// is paid for once (policy 10).
func (m *marker) remember(it *brief.CompiledItem, t typed, given reference, unproved, label bool) {
	if it.Name < 0 {
		return
	}
	v := value{known: given.known, why: given.why, unproved: unproved}
	if given.known {
		v.given = it.Unit.ToSI(given.value)
	}
	if t.usable {
		stated := t.value
		if label {
			stated = t.bare()
		}
		v.own, v.ownKnown, v.stated = it.Unit.ToSI(stated), true, true
		v.half = half(t, it.Unit, label)
	}
	if !given.known && v.why == "" {
		v.why = fmt.Sprintf("%s cannot be worked out", it.Item.Title)
	}
	m.values[it.Name] = v
}
