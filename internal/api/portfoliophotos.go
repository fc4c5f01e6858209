package api

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// PortfolioPhotos is how photos stand in the centre's portfolios.
type PortfolioPhotos struct {
	Photos app.PhotoChoice `json:"photos" validate:"required,oneof=previews uploaded uploaded_with_place" about:"As previews, as they were uploaded but for what the camera wrote beside the picture, or with that too."`
}

func (s *service) portfolioPhotos(ctx context.Context, who account.Caller, _ none, _ none, _ none) (PortfolioPhotos, error) {
	photos, err := s.app.PortfolioPhotos(ctx, who)
	return PortfolioPhotos{photos}, err
}

func (s *service) choosePortfolioPhotos(ctx context.Context, who account.Caller, _ none, _ none, b PortfolioPhotos) (none, error) {
	return none{}, s.app.ChoosePortfolioPhotos(ctx, who, b.Photos)
}
