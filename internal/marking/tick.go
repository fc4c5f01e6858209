package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
)

// observation marks stated words.
func (m *marker) observation(it *brief.CompiledItem) {
	o := it.Item.Observation
	e, _ := m.entry(it, "", brief.NoPhase)
	f := words(e.Text, o.Expect, o.Options)
	m.retests(it, &f, func(row EarlierRow) Verdict { return words(row.Text, o.Expect, o.Options).Verdict })
	sayWords(&f)
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

// sayWords writes both sentences of stated words. What they are about stands beside them: an item's title, or a cell's row
// and column.
func sayWords(f *Finding) {
	switch f.Verdict {
	case Correct:
		f.Trainee, f.Tutor = fmt.Sprintf("%s, as it should be.", capital(f.Stated)), fmt.Sprintf("%s, as expected.", capital(f.Stated))
		if f.Code == codeHeld {
			f.Trainee = fmt.Sprintf("%s, as in the row before: held, as it should be.", capital(f.Stated))
			f.Tutor = fmt.Sprintf("%s, as in the row before, so this is “%s”.", capital(f.Stated), f.Expected)
		}
	case Wrong:
		f.Trainee = fmt.Sprintf("You saw “%s”; on a job put right it is “%s”. Find out why before you go on.", f.Stated, f.Expected)
		f.Tutor = fmt.Sprintf("Seen “%s”, expected “%s”.", f.Stated, f.Expected)
	case NotAttempted:
		f.Trainee, f.Tutor = "Nothing is put down here yet.", "Nothing put down."
	case Recorded:
		f.Trainee, f.Tutor = fmt.Sprintf("%s, taken down.", capital(f.Stated)), fmt.Sprintf("%s, taken down; nothing to judge it by.", capital(f.Stated))
	case ToRead:
		if f.Code == codeRowBefore {
			f.Trainee = fmt.Sprintf("You saw “%s”. Whether it was held cannot be told, because the row before does not say what it was. Your tutor reads this one.", f.Stated)
			f.Tutor = fmt.Sprintf("Seen “%s”, expected “%s”. What the row before showed is not known, so whether the two are the same cannot be told.", f.Stated, f.Expected)
			break
		}
		f.Trainee = fmt.Sprintf("“%s” is none of the words offered here. Your tutor reads this one.", f.Stated)
		f.Tutor = fmt.Sprintf("“%s” is none of the words offered here.", f.Stated)
	case FollowThrough, UnitMissing, UnitWrong, WithinLimit, OutsideLimit:
	}
	f.sayFlags()
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
