package seed

import (
	"context"
	"fmt"

	"witnessmark/internal/app"
)

// visit has the quality assurer arrange an external verifier's visit to Bay 7, and the verifier open its link, look at the list
// and leave a note.
func (s *story) visit(ctx context.Context) error {
	s.at(1, 9, 30)
	_, link, err := s.app.ArrangeVisit(ctx, s.people["rathmell"], app.NewVisit{
		Name: "Ottoline Fenwarden", Unit: alter().Code, EndsOn: s.base.AddDate(0, 0, 13), Listed: true,
		Words: "The yearly look at how work at Bay 7 is judged.",
	})
	if err != nil {
		return fmt.Errorf("arrange a visit: %w", err)
	}
	s.at(1, 11, 0)
	verifier, err := s.app.OpenVisit(ctx, link.Token)
	if err != nil {
		return fmt.Errorf("open the visit: %w", err)
	}
	my, err := s.app.MyVisit(ctx, verifier, 0)
	if err != nil {
		return fmt.Errorf("read the visit's list: %w", err)
	}
	s.at(1, 11, 20)
	first := my.Attempts[0].ID
	if _, err := s.app.VisitSheet(ctx, verifier, first); err != nil {
		return fmt.Errorf("read the visit's first attempt: %w", err)
	}
	if err := s.app.NoteOnVisit(ctx, verifier, first, "confirmed", "Each criterion can be followed to a photo or a reading."); err != nil {
		return fmt.Errorf("leave a note: %w", err)
	}
	return nil
}
