package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// CentreWaits counts what waits at each place of the centre that is nobody's bench. Who may go on to a place is said there.
func (a *App) CentreWaits(ctx context.Context, c account.Caller) (store.CentreWaits, error) {
	if err := account.May(c, account.SeeCentre); err != nil {
		return store.CentreWaits{}, err
	}
	return a.db.CentreWaits(ctx, c.Centre, date(a.today()))
}
