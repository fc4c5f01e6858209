package seed

import (
	"context"
	"fmt"
	"slices"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// register enters the trainees' registrations with the awarding organisation, one of them late, an award of one of the two
// tutors, and a conflict of interest.
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
	award := app.NewRegistration{Kind: account.AssessorAward, Number: "Assessor of work in the workplace, 4410-2", From: day.AddDate(-3, 0, 0)}
	if err := s.app.AddRegistration(ctx, manager, s.people["ellingham"].Person, award); err != nil {
		return fmt.Errorf("enter an award: %w", err)
	}
	if _, err := s.app.DeclareConflict(ctx, s.people["ellingham"], s.people["ellingham"].Person, s.people["hakon"].Person, "Håkon is my sister’s son."); err != nil {
		return fmt.Errorf("declare a conflict of interest: %w", err)
	}
	return nil
}
