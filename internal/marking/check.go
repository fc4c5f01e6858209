package marking

import (
	"math"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// proved reports whether the tutor saw the instrument, or took a check reading that agrees within the brief's stated
// difference (policy 12). Without that the line blocks its criteria, and so does a check reading beyond the limit.
func (m *marker) proved(it *brief.CompiledItem, f *Finding, s shown, limit Limit) bool {
	ch, ok := m.checks[lineKey{item: it.Item.Key, phase: f.Phase}]
	switch {
	case ok && ch.Seen:
		return true
	case !ok || strings.TrimSpace(ch.Text) == "":
		f.Blocks = true
		f.flag(FlagNeedsCheck, "Safety-critical: it counts once the tutor has seen the instrument or put a check reading beside it.")
		return false
	}
	t := readTyped(ch.Text, "", it.Unit)
	if t.verdict == "" && !t.unitSet && s.verdict == "" && !s.overload {
		t = readTyped(ch.Text, s.unit.String(), it.Unit) // the tutor writes it in the trainee's unit
	}
	if t.verdict != "" {
		f.Blocks = true
		f.flag(FlagNeedsCheck, "The check reading “%s” cannot be read: %s", t.stated, t.why)
		return false
	}
	if !agrees(it, s, t) {
		f.Blocks = true
		f.flag(FlagCheckDiffers, "The tutor's check reading is %s; %s. Take it again together.", t.stated, allowed(it))
		return false
	}
	check := shown{}.together([]typed{t})
	if v, _ := judged(check, limit, true, it.Item.Reading.Overload); v == OutsideLimit && f.Verdict != OutsideLimit {
		f.Blocks = true
		f.flag(FlagCheckDiffers, "The tutor's check reading %s lies beyond the limit (%s), though the two agree. Take it again together.", t.stated, f.Limit)
		return false
	}
	return true
}

// allowed says how far a check reading may lie off.
func allowed(it *brief.CompiledItem) string {
	if it.CheckWithin == nil {
		return "the two should be the same"
	}
	return "the two should agree within " + withUnit(*it.CheckWithin, it.Unit.Difference().String())
}

// agrees compares a reading with the tutor's. Without a stated difference both must show the same.
func agrees(it *brief.CompiledItem, s shown, check typed) bool {
	overload := check.number.Bound == quantity.OverRange
	switch {
	case s.verdict != "":
		return false
	case s.overload || overload:
		return s.overload == overload
	case s.bound != quantity.Exactly || check.number.Bound != quantity.Exactly:
		return boundsAgree(s, check)
	}
	within := 0.0
	if it.CheckWithin != nil {
		within = *it.CheckWithin
	}
	return math.Abs(s.value-check.value) <= within+float64(slack*math.Max(math.Abs(s.value), math.Abs(check.value)))
}

// boundsAgree: a bound and a number agree where the number lies beyond the bound; two bounds where they point one way.
func boundsAgree(s shown, check typed) bool {
	switch {
	case s.bound == quantity.Exactly:
		return up(check.number.Bound) == (s.value >= check.value) || s.value == check.value
	case check.number.Bound == quantity.Exactly:
		return up(s.bound) == (check.value >= s.value) || s.value == check.value
	}
	return up(s.bound) == up(check.number.Bound)
}
