package seed

import (
	"context"
	"fmt"
	"slices"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// leave withdraws a trainee who never began.
func (s *story) leave(ctx context.Context) error {
	s.at(6, 10, 15)
	_, err := s.app.WithdrawTrainee(ctx, s.people["farrowby"], s.people["malin"].Person, app.NewLeaver{LeftOn: s.base.AddDate(0, 0, -8), Words: "She has moved away and goes on at another centre."})
	if err != nil {
		return fmt.Errorf("withdraw a trainee: %w", err)
	}
	return nil
}

// register enters the trainees' registrations with the awarding organisation, one of them late, what entitles
// the tutors to decide alone and the quality assurer to stand behind decisions and to sample, and a conflict of interest.
func (s *story) register(ctx context.Context) error {
	manager := s.people["farrowby"]
	var names []string
	for name, p := range s.people {
		if p.Has(account.Trainee) {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	day := s.base.AddDate(0, 0, -60)
	for i, name := range names {
		n := app.NewAwardRegistration{Number: fmt.Sprintf("HBS-26-%04d", 118+i), RegisteredOn: day}
		if name == "chidera" {
			n.RegisteredOn = s.base.AddDate(0, 0, -1)
		}
		if _, err := s.app.AddAwardRegistration(ctx, manager, s.people[name].Person, n); err != nil {
			return fmt.Errorf("register %s: %w", name, err)
		}
	}
	for _, g := range []struct {
		who, kind, number string
		years             int // since when
	}{
		{"ellingham", account.AssessorAward, "Assessor of work in the workplace, 4410-2", 3},
		{"aspinal", account.AssessorAward, "Assessor of work in the workplace, 4410-7", 1},
		{"rathmell", account.AssessorAward, "Assessor of work in the workplace, 4409-5", 8},
		{"rathmell", account.AssurerAward, "Quality assurer of assessment, 5102-1", 5},
	} {
		n := app.NewRegistration{Kind: g.kind, Number: g.number, From: day.AddDate(-g.years, 0, 0)}
		if err := s.app.AddRegistration(ctx, manager, s.people[g.who].Person, n); err != nil {
			return fmt.Errorf("enter an award of %s: %w", g.who, err)
		}
		c, err := s.app.Caller(ctx, s.centre, s.people[g.who].Person)
		if err != nil {
			return err
		}
		s.people[g.who] = c
	}
	if _, err := s.app.DeclareConflict(ctx, s.people["ellingham"], s.people["ellingham"].Person, s.people["hakon"].Person, "Håkon is my sister’s son."); err != nil {
		return fmt.Errorf("declare a conflict of interest: %w", err)
	}
	return nil
}
