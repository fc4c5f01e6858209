package app

import (
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/portfolio"
)

// assemble lays an attempt out along its brief. It fills everything that the brief, the attempt and its records say; who
// is looking, and what they may do, is the caller's to add.
func assemble(b *brief.Brief, at portfolio.Attempt, criteria map[string]string) Sheet {
	s := Sheet{
		ID: at.ID, Number: at.Number, State: at.State,
		OpenedAt: at.OpenedAt, HandedAt: at.HandedOverAt, MarkedAt: at.MarkedAt,
		BriefKey: b.Key, BriefTitle: b.Title, About: b.About, Cautions: b.Cautions, Conventions: b.Conventions,
		Site: at.Site, Householder: at.Householder, Declaration: at.Declaration, Records: at.Records,
	}
	for _, g := range b.Given {
		value := at.Given[g.Name]
		if value == "" && g.From == "" {
			value = g.Value // by a rule
		}
		s.Given = append(s.Given, GivenRow{Name: g.Name, Is: g.Is, Value: value, Source: g.Source})
	}
	if at.Marking != nil {
		s.Flags, s.Marks, s.Available = at.Marking.Flags, at.Marking.Marks, at.Marking.Available
	}
	number := 0
	for i := range b.Stages {
		st := &b.Stages[i]
		stage := SheetStage{Number: i + 1, Key: st.Key, Title: st.Title, About: st.About, Cautions: st.Cautions, Questions: st.Questions}
		stage.Instruments = assembleInstruments(st, at)
		stage.Helped = assembleLine(decision.HelpItem(st.Key), brief.Slot{}, true, at)
		if st.Hold != nil {
			stage.Hold = &SheetHold{
				Show: st.Hold.Show, Entitlement: st.Hold.Entitlement,
				Release: decision.Latest(at.Records, decision.KindHoldRelease, st.Key),
			}
		}
		for j := range st.Items {
			number++
			if h := decision.Behind(b, st.Items[j].Key, at.Records, at.Passed); h.Earlier && h.Stands() {
				stage.Behind = h.Number
			}
			stage.Items = append(stage.Items, assembleItem(b, &st.Items[j], number, at))
		}
		s.Stages = append(s.Stages, stage)
	}
	for _, g := range handover(b, at).Gaps() {
		s.Missing = append(s.Missing, Missing(g))
	}
	empty := map[string]bool{}
	for _, m := range s.Missing {
		empty[m.Item] = true
	}
	for i := range s.Stages {
		for j := range s.Stages[i].Items {
			it := &s.Stages[i].Items[j]
			it.Done = !empty[it.Key] && (it.takesFiles() && len(it.Files) > 0 || filled(it.Lines))
		}
	}
	s.Criteria = assembleCriteria(b, at, criteria)
	for i, r := range at.Records {
		if r.Kind == decision.KindSignOff || r.Kind == decision.KindMoreToDo {
			s.Remark = &at.Records[i]
		}
		if r.Kind == decision.KindAppealOutcome && r.Outcome == decision.Upheld {
			s.Remark = nil
		}
		if r.Kind == decision.KindSignOff {
			s.SignedAt = r.At
		}
	}
	return s
}

// filled says whether anything stands in any of the lines.
func filled(lines []SheetLine) bool {
	for _, l := range lines {
		if l.Entry != nil {
			return true
		}
	}
	return false
}

// assembleItem lays out one item with its lines and files.
func assembleItem(b *brief.Brief, it *brief.Item, number int, at portfolio.Attempt) SheetItem {
	si := SheetItem{Item: it, Number: number, Diagnosis: at.Marking.Diagnosis(it.Key), Otherwise: decision.Otherwise(at.Records, it.Key)}
	for _, c := range it.Criteria {
		si.Criteria = append(si.Criteria, b.Ref(c))
	}
	slots := it.Slots()
	for i, slot := range slots {
		last := i == len(slots)-1 || slots[i+1].Phase != slot.Phase
		si.Lines = append(si.Lines, assembleLine(it.Key, slot, last, at))
	}
	si.Files = filesOf(it.Key, at)
	return si
}

// filesOf lists an item's files.
func filesOf(item string, at portfolio.Attempt) []SheetFile {
	var fs []SheetFile
	for _, e := range at.Evidence {
		if e.Item != item {
			continue
		}
		fs = append(fs, sheetFile(e))
	}
	return fs
}

// sheetFile is a file as the sheet shows it.
func sheetFile(e portfolio.Evidence) SheetFile {
	w, h := e.Width, e.Height
	if e.Orientation >= 5 { // EXIF 5 to 8 lie on their side
		w, h = h, w
	}
	return SheetFile{
		ID: e.ID, Name: e.Name, Caption: e.Caption, MediaType: e.MediaType, Size: e.Size, Width: w, Height: h,
		Digest: e.Digest, TakenAt: e.TakenAt, DeviceAt: e.DeviceAt, ReceivedAt: e.ReceivedAt,
		Order: e.Order, HoldOf: e.HoldOf, Preview: e.PreviewDigest != "", Sealed: e.Sealed,
		Covers: e.Covers, Unlooked: e.Private && !e.LookedOver, Copy: e.CoveredDigest != "", Withdrawn: e.Withdrawn, Card: e.Card,
	}
}

