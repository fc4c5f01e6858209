package seed

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
	"witnessmark/seed/picture"
)

// finish brings an attempt to the script's end.
func (s *story) finish(ctx context.Context, w *work) error {
	s.now = s.start(w, w.stages).Add(5 * time.Minute)
	switch w.end {
	case leftOpen:
		return nil
	case stoppedForSafety:
		return s.app.SafetyStop(ctx, w.tutor, w.id, w.said)
	}
	if err := s.app.HandOver(ctx, w.trainee, w.id, nil, true); err != nil {
		return fmt.Errorf("hand over: %w", err)
	}
	if w.end == handedOver {
		return nil
	}
	s.now = s.now.Add(20 * time.Second)
	if err := s.app.MarkAttempt(ctx, s.centre, w.id); err != nil {
		return fmt.Errorf("mark: %w", err)
	}
	if w.end == checked {
		return nil
	}
	return s.judge(ctx, w)
}

// judge decides every criterion a day and a half later, and signs off or asks for more.
func (s *story) judge(ctx context.Context, w *work) error {
	s.now = s.now.Add(27 * time.Hour)
	if err := s.overrides(ctx, w); err != nil {
		return err
	}
	for i, ref := range w.brief.CriterionRefs() {
		s.now = s.now.Add(time.Duration(90+35*(i%4)) * time.Second)
		sheet, err := s.app.Sheet(ctx, w.tutor, w.id)
		if err != nil {
			return err
		}
		if err := s.app.Decide(ctx, w.tutor, w.id, sheet.Revision, w.judgement(ref, sheet)); err != nil {
			return fmt.Errorf("decide %s: %w", ref, err)
		}
	}
	s.now = s.now.Add(4 * time.Minute)
	sheet, err := s.app.Sheet(ctx, w.tutor, w.id)
	if err != nil {
		return err
	}
	switch w.end {
	case signedOff:
		if err := s.app.SignOff(ctx, w.tutor, w.id, sheet.Revision, Password, w.said); err != nil {
			return fmt.Errorf("sign off: %w", err)
		}
	case moreToDo:
		if err := s.app.AskForMore(ctx, w.tutor, w.id, sheet.Revision, w.more, s.base.AddDate(0, 0, 7)); err != nil {
			return fmt.Errorf("ask for more: %w", err)
		}
		return s.again(ctx, w)
	}
	return nil
}

// judgement is what the tutor puts down for a criterion.
func (w *work) judgement(ref string, sheet app.Sheet) decision.Judgement {
	j := decision.Judgement{Criterion: ref, Outcome: decision.Met, Words: met[ref]}
	for _, c := range sheet.Criteria {
		if c.Ref == ref {
			j.Evidence = c.Items
		}
	}
	if w.end != moreToDo {
		return j
	}
	switch ref {
	case "BSX-207/2.4":
		j.Outcome, j.Reason, j.Words = decision.NotYetMet, "sufficient", "Flux is still on the tube beside the lower joint in the photo. Clean it and photograph it again."
	case "BSX-207/4.1":
		j.Outcome, j.Reason, j.Words = decision.NotYetMet, "valid", "The heat is sixty times too large: the meter shows litres a minute. Measure again and work it afresh."
	case "BSX-207/4.2":
		j.Outcome, j.Reason, j.Words = decision.NotYetMet, "valid", "What follows from the heat output cannot be judged until the heat output is right."
	case "BSX-231/2.2", "BSX-231/4.1":
		j.Outcome, j.Reason, j.Words = decision.NotYetMet, "valid", "Rests on the mass flow, and that is in the wrong unit. Comes with the new figures."
	}
	return j
}

