package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// photoChoices are the ways in which photos stand in portfolios, as a list to choose from.
func photoChoices() []Option {
	var all []Option
	for _, p := range app.PhotoChoices() {
		all = append(all, Option{Value: string(p), Text: p.Words()})
	}
	return all
}

type portfolioPhotosForm struct {
	Photos app.PhotoChoice `form:"photos" validate:"required,max=40" say:"Choose how photos stand in portfolios."`
}

func (u *UI) choosePortfolioPhotos(c echo.Context, who account.Caller) error {
	var f portfolioPhotosForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.ChoosePortfolioPhotos(c.Request().Context(), who, f.Photos)
	}
	if err != nil {
		return u.again(c, err, "photos", func(form Form) error { return u.showCentre(c, who, form) })
	}
	return u.taken(c, "/centre", "Kept. It holds for portfolios that are made from now on.")
}
