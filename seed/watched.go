package seed

import (
	"context"
	"fmt"
	"time"

	"witnessmark/internal/decision"
)

// watched is what a tutor noted at the end of a stage, counted from 1: what they saw or asked.
type watched struct {
	stage int
	saw   *decision.Observation
	asked *decision.OralQuestion
}

// sianWatched is what the tutor saw and asked while Sian re-piped Bay 7.
func sianWatched() []watched {
	return []watched{
		{stage: 2, saw: &decision.Observation{Subject: "isolation", Outcome: decision.Seen, Took: 6 * time.Minute, Words: "Both ends of the proving, without being told."}},
		{stage: 2, asked: &decision.OralQuestion{
			Subject: "isolation", Asked: "The lamp of the tester stays dark. What do you know now?",
			Gist: "Nothing yet: the tester may be dead. Proves it on the unit again, then believes it.", Outcome: decision.Understood,
		}},
	}
}

// tomasWatched is what the tutor saw while Tomás wired the controls.
func tomasWatched() []watched {
	return []watched{{stage: 1, asked: &decision.OralQuestion{
		Subject: "ready", Asked: "Which conductors can still be live with the programmer off?",
		Gist: "Named the permanent live, and the pump's overrun after a second look.", Outcome: decision.InPart,
	}}}
}

// aloud is agreed with Anna before she begins: a written answer may be given aloud.
func aloud() *decision.Adjustment {
	return &decision.Adjustment{
		What: decision.OtherEvidence, Item: "why_charge", Instead: "Answers aloud at the rig, while the tutor notes the gist.",
		Words: "Writes slowly in her second language; asked for it on the first day.",
	}
}

// agree records what was agreed before the attempt begins.
func (s *story) agree(ctx context.Context, w *work) error {
	if w.agreed == nil {
		return nil
	}
	if err := s.app.Adjust(ctx, w.tutor, w.id, *w.agreed); err != nil {
		return fmt.Errorf("agree an adjustment: %w", err)
	}
	return nil
}

// note records what the tutor saw and asked at a stage, counted from 0.
func (s *story) note(ctx context.Context, w *work, stage int) error {
	for _, n := range w.watched {
		if n.stage != stage+1 {
			continue
		}
		s.now = s.now.Add(2 * time.Minute)
		var err error
		if n.saw != nil {
			err = s.app.Observe(ctx, w.tutor, w.id, *n.saw)
		} else {
			err = s.app.AskOrally(ctx, w.tutor, w.id, *n.asked)
		}
		if err != nil {
			return fmt.Errorf("note what was seen and asked: %w", err)
		}
	}
	return nil
}
