package ui

import (
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

type signOffForm struct {
	Revision int    `form:"revision"`
	Password string `form:"password" validate:"required" say:"Type your password: it is your signature."`
	Words    string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) signOff(c echo.Context, who account.Caller) error {
	var f signOffForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.SignOff(c.Request().Context(), who, id, f.Revision, f.Password, f.Words)
	}
	return u.sheetForm(c, who, err, "sign-off", "", "Signed off.")
}

type moreForm struct {
	Revision int       `form:"revision"`
	Good     string    `form:"good" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Missing  string    `form:"missing" validate:"max=4000" say:"Shorten this to 4000 letters."`
	ToDo     string    `form:"to_do" validate:"max=4000" say:"Shorten this to 4000 letters."`
	By       time.Time `form:"by" say:"Write the day as year-month-day."`
}

func (u *UI) moreToDo(c echo.Context, who account.Caller) error {
	var f moreForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		m := decision.More{Good: f.Good, Missing: f.Missing, ToDo: f.ToDo}
		err = u.app.AskForMore(c.Request().Context(), who, id, f.Revision, m, f.By)
	}
	return u.sheetForm(c, who, err, "more", "", "Sent back. The next attempt is planned, and keeps what is met.")
}
