package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// Waiting lists what waits for the caller, the longest wait first.
func (a *App) Waiting(ctx context.Context, c account.Caller) ([]store.Waiting, error) {
	if err := account.May(c, account.Decide, account.Teaches); err != nil {
		return nil, err
	}
	return a.db.WaitingFor(ctx, c.Centre, c.Person)
}
