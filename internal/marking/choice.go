package marking

import (
	"fmt"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/quantity"
)

// none is what a table gives where every size is too small.
const none = "none of these"

// chosen is the answer to a choice as the brief's conditions or sizes give it.
type chosen struct {
	text  string
	size  float64 // of a choice by size; 0 where none is large enough
	known bool
	why   string
}

// choice marks a choice by conditions or by size.
func (m *marker) choice(it *brief.CompiledItem) {
	spec := it.Item.Choice
	e, _ := m.entry(it, "", brief.NoPhase)
	f := Finding{Unit: it.Unit.String(), Stated: statedWords(e.Text, e.Unit), Available: max(spec.Marks, 1)}
	given, own := m.answerTo(it, false), m.answerTo(it, true)
	f.Expected, f.ExpectedOwn = given.text, own.text
	unproved, _, missing := m.upstream(it.Needs())

	picked, size, why := m.picked(it, e, &f)
	switch {
	case strings.TrimSpace(e.Text) == "":
		f.Verdict, f.Code = NotAttempted, codeBlank
	case why != "":
		f.Verdict, f.Code = ToRead, codeNotAnOption
	case !given.known:
		f.Verdict, f.Code = ToRead, codeNoReference
		why = "There is nothing to compare this with: " + given.why + "."
	case fits(it, given, picked, size):
		f.Verdict, f.Code = Correct, codeAsExpected
		if own.known && !fits(it, own, picked, size) && !m.roundingLeadsTo(it, picked, size) {
			f.flag(FlagInconsistent, "Right, but the trainee's own earlier figures lead to %s: ask how it was chosen.", own.text)
		}
	case own.known && fits(it, own, picked, size):
		m.choiceFollowed(it, &f)
	default:
		f.Verdict, f.Code = Wrong, codeNotExpected
		m.choiceSlips(it, &f, picked, size)
	}
	if f.Verdict == Correct || f.Verdict == FollowThrough {
		f.Marks = f.Available
	}
	if len(missing) > 0 && (f.Verdict == Wrong || f.Verdict == ToRead) {
		f.flag(FlagEarlierMissing, "Not stated or not readable earlier: %s. The reference stood in for it.", strings.Join(missing, ", "))
	}
	sayChoice(&f, why)
	if unproved && f.Verdict != NotAttempted {
		f.Blocks = true
		f.flag(FlagRestsOn, "This rests on a safety-critical reading that the tutor has not seen or checked yet.")
	}
	m.add(it, f)
}

// choiceFollowed is the verdict on a choice that only the trainee's own earlier figures lead to.
func (m *marker) choiceFollowed(it *brief.CompiledItem, f *Finding) {
	f.Verdict, f.Code = FollowThrough, codeFollows
	if it.Item.Choice.Safety {
		f.Verdict, f.Code = Wrong, codeTrueDecides
	}
	if it.Item.Choice.Safety || m.needed[it.Item.Key] {
		f.flag(FlagDoNotFit, "Method right; do not install to this choice.")
	}
}

// answerTo works out the expected answer: the first option whose condition holds, or the first size not less than the
// formula.
func (m *marker) answerTo(it *brief.CompiledItem, own bool) chosen {
	if it.Formula != nil {
		r := m.evaluate(it.Formula, it.Unit, own)
		if !r.known {
			return chosen{why: r.why}
		}
		return firstSize(it, r.value)
	}
	for _, o := range it.Options {
		if o.Condition == nil {
			return chosen{text: o.Option.Text, known: true}
		}
		in, why := m.inputs(o.Condition.Needs, own)
		if why != "" {
			return chosen{why: why}
		}
		holds, err := o.Condition.Program.Eval(in)
		if err != nil {
			return chosen{why: strings.TrimSuffix(err.Error(), ".")}
		}
		if holds {
			return chosen{text: o.Option.Text, known: true}
		}
	}
	return chosen{text: none, known: true}
}

// firstSize is the first size not less than x, within the slack of arithmetic.
func firstSize(it *brief.CompiledItem, x float64) chosen {
	for i, s := range it.Sizes {
		if s >= x || near(s, x) {
			return chosen{text: sizeText(it, i), size: s, known: true}
		}
	}
	return chosen{text: none, known: true}
}

func sizeText(it *brief.CompiledItem, i int) string {
	return joined(it.Item.Choice.Size.Sizes[i], it.Unit.String())
}

