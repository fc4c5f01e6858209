package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/store"
)

// SmallFiles is what stands beside attempts, as far as the caller may see it: of each list the same page.
type SmallFiles struct {
	OnAttempts []store.SmallFile // adjustments and appeals, the newest first
	Priors     []store.Prior     // what waits for a decision first
	Inquiries  []store.Inquiry   // that name the caller
	Page       Page              // of the longest list
}

// SmallFiles lists adjustments, appeals, prior learning and inquiries: a tutor sees those of their cohorts, and of inquiries everybody
// sees only those that name them. Page counts from 1; of a list that has ended before, it has nothing.
func (a *App) SmallFiles(ctx context.Context, c account.Caller, page int) (SmallFiles, error) {
	var f SmallFiles
	err := account.May(c, account.SeeFiles)
	if err != nil {
		return f, err
	}
	own := account.May(c, account.SeePrior) != nil
	var in [3]int
	if f.OnAttempts, in[0], err = a.db.SmallFiles(ctx, c.Centre, c.Person, own, spanOf(page)); err != nil {
		return f, err
	}
	if f.Priors, in[1], err = a.db.Priors(ctx, c.Centre, c.Person, own, spanOf(page)); err != nil {
		return f, err
	}
	f.Inquiries, in[2], err = a.db.Inquiries(ctx, c.Centre, c.Person, spanOf(page))
	f.Page, _ = pageOf(page, listPage, max(in[0], in[1], in[2]))
	return f, err
}
