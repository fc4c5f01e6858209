package app

import (
	"context"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Limits on a tutor's stock remarks; the length is in characters.
const (
	remarksMost      = 50
	stockRemarkMost  = 500
	stockRemarksSaid = "Keep at most 50 remarks, each of at most 500 letters."
)

// StockRemarks lists the remarks that the caller keeps to put in while marking, in their order.
func (a *App) StockRemarks(ctx context.Context, c account.Caller) ([]string, error) {
	if err := account.May(c, account.Decide, account.Teaches); err != nil {
		return nil, err
	}
	return a.db.StockRemarks(ctx, c.Centre, c.Person)
}

// KeepStockRemarks puts the remarks in place of those that the caller kept. Empty ones are left out.
func (a *App) KeepStockRemarks(ctx context.Context, c account.Caller, remarks []string) error {
	if err := account.May(c, account.Decide, account.Teaches); err != nil {
		return err
	}
	var kept []string
	for _, r := range remarks {
		r = strings.Join(strings.Fields(r), " ")
		switch {
		case r == "":
			continue
		case utf8.RuneCountInString(r) > stockRemarkMost || strings.ContainsFunc(r, unkept) || len(kept) == remarksMost:
			return fault.Invalid("remarks", stockRemarksSaid)
		}
		kept = append(kept, r)
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.KeepStockRemarks(ctx, c.Person, kept) })
}

// NextWaiting is the attempt that the caller goes on to after one that they judge: the longest wait after its own, and after
// the last the first again. Where nothing else waits it is zero. With it come the caller's stock remarks.
func (a *App) NextWaiting(ctx context.Context, c account.Caller, after uuid.UUID) (store.NextUp, []string, error) {
	if err := account.May(c, account.Decide, account.Teaches); err != nil {
		return store.NextUp{}, nil, err
	}
	return a.db.NextWaiting(ctx, c.Centre, c.Person, after)
}
