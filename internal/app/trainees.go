package app

import (
	"context"
	"slices"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// PortfolioTrainees lists the trainees whose portfolios the caller may ask for, by name: everybody's, or for a tutor those
// of the cohorts that they teach.
func (a *App) PortfolioTrainees(ctx context.Context, c account.Caller) ([]store.Person, error) {
	everybody := account.May(c, account.BuildPortfolio) == nil
	taught := map[uuid.UUID]bool{}
	if !everybody {
		cohorts, err := a.Cohorts(ctx, c)
		if err != nil {
			return nil, err
		}
		for _, k := range cohorts {
			whole, err := a.Cohort(ctx, c, k.ID)
			if err != nil {
				return nil, err
			}
			for _, m := range slices.Concat(whole.Trainees, whole.Left) {
				taught[m.Person] = true
			}
		}
	}
	people, err := a.db.People(ctx, c.Centre)
	if err != nil {
		return nil, err
	}
	var trainees []store.Person
	for _, p := range people {
		if p.Caller().Has(account.Trainee) && (everybody || taught[p.ID]) {
			trainees = append(trainees, p)
		}
	}
	return trainees, nil
}
