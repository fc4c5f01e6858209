package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// ForgottenPage is for somebody who cannot sign in.
type ForgottenPage struct {
	Frame
	Form    Form
	Letters bool // the program can write to people
	Asked   bool // a link was asked for just now
}

func (*ForgottenPage) template() string { return "forgotten" }

func (u *UI) showForgotten(c echo.Context, _ account.Caller) error {
	return u.renderForgotten(c, Form{}, false)
}

func (u *UI) renderForgotten(c echo.Context, f Form, asked bool) error {
	p := &ForgottenPage{Frame: Frame{Title: "I cannot sign in"}, Form: f.For("forgotten"), Letters: u.app.SendsLetters(), Asked: asked}
	return u.render(c, account.Caller{}, f.Status(), p)
}

type forgottenForm struct {
	Name string `form:"name" validate:"required,max=200" say:"Type your sign-in name."`
}

// askForLink answers the same whether anybody signs in with the name or not.
func (u *UI) askForLink(c echo.Context, _ account.Caller) error {
	var f forgottenForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.AskForLink(c.Request().Context(), f.Name)
	}
	if err != nil {
		return u.again(c, err, "forgotten", func(form Form) error { return u.renderForgotten(c, form, false) })
	}
	return u.renderForgotten(c, Form{}, true)
}
