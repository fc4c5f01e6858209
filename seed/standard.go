package seed

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/seed/picture"
)

// standardise has the quality assurer and the tutors of the centre judge the same work, each without the others: two do so, so that
// what they said waits for the third. Before that they held another, whose results are there. A ruling was made before, and a trainee claims what they learned elsewhere.
func (s *story) standardise(ctx context.Context) error {
	assurer := s.people["rathmell"]
	if err := s.standardised(ctx); err != nil {
		return err
	}
	s.at(2, 17, 0)
	briefs, err := s.app.Briefs(ctx, assurer)
	if err != nil {
		return fmt.Errorf("list the briefs: %w", err)
	}
	for _, b := range briefs {
		choices, err := s.app.StandardisationChoices(ctx, assurer, b.Brief, b.Version)
		if err != nil {
			return fmt.Errorf("list what may be judged blind: %w", err)
		}
		if len(choices.Attempts) < 2 {
			continue
		}
		var attempts []uuid.UUID
		for _, c := range choices.Attempts[:2] {
			attempts = append(attempts, c.Attempt)
		}
		id, err := s.app.Standardise(ctx, assurer, app.NewStandardisation{
			Title: "How much evidence is enough", Words: "Judge what is there, not what you know of the trainee.", Brief: b.Brief, Version: b.Version,
			Attempts: attempts, Judges: []uuid.UUID{assurer.Person, s.people["ellingham"].Person, s.people["aspinal"].Person},
		})
		if err != nil {
			return fmt.Errorf("set a standardisation: %w", err)
		}
		for _, attempt := range attempts {
			if err := s.judgeBlind(ctx, "rathmell", id, attempt, nil); err != nil {
				return err
			}
		}
		break
	}
	return s.ruleAndClaim(ctx)
}

// standardised is a standardisation that was held some days before: one of three differs, and something is to be done because of it.
func (s *story) standardised(ctx context.Context) error {
	assurer, b := s.people["rathmell"], s.briefs[0]
	s.at(9, 16, 0)
	choices, err := s.app.StandardisationChoices(ctx, assurer, b.id, b.version)
	if err != nil {
		return fmt.Errorf("list what may be judged blind: %w", err)
	}
	var attempts []uuid.UUID
	for _, c := range choices.Attempts {
		if c.State == decision.SignedOff {
			attempts = append(attempts, c.Attempt)
		}
	}
	id, err := s.app.Standardise(ctx, assurer, app.NewStandardisation{
		Title: "Three readings, or one", Words: "We read the criterion on measuring in two ways. Look at it afresh before we talk.", Brief: b.id, Version: b.version,
		Attempts: attempts, Judges: []uuid.UUID{assurer.Person, s.people["ellingham"].Person, s.people["aspinal"].Person},
	})
	if err != nil {
		return fmt.Errorf("set a standardisation: %w", err)
	}
	differs := &decision.Judgement{Criterion: "BSX-207/4.1", Outcome: decision.NotYetMet, Reason: "sufficient", Words: "One reading of the meter is in the photo. Where are the other two?"}
	for i, who := range []string{"rathmell", "ellingham", "aspinal"} {
		s.at(8, 12+i, 10)
		for _, attempt := range attempts {
			if err := s.judgeBlind(ctx, who, id, attempt, map[string]*decision.Judgement{"aspinal": differs}[who]); err != nil {
				return err
			}
		}
	}
	s.at(8, 16, 30)
	if err := s.app.CloseStandardisation(ctx, assurer, id); err != nil {
		return fmt.Errorf("close a standardisation: %w", err)
	}
	if err := s.app.ActOnStandardisation(ctx, assurer, id, app.Action{
		Attempt: attempts[len(attempts)-1], Owner: s.people["ellingham"].Person, Due: s.base.AddDate(0, 0, 10),
		Words: "Ask for a photo of each of the three readings, and keep them with this work.",
	}); err != nil {
		return fmt.Errorf("ask for something to be done: %w", err)
	}
	return nil
}

