package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

func (u *UI) inviteAgain(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	inv, err := u.app.InviteAgain(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.showInvited(c, who, Form{}, u.link(c, inv))
}

// link makes the address of an invitation. It is answered directly, without a redirect: the token is kept nowhere.
func (u *UI) link(c echo.Context, inv app.Invitation) *InvitationLink {
	return &InvitationLink{Name: inv.Name, Address: c.Scheme() + "://" + c.Request().Host + "/invitation/" + inv.Token, Expires: inv.Expires, Sent: inv.Sent}
}

type allowForm struct {
	Allowed string `form:"allowed" validate:"oneof=yes no" say:"Choose whether they may sign in."`
}

func (u *UI) allowSignIn(c echo.Context, who account.Caller) error {
	var f allowForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.SetSignInAllowed(c.Request().Context(), who, id, f.Allowed == "yes")
	}
	return u.personForm(c, who, err, "allow", map[string]string{"yes": "They may sign in again.", "no": "They can no longer sign in, and are signed out everywhere."}[f.Allowed])
}
