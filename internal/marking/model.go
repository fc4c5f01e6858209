package marking

import (
	"fmt"

	"witnessmark/internal/brief"
)

// ModelSheet is the brief's model answer as a sheet: each given at its fixed value or the one that the brief writes for
// the model answer, and every reading seen by the tutor. Where the brief itself says what is expected (grids,
// observations, sequences, confirmations) and the model answer leaves it out, the expected stands in.
func ModelSheet(c *brief.Compiled) Sheet {
	s := Sheet{Trainee: "model answer", Given: map[string]string{}}
	for i := range c.Givens {
		g := &c.Givens[i]
		s.Given[g.Given.Name] = g.Value.String()
	}
	for _, a := range c.Brief.Model {
		s.Entries = append(s.Entries, Entry{Item: a.Item, Part: a.Part, Phase: a.Phase, Text: a.Text, Unit: a.Unit, Working: a.Working})
	}
	stated := map[lineKey]bool{}
	for _, e := range s.Entries {
		stated[lineKey{e.Item, e.Part, e.Phase}] = true
	}
	for i := range c.Items {
		it := c.Items[i].Item
		for _, e := range expected(it) {
			if !stated[lineKey{e.Item, e.Part, e.Phase}] {
				s.Entries = append(s.Entries, e)
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

// expected is what the brief itself says should be put down for an item; nil where it does not say.
func expected(it *brief.Item) []Entry {
	var out []Entry
	switch it.Form() {
	case brief.FormTest:
		for _, row := range it.Test.Rows {
			for i, check := range it.Test.Checks {
				if i < len(row.Expect) && row.Expect[i] != "" {
					out = append(out, Entry{Item: it.Key, Part: row.Key + "/" + check.Key, Text: row.Expect[i]})
				}
			}
		}
	case brief.FormObservation:
		if it.Observation.Expect != "" {
			out = append(out, Entry{Item: it.Key, Text: it.Observation.Expect})
		}
	case brief.FormSequence:
		for _, step := range it.Sequence.Steps {
			out = append(out, Entry{Item: it.Key, Part: step.Key, Text: brief.Done})
		}
	case brief.FormConfirm:
		out = append(out, Entry{Item: it.Key, Text: brief.Yes})
	case brief.FormPhoto, brief.FormReading, brief.FormFigure, brief.FormChoice, brief.FormAnswer, brief.FormDocument:
	}
	return out
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
	for _, code := range []string{FlagInconsistent, FlagUnitLabel, FlagBelievable, FlagWorking, FlagWorkingUnread, FlagWorkingMissing, FlagLimit} {
		if hasFlag(f, code) {
			return true
		}
	}
	return false
}
