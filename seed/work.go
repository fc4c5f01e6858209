package seed

import (
	"math"
	"strings"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// scripted counts the briefs, from the first, that scripts work at.
const scripted = 3

// steps is the work of each brief that scripts work at, in order's order; nil for the briefs after them.
func steps(brief int) []step {
	if brief >= scripted {
		return nil
	}
	return [scripted][]step{pumped(), sealed(), wired()}[brief]
}

// slotName names a slot as scripts do: item, item#part, item@phase or item#part@phase.
func slotName(item, part string, phase brief.Phase) string {
	s := item
	if part != "" {
		s += "#" + part
	}
	if phase != brief.NoPhase {
		s += "@" + string(phase)
	}
	return s
}

// worked fills in a whole brief as the script's trainee would: the readings of the model answer where nothing else is
// said, figures worked from the trainee's own numbers, and what the script says they put down instead. It gives the
// entries by slot and all numbers by name.
func worked(b *brief.Brief, s script, given map[string]string) (map[string]marking.Entry, values) {
	v := values{"nudge": float64(s.number%9 - 4)}
	for name, x := range s.params {
		v[name] = x
	}
	for name, text := range given {
		v[name] = number(text)
	}
	entries := map[string]marking.Entry{}
	repeats := map[string][]float64{}
	keep := func(item, part string, phase brief.Phase, p put) {
		entries[slotName(item, part, phase)] = marking.Entry{Item: item, Part: part, Phase: phase, Text: p.text, Unit: p.unit, Working: p.working}
		it, _, _ := b.Item(item)
		switch {
		case it.Reading != nil && it.Reading.Repeats > 1:
			repeats[item] = append(repeats[item], number(p.text))
			sum := 0.0
			for _, x := range repeats[item] {
				sum += x
			}
			v[item] = math.Round(sum/float64(len(repeats[item]))*100) / 100 // as the mean is written down
		case it.Reading != nil || it.Figure != nil:
			v[item] = number(p.text)
		}
	}
	later := map[string]bool{}
	for _, st := range steps(s.brief) {
		later[st.slot] = true
	}
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			it := &b.Stages[i].Items[j]
			for _, slot := range it.Slots() {
				name := slotName(it.Key, slot.Part, slot.Phase)
				if later[name] {
					continue
				}
				m, _ := b.ModelAnswer(it, slot)
				p := put{m.Text, m.Unit, m.Working}
				if own := s.own[name]; own != nil {
					p = own(v)
				}
				keep(it.Key, slot.Part, slot.Phase, p)
			}
		}
	}
	for _, st := range steps(s.brief) {
		do := st.do
		if own := s.own[st.slot]; own != nil {
			do = own
		}
		name, phase, _ := strings.Cut(st.slot, "@")
		item, part, _ := strings.Cut(name, "#")
		keep(item, part, brief.Phase(phase), do(v))
	}
	return entries, v
}
