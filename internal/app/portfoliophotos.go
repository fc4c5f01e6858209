package app

import (
	"context"
	"slices"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// PhotoChoice is how photos stand in a centre's portfolios.
type PhotoChoice = portfolio.Photos

// PhotoChoices lists the ways, the usual one first.
func PhotoChoices() []PhotoChoice { return portfolio.Choices() }

// PortfolioPhotos says how photos stand in the centre's portfolios.
func (a *App) PortfolioPhotos(ctx context.Context, c account.Caller) (PhotoChoice, error) {
	if err := account.May(c, account.ChoosePhotos); err != nil {
		return "", err
	}
	k, err := a.db.Centre(ctx, c.Centre)
	return PhotoChoice(k.PortfolioPhotos), err
}

// ChoosePortfolioPhotos says how they stand in those that are made from now on.
func (a *App) ChoosePortfolioPhotos(ctx context.Context, c account.Caller, photos PhotoChoice) error {
	if err := account.May(c, account.ChoosePhotos); err != nil {
		return err
	}
	if !slices.Contains(PhotoChoices(), photos) {
		return fault.Invalid("photos", "Choose one of the ways in the list.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.SetPortfolioPhotos(ctx, string(photos)) })
}