// judgeBlind has somebody find every criterion of an attempt met, but for one that differs (nil for none). Those who had part in it do
// not judge it.
func (s *story) judgeBlind(ctx context.Context, who string, id, attempt uuid.UUID, differs *decision.Judgement) error {
	judge := s.people[who]
	b, err := s.app.BlindSheet(ctx, judge, id, attempt)
	if fault.KindOf(err) == fault.KindNotFound {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read what is judged blind: %w", err)
	}
	var js []decision.Judgement
	for _, k := range b.Sheet.Criteria {
		j := decision.Judgement{Criterion: k.Ref, Outcome: decision.Met, Words: "The photos and the readings bear it."}
		if differs != nil && differs.Criterion == k.Ref {
			j = *differs
		}
		js = append(js, j)
	}
	if err := s.app.JudgeBlind(ctx, judge, id, attempt, js); err != nil {
		return fmt.Errorf("judge blind: %w", err)
	}
	return nil
}

// ruleAndClaim makes a ruling on the first criterion of the first unit, and has a trainee claim the second by prior learning.
func (s *story) ruleAndClaim(ctx context.Context) error {
	assurer, trainee := s.people["rathmell"], s.people["wren"]
	units, err := s.app.Units(ctx, assurer)
	if err != nil {
		return fmt.Errorf("list the units: %w", err)
	}
	unit := units[0]
	if len(unit.Outcomes) == 0 || len(unit.Outcomes[0].Criteria) < 2 {
		return fmt.Errorf("unit %s has too few criteria to rule on one and claim another", unit.Code)
	}
	first, second := unit.Code+"/"+unit.Outcomes[0].Criteria[0].Code, unit.Code+"/"+unit.Outcomes[0].Criteria[1].Code
	ruling, err := s.app.MakeRuling(ctx, assurer, app.NewRuling{
		Criterion: first, Words: "One photo from the door and one close by: a close one alone does not show where it is.", Doubts: "met",
		EffectiveOn: s.base.UTC().Truncate(24 * time.Hour),
	})
	if err != nil {
		return fmt.Errorf("make a ruling: %w", err)
	}
	if err := s.app.ActOnRuling(ctx, assurer, ruling, app.Action{
		Owner: s.people["aspinal"].Person, Due: s.base.AddDate(0, 0, 12), Words: "Show both kinds of photo to the evening cohort before its next task.",
	}); err != nil {
		return fmt.Errorf("ask for something to be done: %w", err)
	}
	if _, err := s.app.ClaimPrior(ctx, trainee, app.NewPrior{
		Trainee: trainee.Person, Unit: unit.Code, Criteria: []string{second}, Words: "Two years with a heating firm, with a letter from the owner.",
	}); err != nil {
		return fmt.Errorf("claim prior learning: %w", err)
	}
	return s.recognise(ctx)
}

// recognise has another trainee claim two criteria, which a tutor finds met: the quality assurer has looked at one of them.
func (s *story) recognise(ctx context.Context) error {
	trainee, tutor, assurer := s.people["idris"], s.people["ellingham"], s.people["rathmell"]
	units, err := s.app.Units(ctx, assurer)
	if err != nil {
		return fmt.Errorf("list the units: %w", err)
	}
	unit := units[0]
	refs := []string{unit.Code + "/" + unit.Outcomes[0].Criteria[0].Code, unit.Code + "/" + unit.Outcomes[0].Criteria[1].Code}
	s.at(7, 9, 0)
	id, err := s.app.ClaimPrior(ctx, trainee, app.NewPrior{
		Trainee: trainee.Person, Unit: unit.Code, Criteria: refs, Words: "A year on heating plant in the merchant fleet, with the chief engineer’s record of what I did.",
	})
	if err != nil {
		return fmt.Errorf("claim prior learning: %w", err)
	}
	proof, err := s.photo(picture.Shot{Scene: picture.Joints, Number: 1, Name: trainee.Name}, s.now)
	if err != nil {
		return err
	}
	if err := s.app.AddPriorFile(ctx, trainee, id, "record of work.jpg", bytes.NewReader(proof)); err != nil {
		return fmt.Errorf("add what proves prior learning: %w", err)
	}
	for _, ref := range refs {
		s.now = s.now.Add(time.Hour)
		if err := s.app.DecidePrior(ctx, tutor, id, ref, decision.Met, "The record names the plant and the days, and the photo shows the joints."); err != nil {
			return fmt.Errorf("decide on prior learning: %w", err)
		}
	}
	s.at(6, 15, 0)
	if err := s.app.LookAtPrior(ctx, assurer, id, app.LookPrior{Criteria: refs[:1], Outcome: decision.Agree, Words: "Signed by the chief engineer, who answered my letter."}); err != nil {
		return fmt.Errorf("look at prior learning: %w", err)
	}
	return nil
}
