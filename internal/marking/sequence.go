package marking

import (
	"fmt"
	"strings"
	"time"

	"witnessmark/internal/brief"
)

// sequence is one line: whether every step is done, in order, and at the times that the brief asks for. Where no times are
// known the ticks alone count.
func (m *marker) sequence(it *brief.CompiledItem) {
	steps := make([]stepDone, len(it.Steps))
	var open []string
	for i := range it.Steps {
		e, ok := m.entry(it, it.Steps[i].Step.Key, brief.NoPhase)
		steps[i] = stepDone{CompiledStep: it.Steps[i], done: ok && ticked(e.Text), at: e.At}
		if !steps[i].done {
			open = append(open, clause(it.Steps[i].Step.Text))
		}
	}
	toTheMinute(steps)
	n, done := len(steps), len(steps)-len(open)
	f := Finding{Stated: fmt.Sprintf("%d of %d steps", done, n), Expected: fmt.Sprintf("all %d steps", n)}
	amiss := append(outOfOrder(steps), offTime(steps)...)
	switch {
	case done == 0:
		f.Verdict, f.Code, f.Stated = NotAttempted, codeBlank, ""
		f.Trainee, f.Tutor = "No step is ticked yet.", "No step ticked."
	case len(open) > 0:
		f.Verdict, f.Code = Wrong, codeStepsMissing
		f.Trainee = fmt.Sprintf("%d of %d steps are ticked. Still open: %s. A sequence proves nothing until all of it is done, in order.", done, n, strings.Join(open, "; "))
		f.Tutor = fmt.Sprintf("%d of %d steps ticked; open: %s.", done, n, strings.Join(open, "; "))
	case len(amiss) > 0:
		f.Verdict, f.Code = Wrong, amiss[0].code
		f.Trainee = "Every step is ticked, but the times do not fit. Do the sequence again from its first step, and tick each step when it is done."
		f.Tutor = fmt.Sprintf("All %d steps ticked.", n)
	default:
		f.Verdict, f.Code = Correct, codeAllSteps
		f.Trainee, f.Tutor = "Every step is ticked.", fmt.Sprintf("All %d steps ticked.", n)
	}
	for _, a := range amiss {
		f.Trainee += " " + a.text
		f.Tutor += " " + a.text
	}
	if done > 0 {
		timesUnknown(&f, steps)
	}
	m.add(it, f)
}

// stepDone is a step as the trainee ticked it.
type stepDone struct {
	brief.CompiledStep
	done   bool
	at     time.Time // zero where unknown
	minute bool      // at stands for any second of its minute
}

// toTheMinute takes times for minutes where none of the sequence's shows seconds: 10:42 is then any second of that minute.
// Beside a time with seconds a full minute is as exact as the others.
func toTheMinute(steps []stepDone) {
	for i := range steps {
		if at := steps[i].at; at.Second() != 0 || at.Nanosecond() != 0 {
			return
		}
	}
	for i := range steps {
		steps[i].minute = true
	}
}

// known says whether the step is done and its time known.
func (s *stepDone) known() bool { return s.done && !s.at.IsZero() }

// latest is the last moment that the step's time can mean.
func (s *stepDone) latest() time.Time {
	if s.minute {
		return s.at.Add(time.Minute - time.Second)
	}
	return s.at
}

// amiss is what is wrong with the times of a sequence.
type amiss struct{ code, text string }

// outOfOrder names every step that was done before one that comes earlier in the brief, with the latest such one.
func outOfOrder(steps []stepDone) []amiss {
	var out []amiss
	var last *stepDone
	for i := range steps {
		s := &steps[i]
		if !s.known() {
			continue
		}
		if last != nil && s.latest().Before(last.at) {
			out = append(out, amiss{codeOutOfOrder, fmt.Sprintf("“%s” (%s) comes before “%s” (%s), and was done after it.", clause(last.Step.Text), clock(last.at), clause(s.Step.Text), clock(s.at))})
			continue
		}
		if last == nil || s.at.After(last.at) {
			last = s
		}
	}
	return out
}

// offTime names every step that was done too soon or too late after the one before it.
func offTime(steps []stepDone) []amiss {
	var out []amiss
	for i := 1; i < len(steps); i++ {
		s, before := &steps[i], &steps[i-1]
		if !s.known() || !before.known() || s.latest().Before(before.at) {
			continue // out of order, which is said already
		}
		gap := fmt.Sprintf("“%s” came %s after the step before it (%s, then %s)", clause(s.Step.Text), lapse(s.at.Sub(before.at)), clock(before.at), clock(s.at))
		switch {
		case s.Wait > 0 && s.latest().Sub(before.at) < s.Wait:
			out = append(out, amiss{codeTooSoon, fmt.Sprintf("%s, and %s is the least.", gap, s.Step.Wait)})
		case s.Within > 0 && s.at.Sub(before.latest()) > s.Within:
			out = append(out, amiss{codeTooLate, fmt.Sprintf("%s, and %s is the most.", gap, s.Step.Within)})
		}
	}
	return out
}

// timesUnknown flags steps that have to keep a time which nothing shows.
func timesUnknown(f *Finding, steps []stepDone) {
	for i := 1; i < len(steps); i++ {
		if s := &steps[i]; s.done && s.Step.Timed() && !(s.known() && steps[i-1].known()) {
			f.flag(FlagTimeNotShown, "“%s”: whether it came %s cannot be told, because a time is missing. Ask.", clause(s.Step.Text), s.Step.When())
		}
	}
}

// clause is a step's text without its full stop.
func clause(text string) string { return strings.TrimRight(text, ". ") }

// clock is a time of day, with its seconds where it has them.
func clock(t time.Time) string {
	if t.Second() == 0 && t.Nanosecond() == 0 {
		return t.Format("15:04")
	}
	return t.Format("15:04:05")
}

// lapse is how long something took, in the two largest units that it has.
func lapse(d time.Duration) string {
	d = max(d, 0).Truncate(time.Second)
	h, m, s := int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60
	switch {
	case h > 0:
		return fmt.Sprintf("%d h %d min", h, m)
	case m > 0 && s > 0:
		return fmt.Sprintf("%d min %d s", m, s)
	case m > 0:
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d s", s)
}
