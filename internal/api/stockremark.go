package api

import (
	"context"

	"witnessmark/internal/account"
)

// StockRemarks are the remarks that a tutor keeps to put in while marking, in their order. One that begins with valid,
// authentic, current, sufficient or safe and a colon chooses that reason as well.
type StockRemarks struct {
	Remarks []string `json:"remarks" validate:"required,max=50,dive,max=500"`
}

func (s *service) stockRemarks(ctx context.Context, who account.Caller, _, _, _ none) (StockRemarks, error) {
	remarks, err := s.app.StockRemarks(ctx, who)
	return StockRemarks{append([]string{}, remarks...)}, err
}

func (s *service) keepStockRemarks(ctx context.Context, who account.Caller, _, _ none, b StockRemarks) (none, error) {
	return none{}, s.app.KeepStockRemarks(ctx, who, b.Remarks)
}
