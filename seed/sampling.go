package seed

import (
	"context"
	"fmt"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/sampling"
)

// disagree has the quality assurer sample work that is still being judged, and disagree with one criterion: the tutor has yet to decide
// it afresh.
func (s *story) disagree(ctx context.Context) error {
	assurer := s.people["rathmell"]
	s.at(2, 15, 0)
	id, drawn, err := s.drawnUnder(ctx, app.SamplingPlan{
		Name: "While it is judged", Stage: app.Interim, Share: 100, Weights: sampling.UsualWeights(),
		Words: "The first work at a brief that is new this year, before anything is signed off.",
	})
	if err != nil {
		return err
	}
	d := drawn[0]
	sampled, err := s.app.SampledAttempt(ctx, assurer, id, d.Attempt)
	if err != nil {
		return fmt.Errorf("read what was drawn: %w", err)
	}
	last := sampled.Criteria[len(sampled.Criteria)-1].Ref
	if err := s.app.SayOutcome(ctx, assurer, id, d.Attempt, d.Revision, app.SayOutcome{
		Outcome: decision.Disagree, Criteria: []string{last},
		Words: "The explanation names the pump and stops there. It does not say what shuts the boiler off, which the criterion asks for.",
	}); err != nil {
		return fmt.Errorf("disagree with a decision: %w", err)
	}
	return nil
}

// drawnUnder makes a plan and draws its first sample.
func (s *story) drawnUnder(ctx context.Context, n app.SamplingPlan) (uuid.UUID, []app.Drawn, error) {
	assurer := s.people["rathmell"]
	plan, err := s.app.AddSamplingPlan(ctx, assurer, n)
	if err != nil {
		return uuid.Nil, nil, fmt.Errorf("make a sampling plan: %w", err)
	}
	id, err := s.app.DrawSample(ctx, assurer, plan, 1)
	if err != nil {
		return uuid.Nil, nil, fmt.Errorf("draw a sample: %w", err)
	}
	w, err := s.app.Sample(ctx, assurer, id, 1)
	if err != nil {
		return uuid.Nil, nil, fmt.Errorf("read the sample: %w", err)
	}
	return id, w.Drawn, nil
}

// sample has the quality assurer make a plan, draw from what is signed off, and look at the first two: one is in order, of the other
// something is to be done. The rest waits.
func (s *story) sample(ctx context.Context) error {
	assurer := s.people["rathmell"]
	s.at(2, 16, 0)
	id, drawn, err := s.drawnUnder(ctx, app.SamplingPlan{
		Name: "Heating, this term", Stage: app.Final, Share: 25, Weights: sampling.UsualWeights(),
		Words: "The briefs are new this year, and two of the tutors have not been sampled before.",
	})
	if err != nil {
		return err
	}
	said := []app.SayOutcome{
		{Outcome: decision.AgreeWithAction, Words: "The readings bear it. The label of the meter cannot be read in the photo.",
			Action: "Ask for the meter’s label to be in the picture, from the next task on."},
		{Outcome: decision.Agree},
	}
	for _, d := range drawn {
		if d.HadPart || len(said) == 0 {
			continue
		}
		o := said[0]
		said = said[1:]
		if o.Outcome == decision.AgreeWithAction {
			o.Owner, o.Due = d.Assessor, s.base.AddDate(0, 0, 14)
		}
		if err := s.app.SayOutcome(ctx, assurer, id, d.Attempt, d.Revision, o); err != nil {
			return fmt.Errorf("say what was found of %s: %w", d.TraineeName, err)
		}
	}
	return nil
}
