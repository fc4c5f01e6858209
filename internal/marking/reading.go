package marking

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// phases lists the phases of a reading; one without any is taken once.
func phases(r *brief.Reading) []brief.Phase {
	if len(r.Phases) == 0 {
		return []brief.Phase{brief.NoPhase}
	}
	return r.Phases
}

// reading marks a reading, one line for each phase. The last phase is judged by the limit and is the value that formulas
// use; an earlier one is taken down as found.
func (m *marker) reading(it *brief.CompiledItem) {
	all := phases(it.Item.Reading)
	for i, phase := range all {
		m.readingIn(it, phase, i == len(all)-1)
	}
}

// shown is what a reading comes to over its repeats: their mean, or a bound, or an overload.
type shown struct {
	texts    []string // as typed, in order
	taken    int      // repeats that are there
	value    float64  // in the asked unit
	read     float64  // in the typed unit; only where there is one repeat
	bound    quantity.Bound
	overload bool
	each     []float64 // in the asked unit
	half     float64   // half the unit of the last digit shown, the coarsest of the repeats', in the asked unit's difference
	note     quantity.Note
	unit     quantity.Unit // as typed last; the asked one where none was
	verdict  Verdict       // set where there is no value to judge
	code     string
	why      string
	guard    string // the brief's guard band in words, where it decided
}

func (m *marker) readingIn(it *brief.CompiledItem, phase brief.Phase, last bool) {
	r := it.Item.Reading
	limit := Limit(it.Limit)
	s := m.shown(it, phase)
	f := Finding{Phase: phase, Unit: it.Unit.String(), Stated: strings.Join(s.texts, "; ")}
	if last {
		f.Limit = limitWords(it)
	}
	if s.verdict == "" && !s.overload && s.bound == quantity.Exactly {
		f.Converted = stored(s.value)
		if len(s.texts) == 1 {
			f.Read = stored(s.read)
		}
	}
	f.Verdict, f.Code = judged(s, limit, last, r.Overload)
	m.readingFlags(it, &f, s, limit)
	uncertainReading(it, &f, &s, limit, last)
	m.retests(it, &f, earlierReading(it, limit, last))
	sayReading(&f, s, limit)
	proved := true
	if r.Safety && last && f.Verdict != NotAttempted {
		proved = m.proved(it, &f, s, limit)
	}
	if last && it.Name >= 0 {
		m.values[it.Name] = readingValue(it, s, r.Safety && !proved)
	}
	m.add(it, f)
}

// shown reads every repeat of a phase.
func (m *marker) shown(it *brief.CompiledItem, phase brief.Phase) shown {
	n := max(it.Item.Reading.Repeats, 1)
	var s shown
	var ts []typed
	for i := range n {
		part := ""
		if n > 1 {
			part = strconv.Itoa(i + 1)
		}
		e, _ := m.entry(it, part, phase)
		t := readTyped(e.Text, e.Unit, it.Unit)
		if t.verdict == NotAttempted {
			continue
		}
		s.texts = append(s.texts, t.stated)
		s.half = math.Max(s.half, it.Unit.Difference().FromSI(half(t, it.Unit, false)))
		ts = append(ts, t)
	}
	s.taken = len(ts)
	switch {
	case s.taken == 0:
		s.verdict, s.code, s.why = NotAttempted, codeBlank, "No reading is taken here yet."
	case s.taken < n:
		s.verdict, s.code, s.why = ToRead, codeRepeatsMissing, fmt.Sprintf("%d of %d repeats are there.", s.taken, n)
	}
	return s.together(ts)
}

// together is the mean of what was read. A mean of bounds stays a bound where all of them point one way (policy 2).
func (s shown) together(ts []typed) shown {
	for _, t := range ts {
		switch {
		case t.verdict != "":
			s.verdict, s.code, s.why = t.verdict, t.code, t.why
			return s
		case t.note != quantity.NoteNone:
			s.note = t.note
		}
	}
	if s.verdict != "" {
		return s
	}
	over := 0
	for _, t := range ts {
		if t.number.Bound == quantity.OverRange {
			over++
			continue
		}
		bound, ok := joinBounds(s.bound, t.number.Bound)
		if !ok {
			s.verdict, s.code, s.why = ToRead, codeBound, "Some repeats lie above a bound and some below one."
			return s
		}
		s.bound, s.value, s.read, s.unit = bound, s.value+t.value, t.read, t.unit
		s.each = append(s.each, t.value)
	}
	switch {
	case over == len(ts):
		s.overload = true
	case over > 0:
		s.verdict, s.code, s.why = ToRead, codeOverload, "Some repeats show OL and some a number."
	default:
		s.value /= float64(len(ts))
	}
	return s
}

