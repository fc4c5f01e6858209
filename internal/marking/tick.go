package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
)

// grid marks a functional test cell by cell: each is a line of its own, "row/check".
func (m *marker) grid(it *brief.CompiledItem) {
	test := it.Item.Test
	for r := range test.Rows {
		row := &test.Rows[r]
		for i := range test.Checks {
			check := &test.Checks[i]
			part := row.Key + "/" + check.Key
			e, _ := m.entry(it, part, brief.NoPhase)
			want := ""
			if i < len(row.Expect) {
				want = row.Expect[i]
			}
			f := words(e.Text, want, check.Options)
			f.Part = part
			m.retests(it, &f, func(row EarlierRow) Verdict { return words(row.Text, want, check.Options).Verdict })
			sayWords(&f, check.Title+", "+state(test.Demands, row.Set))
			m.add(it, f)
		}
	}
}

// state says what was set up: "room thermostat calls, cylinder thermostat satisfied".
func state(demands, set []string) string {
	var out []string
	for i, s := range set {
		if i < len(demands) {
			s = demands[i] + " " + s
		}
		out = append(out, s)
	}
	return strings.Join(out, ", ")
}

// observation marks stated words.
func (m *marker) observation(it *brief.CompiledItem) {
	o := it.Item.Observation
	e, _ := m.entry(it, "", brief.NoPhase)
	f := words(e.Text, o.Expect, o.Options)
	m.retests(it, &f, func(row EarlierRow) Verdict { return words(row.Text, o.Expect, o.Options).Verdict })
	sayWords(&f, it.Item.Title)
	m.add(it, f)
}

// words compares what was seen with what is expected; where nothing is expected it is taken down.
func words(text, want string, options []string) Finding {
	f := Finding{Stated: statedWords(text, ""), Expected: want}
	seen, ok := option(options, text, "")
	switch {
	case strings.TrimSpace(text) == "":
		f.Verdict, f.Code = NotAttempted, codeBlank
	case !ok:
		f.Verdict, f.Code = ToRead, codeNotAnOption
	case want == "":
		f.Verdict, f.Code = Recorded, codeRecorded
	case fold(seen) == fold(want):
		f.Verdict, f.Code = Correct, codeAsExpected
	default:
		f.Verdict, f.Code = Wrong, codeNotExpected
	}
	return f
}

func sayWords(f *Finding, what string) {
	switch f.Verdict {
	case Correct:
		f.Trainee, f.Tutor = fmt.Sprintf("%s: %s, as it should be.", what, f.Stated), fmt.Sprintf("%s: %s, as expected.", what, f.Stated)
	case Wrong:
		f.Trainee = fmt.Sprintf("%s: you saw %s; on a job put right it is %s. Find out why before you go on.", what, f.Stated, f.Expected)
		f.Tutor = fmt.Sprintf("%s: seen %s, expected %s.", what, f.Stated, f.Expected)
	case NotAttempted:
		f.Trainee, f.Tutor = fmt.Sprintf("%s: nothing is put down here yet.", what), fmt.Sprintf("%s: nothing put down.", what)
	case Recorded:
		f.Trainee, f.Tutor = fmt.Sprintf("%s: %s, taken down.", what, f.Stated), fmt.Sprintf("%s: %s, taken down; nothing to judge it by.", what, f.Stated)
	case ToRead:
		f.Trainee = fmt.Sprintf("%s: “%s” is none of the words offered here. Your tutor reads this one.", what, f.Stated)
		f.Tutor = fmt.Sprintf("%s: “%s” is none of the words offered here.", what, f.Stated)
	case FollowThrough, UnitMissing, UnitWrong, WithinLimit, OutsideLimit:
	}
	f.sayFlags()
}

// sequence is one line: whether every step is done. Whether they were done in order of time is for the caller, who knows
// the times.
func (m *marker) sequence(it *brief.CompiledItem) {
	steps := it.Item.Sequence.Steps
	var open []string
	for i := range steps {
		e, ok := m.entry(it, steps[i].Key, brief.NoPhase)
		if !ok || !ticked(e.Text) {
			open = append(open, steps[i].Text)
		}
	}
	done := len(steps) - len(open)
	f := Finding{Stated: fmt.Sprintf("%d of %d steps", done, len(steps)), Expected: fmt.Sprintf("all %d steps", len(steps))}
	switch {
	case done == 0:
		f.Verdict, f.Code, f.Stated = NotAttempted, codeBlank, ""
		f.Trainee, f.Tutor = "No step is ticked yet.", "No step ticked."
	case len(open) > 0:
		f.Verdict, f.Code = Wrong, codeStepsMissing
		f.Trainee = fmt.Sprintf("%d of %d steps are ticked. Still open: %s. A sequence proves nothing until all of it is done, in order.", done, len(steps), strings.Join(open, "; "))
		f.Tutor = fmt.Sprintf("%d of %d steps ticked; open: %s.", done, len(steps), strings.Join(open, "; "))
	default:
		f.Verdict, f.Code = Correct, codeAllSteps
		f.Trainee, f.Tutor = "Every step is ticked.", fmt.Sprintf("All %d steps ticked.", len(steps))
	}
	m.add(it, f)
}

// confirm is one line: whether the declaration is ticked.
func (m *marker) confirm(it *brief.CompiledItem) {
	e, ok := m.entry(it, "", brief.NoPhase)
	f := Finding{Stated: statedWords(e.Text, "")}
	switch {
	case ok && ticked(e.Text):
		f.Verdict, f.Code, f.Trainee, f.Tutor = Recorded, codeRecorded, "Confirmed.", "Confirmed by the trainee."
	case strings.TrimSpace(e.Text) == "" || fold(e.Text) == "no":
		f.Verdict, f.Code, f.Trainee, f.Tutor = NotAttempted, codeBlank, "This is not confirmed yet.", "Not confirmed."
	default:
		f.Verdict, f.Code = ToRead, codeNotAnOption
		f.Trainee = fmt.Sprintf("“%s” stands where a tick belongs. Your tutor reads this one.", f.Stated)
		f.Tutor = fmt.Sprintf("“%s” stands where a tick belongs.", f.Stated)
	}
	m.add(it, f)
}

// ticked reports whether a text stands for a thing done: the brief's own words for it. When it was done is kept elsewhere.
func ticked(text string) bool {
	w := fold(text)
	return w == brief.Yes || w == brief.Done
}