// met is what tutors write beside a criterion that is met, by its code; many write nothing.
var met = map[string]string{
	"BSX-207/1.1": "Named the hazards at the rig before I asked, and what keeps each of them off.",
	"BSX-207/1.2": "Watched from beginning to end; the tester was proved before and after.",
	"BSX-207/1.3": "Chosen from their own figures, and could say why not the next size.",
	"BSX-207/2.1": "Order and position as on the released sketch.",
	"BSX-207/2.2": "Readings inside their limits; I looked at the gauge with them.",
	"BSX-207/2.3": "Set dry, checked, and the gauge went where the figure said.",
	"BSX-207/2.4": "",
	"BSX-207/3.1": "Every conductor that enters was tested, the unexpected ones too.",
	"BSX-207/3.2": "Tests in their order, leads nulled, each reading judged aloud.",
	"BSX-207/3.3": "All rows set in their order; I watched the valve.",
	"BSX-207/3.4": "Load added up with the heater in it.",
	"BSX-207/4.1": "Three readings within a tenth; I could have repeated them.",
	"BSX-207/4.2": "",
	"BSX-207/4.3": "Explained without a word that only fitters know.",
	"BSX-114/1.2": "Both ends of the proving seen, and the key stayed in the pocket.",
	"BSX-114/1.3": "Knew what is mine to do and said so before I asked.",
	"BSX-114/3.1": "In their order; an open protective conductor would have been found first.",
	"BSX-114/3.2": "Waited the whole time out, and read the gauge square on.",
	"BSX-231/1.2": "Worked from their own load, unit by unit.",
	"BSX-231/2.1": "Sensor lagged over, three minutes waited, three readings.",
	"BSX-231/3.1": "Never below the figure, and could say why.",
}

// overrides puts the tutor's word in place of the marker's where the script has it so.
func (s *story) overrides(ctx context.Context, w *work) error {
	if w.who != "anna" {
		return nil
	}
	sheet, err := s.app.Sheet(ctx, w.tutor, w.id)
	if err != nil {
		return err
	}
	return s.app.Override(ctx, w.tutor, w.id, sheet.Revision, app.Override{
		Item: "heat", Verdict: marking.Correct, Words: "Worked again at the bench with the measured difference, and right. The 20 K was a habit, and she said so herself.",
	})
}

// again is the second attempt of a trainee who had more to do: measured afresh, not handed over yet.
func (s *story) again(ctx context.Context, w *work) error {
	next, err := s.newest(ctx, w)
	if err != nil {
		return err
	}
	w.id, w.day, w.hour, w.number = next, w.day-9, 9, w.number+1
	s.at(w.day, w.hour, 0)
	if err := s.app.OpenAttempt(ctx, w.trainee, w.id, true, true); err != nil {
		return err
	}
	w.own, w.params["flow"] = nil, 1.02
	if err := s.work(ctx, w); err != nil {
		return err
	}
	// The reading was carried over, the tutor's check of it was not: it is looked at again before the hold goes.
	if err := s.app.EnterCheckReading(ctx, w.tutor, w.id, app.CheckReading{Item: "cool", Text: w.entries["cool"].Text}, Password); err != nil {
		return fmt.Errorf("check again that it is cool: %w", err)
	}
	for _, stage := range []string{"pipe", "run"} { // the spanner stops again until they are released for this attempt
		if err := s.app.ReleaseHold(ctx, w.tutor, w.id, stage, "Carried over; the rig is as it was left."); err != nil {
			return fmt.Errorf("release the hold again: %w", err)
		}
	}
	at := s.now
	var entries []app.NewEntry
	for _, slot := range []string{"qv#1@as-left", "qv#2@as-left", "qv#3@as-left", "tf@as-left", "tr@as-left", "dt_run", "qm"} {
		at = at.Add(2 * time.Minute)
		entries = append(entries, app.NewEntry{ID: w.name(slot), Entry: w.entries[slot], CapturedAt: at})
	}
	s.now = at.Add(12 * time.Minute)
	for i := range entries {
		entries[i].PhoneClock = s.phone()
	}
	if err := s.app.RecordEntries(ctx, w.trainee, w.id, entries); err != nil {
		return err
	}
	b, err := s.photo(picture.Shot{Scene: picture.Joints, Number: w.number, Name: w.trainee.Name}, at)
	if err != nil {
		return err
	}
	_, err = s.app.AddFile(ctx, w.trainee, w.id, app.NewFile{
		ID: w.name("file joints"), Item: "joints", Name: "IMG_1402.jpg", Caption: "Wiped and cleaned, same tee.", DeviceAt: at,
		PhoneClock: s.phone(),
	}, bytes.NewReader(b))
	return err
}