// picked reads what was chosen: an option's text, or one of the sizes. why says why it is none of them.
func (m *marker) picked(it *brief.CompiledItem, e Entry, f *Finding) (text string, size float64, why string) {
	if it.Formula == nil {
		text, ok := option(it.Item.Choice.Words(), e.Text, e.Unit)
		if !ok {
			return "", 0, fmt.Sprintf("“%s” is none of the options (%s).", f.Stated, strings.Join(it.Item.Choice.Words(), ", "))
		}
		return text, 0, ""
	}
	if fold(e.Text) == fold(none) {
		return none, 0, ""
	}
	t := readTyped(e.Text, e.Unit, it.Unit)
	if t.verdict != "" || t.number.Bound != quantity.Exactly {
		return "", 0, strings.TrimSpace(fmt.Sprintf("“%s” is none of the sizes. %s", f.Stated, t.why))
	}
	f.Read, f.Converted = stored(t.read), t.converted()
	for i, s := range it.Sizes {
		if near(s, t.value) {
			return sizeText(it, i), s, ""
		}
	}
	return "", 0, fmt.Sprintf("“%s” is none of the sizes (%s).", f.Stated, strings.Join(it.Item.Choice.Words(), ", "))
}

// fits reports whether the picked answer is the expected one, or a larger size where the brief takes larger ones.
func fits(it *brief.CompiledItem, want chosen, text string, size float64) bool {
	if it.Formula == nil || want.text == none {
		return text == want.text
	}
	return size == want.size || it.Item.Choice.Size.Larger && size > want.size
}

// option finds the option that was meant: letter case and spaces aside, with or without its unit typed apart.
func option(options []string, text, unit string) (string, bool) {
	for _, typed := range []string{text, text + unit} {
		for _, o := range options {
			if fold(o) == fold(typed) {
				return o, true
			}
		}
	}
	return "", false
}

// fold takes letter case and every space away.
func fold(s string) string {
	s, _ = quantity.Fold(s)
	return strings.ToLower(strings.Join(strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == '\u2009' || r == '\n' }), ""))
}

// choiceSlips names the declared slip that leads to the picked option or size. Nothing is made up beside what the brief
// declares: with a handful of options any slip would lead to one of them.
func (m *marker) choiceSlips(it *brief.CompiledItem, f *Finding, text string, size float64) {
	var match []SlipMatch
	for i := range it.Slips {
		s := &it.Slips[i]
		hit := false
		switch {
		case s.Slip.Option != "" && it.Formula == nil:
			hit = fold(s.Slip.Option) == fold(text)
		case s.Slip.Option != "":
			t := readTyped(s.Slip.Option, "", it.Unit)
			hit = t.verdict == "" && near(t.value, size)
		case s.Formula != nil:
			hit = size != 0 && (m.slipSize(it, s, false) == size || m.slipSize(it, s, true) == size)
		}
		if hit {
			match = append(match, SlipMatch{Key: s.Slip.Key, Is: s.Slip.Is})
		}
	}
	m.nameSlip(it, f, match)
}

// slipSize is the size that a slip leads to; 0 where it leads to none.
func (m *marker) slipSize(it *brief.CompiledItem, s *brief.CompiledSlip, own bool) float64 {
	r := m.evaluate(s.Formula, it.Unit, own)
	if !r.known {
		return 0
	}
	return firstSize(it, r.value).size
}

func sayChoice(f *Finding, why string) {
	switch f.Verdict {
	case Correct:
		f.Trainee, f.Tutor = fmt.Sprintf("%s is right.", f.Stated), fmt.Sprintf("Chose %s; right.", f.Stated)
		if hasFlag(f, FlagInconsistent) {
			f.Trainee = fmt.Sprintf("%s is right, though your own earlier figures lead to %s. Be ready to show how you chose it.", f.Stated, f.ExpectedOwn)
			f.Tutor = fmt.Sprintf("Chose %s; right, but their own earlier figures lead to %s.", f.Stated, f.ExpectedOwn)
		}
	case FollowThrough:
		f.Trainee = fmt.Sprintf("%s follows from your own earlier figures, so your method has its marks. From the given and measured values it is %s.", f.Stated, f.Expected)
		f.Tutor = fmt.Sprintf("Chose %s; %s is expected, but their own earlier figures lead to %s.", f.Stated, f.Expected, f.ExpectedOwn)
	case Wrong:
		f.Trainee = fmt.Sprintf("You chose %s; the given and measured values lead to %s.", f.Stated, f.Expected)
		f.Tutor = fmt.Sprintf("Chose %s; %s is expected.", f.Stated, f.Expected)
		if f.Code == codeTrueDecides {
			f.Trainee = fmt.Sprintf("%s follows from your own earlier figures, but the true value decides here, and that leads to %s. Method right; do not install to this choice.", f.Stated, f.Expected)
			f.Tutor = fmt.Sprintf("Chose %s, which follows from their own earlier figures; %s is expected, this line is safety-critical and the true value decides.", f.Stated, f.Expected)
		}
		f.Tutor += slipWords(f)
	case NotAttempted:
		f.Trainee, f.Tutor = "Nothing is chosen here yet.", fmt.Sprintf("Nothing chosen. Expected %s.", f.Expected)
	case ToRead:
		f.Trainee, f.Tutor = why+" Your tutor reads this one.", why
	case UnitMissing, UnitWrong, WithinLimit, OutsideLimit, Recorded:
	}
}
