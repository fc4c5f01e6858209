package portfolio

import (
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// item lays one item out with its slots in order, and with everything that bears on it.
func (l *layout) item(it *brief.Item, number int) ItemSheet {
	s := ItemSheet{Number: number, Anchor: l.itemAnchor(number), Item: it, Diagnosis: l.at.Marking.Diagnosis(it.Key)}
	for _, c := range it.Criteria {
		s.Criteria = append(s.Criteria, l.code(l.brief.Ref(c)))
	}
	for _, slot := range it.Slots() {
		s.Lines = append(s.Lines, l.line(it.Key, slot))
	}
	if l.at.Marking != nil {
		for i, f := range l.at.Marking.Findings {
			if f.Item == it.Key {
				l.found[i] = true
				s.Findings = append(s.Findings, Finding{Finding: f, Overrides: l.acts(decision.KindOverride, decision.Line(f.Item, f.Part, string(f.Phase)))})
			}
		}
	}
	for i := range l.at.Explained {
		if e := &l.at.Explained[i]; e.Item == it.Key {
			s.Explained = e
		}
	}
	for _, p := range phases(it) {
		s.Checks = append(s.Checks, l.acts(decision.KindCheckReading, decision.Line(it.Key, "", string(p)))...)
	}
	s.Files = l.files(it.Key, l.ref(it.Key))
	return s
}

// phases are those of a reading, in order; a form without any has the one that is none.
func phases(it *brief.Item) []brief.Phase {
	if it.Reading == nil || len(it.Reading.Phases) == 0 {
		return []brief.Phase{brief.NoPhase}
	}
	return it.Reading.Phases
}

// line lays one slot out. Nothing is overwritten: what stood there before stays, and so does a line that was cleared.
func (l *layout) line(item string, slot brief.Slot) Line {
	line := Line{Slot: slot}
	for i, e := range l.at.Entries {
		if e.Item != item || e.Part != slot.Part || e.Phase != slot.Phase {
			continue
		}
		l.laid[i] = true
		if line.Current != nil {
			line.Earlier = append(line.Earlier, *line.Current)
		}
		line.Current = &l.at.Entries[i]
	}
	if c := line.Current; c != nil && c.Text == "" && c.Working == "" {
		line.Earlier = append(line.Earlier, *c)
		line.Current = nil
	}
	return line
}
