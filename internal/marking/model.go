package marking

import (
	"cmp"
	"fmt"
	"time"

	"witnessmark/internal/brief"
)

// ModelSheet is the brief's model answer as a sheet: each given at its fixed value or the one that the brief writes for
// the model answer, every reading seen by the tutor, and the steps of sequences done one after another at the times that
// they have to keep. Where the brief itself says what is right and the model answer leaves it out, that stands in
// (brief.ModelAnswer).
func ModelSheet(c *brief.Compiled) Sheet {
	s := Sheet{Trainee: "model answer", Given: map[string]string{}}
	for i := range c.Givens {
		g := &c.Givens[i]
		s.Given[g.Given.Name] = g.Value.String()
	}
	for i := range c.Items {
		it, at := c.Items[i].Item, time.Time{}
		for n, slot := range it.Slots() {
			if n < len(c.Items[i].Steps) {
				at = stepAfter(at, c.Items[i].Steps[n])
			}
			if a, ok := c.Brief.ModelAnswer(it, slot); ok {
				s.Entries = append(s.Entries, Entry{Item: a.Item, Part: a.Part, Phase: a.Phase, Text: a.Text, Unit: a.Unit, Working: a.Working, At: at})
			}
		}
		if it.Reading == nil {
			continue
		}
		for _, phase := range phases(it.Reading) {
			s.Checks = append(s.Checks, CheckReading{Item: it.Key, Phase: phase, Seen: true})
		}
	}
	return s
}

// stepAfter is when the model answer does a step: as soon after the one before it as it may, or a second later; the first at
// nine.
func stepAfter(before time.Time, s brief.CompiledStep) time.Time {
	if before.IsZero() {
		return time.Date(0, time.January, 1, 9, 0, 0, 0, time.UTC)
	}
	return before.Add(cmp.Or(s.Wait, min(time.Second, cmp.Or(s.Within, time.Second))))
}

// ModelFull marks the brief's model answer and gives every line that is not full: not right from the given values, not
// inside its limit, not done, or with a flag that a model answer must not raise. Optional items may be left out. Nothing
// comes back where the model answer is full, so that the brief can be published.
func ModelFull(c *brief.Compiled) []Finding {
	var out []Finding
	r := Mark(c, ModelSheet(c))
	for i := range r.Findings {
		f := r.Findings[i]
		it, _, ok := c.Brief.Item(f.Item)
		if ok && it.Optional && f.Verdict == NotAttempted {
			continue
		}
		if !f.Verdict.Full() || f.Verdict == FollowThrough || f.Blocks || modelFlagged(&f) || f.Marks < f.Available {
			out = append(out, f)
		}
	}
	for i, flag := range r.Flags {
		out = append(out, Finding{Item: fmt.Sprintf("sheet-%d", i+1), Verdict: ToRead, Code: flag.Code, Flags: []Flag{flag}, Trainee: flag.Text, Tutor: flag.Text})
	}
	return out
}

// modelFlagged reports whether a line of a model answer has a flag that says the answer and the brief do not go together.
func modelFlagged(f *Finding) bool {
	for _, code := range []string{FlagInconsistent, FlagUnitLabel, FlagBelievable, FlagWorking, FlagNotFromWorking, FlagArithmetic, FlagWorkingUnits, FlagWorkingUnread, FlagWorkingMissing, FlagLimit, FlagGuard} {
		if hasFlag(f, code) {
			return true
		}
	}
	return false
}
