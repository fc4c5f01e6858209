package brief

import (
	"fmt"
	"slices"
	"strings"
)

// ModelAnswer is what the model answer puts into one slot of an item. Where the brief says itself what is right (cells of a
// grid, steps, an expected observation, a declaration) no answer need be written. ok is false where there is none.
func (b *Brief) ModelAnswer(it *Item, s Slot) (m ModelAnswer, ok bool) {
	for _, m := range b.Model {
		if m.Item == it.Key && m.Part == s.Part && m.Phase == s.Phase {
			return m, true
		}
	}
	m = ModelAnswer{Item: it.Key, Part: s.Part, Phase: s.Phase, Text: it.expected(s.Part)}
	return m, m.Text != ""
}

// expected is what the brief itself says is right in one part of an item, "" where it does not say.
func (it *Item) expected(part string) string {
	switch it.Form() {
	case FormTest:
		row, check, _ := strings.Cut(part, "/")
		for _, r := range it.Test.Rows {
			for j, c := range it.Test.Checks {
				if r.Key == row && c.Key == check && j < len(r.Expect) {
					return r.Expect[j]
				}
			}
		}
	case FormObservation:
		return it.Observation.Expect
	case FormSequence:
		return Done
	case FormConfirm:
		return Yes
	case FormPhoto, FormReading, FormFigure, FormChoice, FormAnswer, FormDocument:
	}
	return ""
}

// model holds the model answer to the items: each answer has its slot, and each reading, figure and choice its answer.
func (k *checker) model() {
	seen := map[ModelAnswer]bool{}
	for i, m := range k.b.Model {
		path := fmt.Sprintf("model-answer[%d]", i)
		it, _, ok := k.b.Item(m.Item)
		slot := ModelAnswer{Item: m.Item, Part: m.Part, Phase: m.Phase}
		switch {
		case !ok:
			k.say(path+".item", "No item is called “%s”.", shorten(m.Item))
			k.problems[len(k.problems)-1].Hint = didYouMean(m.Item, k.itemKeys())
		case len(it.Slots()) == 0:
			k.say(path+".item", "“%s” takes files (%s); the model answer has nothing to put there.", m.Item, it.Form())
		case seen[slot]:
			k.say(path, "“%s” is answered twice here. Keep one of the two.", m.Item)
		case !slices.ContainsFunc(it.Slots(), func(s Slot) bool {
			return m.Part == s.Part && m.Phase == s.Phase
		}):
			k.say(path, "%s", noSlot(it, m))
		case it.Form() != FormAnswer && it.Slots()[0].Options != nil && !optionOf(it, m):
			k.say(path+".text", "“%s” is none of what can be chosen here.", shorten(m.Text))
		}
		seen[slot] = true
	}
	for i := range k.b.Stages {
		for j := range k.b.Stages[i].Items {
			k.answered(&k.b.Stages[i].Items[j], fmt.Sprintf("stages[%d].items[%d]", i, j))
		}
	}
}

func optionOf(it *Item, m ModelAnswer) bool {
	return slices.ContainsFunc(it.Slots(), func(s Slot) bool {
		return m.Part == s.Part && slices.Contains(s.Options, m.Text)
	})
}

// noSlot says which place an answer names in vain, and which there are.
func noSlot(it *Item, m ModelAnswer) string {
	var parts, phases []string
	for _, s := range it.Slots() {
		if s.Part != "" && !slices.Contains(parts, s.Part) {
			parts = append(parts, s.Part)
		}
		if s.Phase != NoPhase && !slices.Contains(phases, string(s.Phase)) {
			phases = append(phases, string(s.Phase))
		}
	}
	switch {
	case len(parts) == 0 && m.Part != "":
		return fmt.Sprintf("“%s” has no parts: leave “part” out.", it.Key)
	case len(phases) == 0 && m.Phase != NoPhase:
		return fmt.Sprintf("“%s” is taken once: leave “phase” out.", it.Key)
	case len(parts) > 0 && !slices.Contains(parts, m.Part):
		return fmt.Sprintf("“%s” needs a part here: %s.", it.Key, orList(parts))
	}
	return fmt.Sprintf("“%s” needs a phase here: %s.", it.Key, orList(phases))
}

// answered says which slot of a reading, figure or choice has no model answer: without it nobody has tried the brief.
func (k *checker) answered(it *Item, path string) {
	if it.Reading == nil && it.Figure == nil && it.Choice == nil || it.Optional {
		return
	}
	for _, s := range it.Slots() {
		if _, ok := k.b.ModelAnswer(it, s); !ok {
			where := ""
			if s.Label != "" {
				where = " (" + s.Label + ")"
			}
			k.say(path, "The model answer has nothing for “%s”%s. Add an entry under “model-answer”.", shorten(it.Key), where)
			return
		}
	}
}
