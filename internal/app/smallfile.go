package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// SmallFiles is what stands beside attempts, as far as the caller may see it.
type SmallFiles struct {
	OnAttempts []store.SmallFile // adjustments and appeals, the newest first
	Priors     []store.Prior     // what waits for a decision first
	Inquiries  []store.Inquiry   // that name the caller
}

// SmallFiles lists adjustments, appeals, prior learning and inquiries: a tutor sees those of their cohorts, and of inquiries everybody
// sees only those that name them.
func (a *App) SmallFiles(ctx context.Context, c account.Caller) (SmallFiles, error) {
	var f SmallFiles
	err := account.May(c, account.SeeFiles)
	if err != nil {
		return f, err
	}
	own := account.May(c, account.SeePrior) != nil
	if f.OnAttempts, err = a.db.SmallFiles(ctx, c.Centre, c.Person, own); err != nil {
		return f, err
	}
	if f.Priors, err = a.db.Priors(ctx, c.Centre, c.Person, own); err != nil {
		return f, err
	}
	f.Inquiries, err = a.db.Inquiries(ctx, c.Centre, c.Person)
	return f, err
}
