package app

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/trade"
)

// TradeSubject is a chapter of the reference of functions.
type TradeSubject = trade.Subject

// TradeEntry is one function of it.
type TradeEntry = trade.Entry

// Reference is every function that a brief's formulas may call, by subject, for whoever may read briefs.
func (a *App) Reference(_ context.Context, c account.Caller) ([]TradeSubject, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	return trade.Subjects(), nil
}
