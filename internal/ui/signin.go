package ui

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// SignInPage is the form to sign in.
type SignInPage struct {
	Frame
	Form Form
	Next string // the page wanted
}

func (*SignInPage) template() string { return "sign-in" }

// InvitationPage lets an invited person choose their password.
type InvitationPage struct {
	Frame
	Form       Form
	Token      string
	Invited    string
	SignInName string
}

func (*InvitationPage) template() string { return "invitation" }

type signInForm struct {
	Name     string `form:"name" validate:"required,max=200" say:"Type your sign-in name."`
	Password string `form:"password" validate:"required,max=1024" say:"Type your password."`
	Next     string `form:"next"`
}

// home sends people on to where their work is.
func (u *UI) home(c echo.Context, who account.Caller) error {
	to := "/portfolios"
	if ps := places(who, ""); len(ps) > 0 {
		to = ps[0].Address
	}
	if who.Has(account.ExternalVerifier) {
		to = "/visit"
	}
	if who.Has(account.Manager) && !who.Has(account.Trainee) && !who.Has(account.Tutor) {
		to = "/people"
	}
	return c.Redirect(http.StatusSeeOther, to)
}

func (u *UI) showSignIn(c echo.Context, who account.Caller) error {
	next := samePage(c.QueryParam("next"))
	if who.Centre != 0 {
		return c.Redirect(http.StatusSeeOther, next)
	}
	return u.renderSignIn(c, next, Form{})
}

func (u *UI) renderSignIn(c echo.Context, next string, f Form) error {
	p := &SignInPage{Frame: Frame{Title: "Sign in", Notice: u.sessions.Said(c.Request().Context())}, Form: f.For("sign-in"), Next: next}
	return u.render(c, account.Caller{}, f.Status(), p)
}

func (u *UI) signIn(c echo.Context, _ account.Caller) error {
	var f signInForm
	ctx := c.Request().Context()
	err := u.read(c, &f)
	if err == nil {
		var who account.Caller
		if who, err = u.app.SignIn(ctx, f.Name, f.Password); err == nil {
			err = u.sessions.Start(ctx, who)
		}
	}
	if err != nil {
		return u.again(c, err, "sign-in", func(form Form) error { return u.renderSignIn(c, samePage(f.Next), form) })
	}
	return u.taken(c, samePage(f.Next), "")
}

func (u *UI) signOut(c echo.Context, _ account.Caller) error {
	if err := u.sessions.End(c.Request().Context()); err != nil {
		return err
	}
	// The browser's own copies of pages go, and what it holds ready to go back to. What waits to be sent is in storage and
	// stays under its person's name.
	c.Response().Header().Set("Clear-Site-Data", `"cache"`)
	return c.Redirect(http.StatusSeeOther, "/sign-in")
}

func (u *UI) showInvitation(c echo.Context, _ account.Caller) error {
	return u.renderInvitation(c, Form{})
}

func (u *UI) renderInvitation(c echo.Context, f Form) error {
	person, err := u.app.Invited(c.Request().Context(), c.Param("token"))
	if err != nil {
		return err
	}
	return u.render(c, account.Caller{}, f.Status(), &InvitationPage{
		Frame: Frame{Title: "Choose your password"}, Form: f.For("invitation"), Token: c.Param("token"), Invited: person.Name, SignInName: person.SignInName,
	})
}

type invitationForm struct {
	Password string `form:"password" validate:"required" say:"Choose a password."`
	Repeat   string `form:"repeat" validate:"eqfield=Password" say:"This is not the same password. Type it again."`
}

func (u *UI) acceptInvitation(c echo.Context, _ account.Caller) error {
	var f invitationForm
	ctx := c.Request().Context()
	err := u.read(c, &f)
	if err == nil {
		var who account.Caller
		if who, err = u.app.AcceptInvitation(ctx, c.Param("token"), f.Password); err == nil {
			err = u.sessions.Start(ctx, who)
		}
	}
	if err != nil {
		return u.again(c, err, "invitation", func(form Form) error { return u.renderInvitation(c, form) })
	}
	return u.taken(c, "/", "Your password is kept. You are signed in.")
}