// joinBounds is the bound of a mean; ok is false where the two point to different sides.
func joinBounds(a, b quantity.Bound) (joined quantity.Bound, ok bool) {
	switch {
	case b == quantity.Exactly || a == b:
		return a, true
	case a == quantity.Exactly:
		return b, true
	case up(a) && up(b):
		return quantity.Above, true // a mean with one of them strictly above is strictly above
	case !up(a) && !up(b):
		return quantity.Below, true
	}
	return a, false
}

func up(b quantity.Bound) bool { return b == quantity.Above || b == quantity.AtLeast }

// judged gives the verdict on a phase. A bound decides only if all of it lies on one side of the limit.
func judged(s shown, limit Limit, last bool, overload string) (Verdict, string) {
	switch {
	case s.verdict != "":
		return s.verdict, s.code
	case s.overload && last && overload == "pass":
		return WithinLimit, codeOverload
	case s.overload && last && overload == "fail":
		return OutsideLimit, codeOverload
	case s.overload && last:
		return ToRead, codeOverload
	case !last || !limit.Set():
		return Recorded, codeRecorded
	case s.bound != quantity.Exactly:
		return boundVerdict(s, limit)
	case limit.Keeps(s.value):
		return WithinLimit, codeWithinLimit
	}
	return OutsideLimit, codeOutsideLimit
}

// boundVerdict judges a reading known only from one side.
func boundVerdict(s shown, limit Limit) (Verdict, string) {
	x := quantity.Stored(s.value)
	strict := s.bound == quantity.Above || s.bound == quantity.Below
	if up(s.bound) {
		switch {
		case limit.AtMost != nil && (!limit.under(x) || strict && x == quantity.Stored(*limit.AtMost)):
			return OutsideLimit, codeBound
		case limit.AtMost == nil && limit.over(x):
			return WithinLimit, codeBound
		}
		return ToRead, codeBound
	}
	switch {
	case limit.AtLeast != nil && (!limit.over(x) || strict && x == quantity.Stored(*limit.AtLeast)):
		return OutsideLimit, codeBound
	case limit.AtLeast == nil && limit.under(x):
		return WithinLimit, codeBound
	}
	return ToRead, codeBound
}

// readingFlags raises questions that never touch the verdict.
func (m *marker) readingFlags(it *brief.CompiledItem, f *Finding, s shown, limit Limit) {
	if s.verdict != "" || s.overload {
		return
	}
	if note := s.note.String(); note != "" {
		f.flag(FlagUnitNote, "%s", note)
	}
	if b := it.Believable; b != nil && !believable(s, b) {
		f.flag(FlagBelievable, "A value from %s to %s is to be expected here: was the instrument set and placed right?", show(b.From), withUnit(b.To, f.Unit))
	}
	if f.Limit != "" && s.bound == quantity.Exactly && limit.Set() && limit.Keeps(s.value) && slices.ContainsFunc(s.each, func(x float64) bool { return !limit.Keeps(x) }) {
		f.flag(FlagRepeat, "The mean keeps the limit, but not every repeat does.")
	}
}

// believable reports whether some part of what is shown lies in the range.
func believable(s shown, b *brief.CompiledRange) bool {
	switch {
	case s.bound == quantity.Exactly:
		return s.value >= b.From && s.value <= b.To || near(s.value, b.From) || near(s.value, b.To)
	case up(s.bound):
		return s.value <= b.To
	}
	return s.value >= b.From
}