// assembleLine lays out one slot with what was put into it, found and decided. A finding on repeats or steps together
// stands beside the last of them.
func assembleLine(item string, slot brief.Slot, last bool, at portfolio.Attempt) SheetLine {
	l := SheetLine{Slot: slot, Item: item}
	for _, e := range at.Entries {
		if e.Item != item || e.Part != slot.Part || e.Phase != slot.Phase {
			continue
		}
		if l.Entry != nil {
			l.Earlier = append(l.Earlier, *l.Entry)
		}
		l.Entry = &LineEntry{
			Text: e.Text, Unit: e.Unit, Working: e.Working, Note: e.Note, With: e.With,
			CapturedAt: e.CapturedAt, ReceivedAt: e.ReceivedAt, Sealed: e.Sealed, Order: e.Order, HoldOf: e.HoldOf,
		}
	}
	if l.Entry != nil && l.Entry.Text == "" && l.Entry.Working == "" { // cleared again
		l.Earlier = append(l.Earlier, *l.Entry)
		l.Entry = nil
	}
	if at.Marking != nil {
		for i, f := range at.Marking.Findings {
			if f.Item == item && f.Phase == slot.Phase && (f.Part == slot.Part || f.Part == "" && last) {
				l.Finding = &at.Marking.Findings[i]
				l.Override = decision.Latest(at.Records, decision.KindOverride, decision.Line(f.Item, f.Part, string(f.Phase)))
			}
		}
	}
	l.Check = decision.Latest(at.Records, decision.KindCheckReading, decision.Line(item, "", string(slot.Phase)))
	return l
}

// assembleCriteria lays out the criteria with their decisions and with what keeps them from being met.
func assembleCriteria(b *brief.Brief, at portfolio.Attempt, texts map[string]string) []SheetCriterion {
	st := standing(b, at)
	var cs []SheetCriterion
	for _, ref := range b.CriterionRefs() {
		c := SheetCriterion{Ref: ref, Text: texts[ref], Blocked: st.Blocked(ref)}
		for i := range b.Stages {
			for j := range b.Stages[i].Items {
				it := &b.Stages[i].Items[j]
				for _, own := range it.Criteria {
					if b.Ref(own) == ref {
						c.Items = append(c.Items, it.Key)
					}
				}
			}
		}
		for i, r := range at.Records {
			if r.Kind != decision.KindCriterion || r.Subject != ref {
				continue
			}
			if c.Decision != nil {
				c.Earlier = append(c.Earlier, *c.Decision)
			}
			c.Decision = &at.Records[i]
		}
		if c.Decision != nil && c.Decision.Outcome == decision.TakenBack {
			c.Earlier, c.Decision = append(c.Earlier, *c.Decision), nil
		}
		cs = append(cs, c)
	}
	return cs
}

// handover gathers what lies ready for handing over.
func handover(b *brief.Brief, at portfolio.Attempt) decision.Handover {
	h := decision.Handover{Brief: b, Filled: map[string]bool{}, Files: map[string]int{}, Records: at.Records}
	for _, e := range at.Entries {
		h.Filled[decision.Line(e.Item, e.Part, string(e.Phase))] = e.Text != ""
	}
	for _, e := range at.Evidence {
		h.Files[e.Item]++
	}
	return h
}

// standing gathers what stands behind the attempt when a criterion is judged.
func standing(b *brief.Brief, at portfolio.Attempt) decision.Standing {
	st := decision.Standing{Brief: b, Result: at.Marking, Records: at.Records, Order: map[string]decision.Order{}, Empty: handover(b, at).Empty(), Passed: at.Passed}
	for _, e := range at.Evidence {
		if it, _, ok := b.Item(e.Item); !ok || it.Photo == nil && it.Document == nil {
			continue // a photo of the sheet that something was first written on: the line itself is the evidence
		}
		st.Order[e.Item] = decision.Best(st.Order[e.Item], e.Order)
	}
	st.Doubts, st.Typed = doubts(at.Entries), typedOrder(b, at.Entries)
	return st
}

// typedOrder says of every line how what counts there stands to the release of the hold point before it: the last entry of each slot,
// however often it was typed again. What was cleared is not there.
func typedOrder(b *brief.Brief, entries []portfolio.Entry) map[string]decision.Order {
	last := map[string]portfolio.Entry{}
	for _, e := range entries {
		last[decision.Line(e.Item, e.Part, string(e.Phase))] = e
	}
	found := map[string]decision.Order{}
	for _, e := range last {
		if it, _, ok := b.Item(e.Item); ok && e.Text != "" {
			line := decision.LineOf(it, brief.Slot{Part: e.Part, Phase: e.Phase})
			found[line] = decision.Worst(found[line], e.Order)
		}
	}
	return found
}

// doubts says of the readings that count what speaks against their instruments: of repeats the last doubt.
func doubts(entries []portfolio.Entry) map[string]decision.Doubt {
	type place struct {
		item, part string
		phase      brief.Phase
	}
	last := map[place]int{}
	for i, e := range entries {
		last[place{e.Item, e.Part, e.Phase}] = i
	}
	found := map[string]decision.Doubt{}
	for i, e := range entries {
		d := e.With.Doubt
		if e.With.OutOfDate {
			d = decision.Overdue
		}
		if d != "" && last[place{e.Item, e.Part, e.Phase}] == i {
			found[decision.Line(e.Item, "", string(e.Phase))] = d
		}
	}
	return found
}
