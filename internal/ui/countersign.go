package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// Provisional says whether the decision waits for a countersignature.
func (k CriterionView) Provisional() bool {
	return k.Decision != nil && k.Decision.Provisional() && k.Behind() == nil
}

// Behind is the countersignature behind the decision; nil where there is none.
func (k CriterionView) Behind() *decision.Record {
	if k.Decision == nil {
		return nil
	}
	return decision.Countersigned(k.On.Records, *k.Decision)
}

type countersignForm struct {
	Revision int    `form:"revision"`
	Password string `form:"password" validate:"required" say:"Type your password: it is your signature."`
	Words    string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) countersign(c echo.Context, who account.Caller) error {
	var f countersignForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.Countersign(c.Request().Context(), who, id, f.Revision, f.Password, f.Words)
	}
	return u.sheetForm(c, who, err, "countersign", "", "Countersigned.")
}