// readingValue is what formulas get: given and own are the same, because the trainee's reading is the given value.
func readingValue(it *brief.CompiledItem, s shown, unproved bool) value {
	title := it.Item.Title
	switch {
	case s.verdict == NotAttempted:
		return value{why: title + " is not taken", unproved: unproved || it.Item.Reading.Safety}
	case s.verdict != "":
		return value{why: title + " has to be read by the tutor", unproved: unproved}
	case s.overload, s.bound != quantity.Exactly:
		return value{why: title + " is known only as " + strings.Join(s.texts, "; "), unproved: unproved}
	}
	v := certain(it.Unit.ToSI(s.value))
	v.unproved, v.lines = unproved, readingLines(it, s)
	return v
}

// mean is the mean of the repeats as a sentence says it: to one digit more than the coarsest of them, or to as many as it
// takes to stay on its own side of the limit.
func (s shown) mean(limit Limit) string {
	if s.half == 0 { // fractions
		return show(s.value)
	}
	decimals := 1
	for place := 1.0; place > 2.001*s.half && decimals < keptDigits; place /= 10 {
		decimals++
	}
	for {
		text := quantity.Format(s.value, quantity.One, decimals)
		if decimals == keptDigits || limit.Keeps(numberOf(text).Value()) == limit.Keeps(s.value) {
			return withoutZeros(text)
		}
		decimals++
	}
}

func sayReading(f *Finding, s shown, limit Limit) {
	value := f.Stated
	if s.verdict == "" && !s.overload && len(s.texts) > 1 {
		value = fmt.Sprintf("%s%s, the mean of %s,", s.bound, joined(s.mean(limit), f.Unit), listed(strings.Split(f.Stated, "; ")))
	} else if f.Unit != "" && !strings.HasSuffix(f.Stated, f.Unit) && f.Verdict != ToRead && f.Converted != nil && near(*f.Converted, s.read) {
		value = joined(f.Stated, f.Unit)
	}
	switch f.Verdict {
	case WithinLimit:
		f.Trainee, f.Tutor = fmt.Sprintf("%s keeps the limit (%s).", capital(value), limitOrOverload(f)), fmt.Sprintf("%s keeps the limit (%s).", capital(value), limitOrOverload(f))
	case OutsideLimit:
		if f.Code == codeGuard {
			f.Trainee = fmt.Sprintf("%s keeps the limit, but not for certain: it lies inside the guard band %s. Put it right and take it again; the first reading stays on the sheet.", capital(value), s.guard)
			f.Tutor = fmt.Sprintf("%s keeps the limit, but lies inside the guard band %s.", capital(value), s.guard)
			break
		}
		f.Trainee = fmt.Sprintf("%s is beyond the limit (%s). Find the cause, put it right and take it again; the first reading stays on the sheet.", capital(value), limitOrOverload(f))
		f.Tutor = fmt.Sprintf("%s is beyond the limit (%s).", capital(value), limitOrOverload(f))
	case Recorded:
		f.Trainee, f.Tutor = fmt.Sprintf("%s is taken down.", capital(value)), fmt.Sprintf("%s is taken down.", capital(value))
	case NotAttempted:
		f.Trainee, f.Tutor = "No reading is taken here yet.", "No reading taken."
	case UnitWrong:
		f.Trainee = fmt.Sprintf("You wrote %s, and %s is asked. %s", f.Stated, askedUnit(f.Unit), s.why)
		f.Tutor = fmt.Sprintf("Stated “%s”. %s", f.Stated, s.why)
	case ToRead:
		why := s.why
		switch {
		case why == "" && f.Code == codeOverload:
			why = "The instrument showed OL, and the brief does not say what that means here."
		case why == "":
			why = fmt.Sprintf("%s may lie on either side of the limit (%s).", f.Stated, f.Limit)
		}
		f.Trainee, f.Tutor = why+" Your tutor reads this one.", fmt.Sprintf("Stated “%s”. %s", f.Stated, why)
	case Correct, FollowThrough, Wrong, UnitMissing:
	}
	f.sayFlags()
}

// limitOrOverload is the limit in words, or what OL means where there is none.
func limitOrOverload(f *Finding) string {
	switch {
	case f.Limit != "":
		return f.Limit
	case f.Verdict == WithinLimit:
		return "OL is a pass here"
	}
	return "OL is a fail here"
}

func capital(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return string(s[0]-'a'+'A') + s[1:]
	}
	return s
}
