package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// InvitationsPage is the invitations of a cohort, to be printed, cut apart and handed out.
type InvitationsPage struct {
	Frame
	Cohort      string // its address
	Invitations []PrintedInvitation
}

func (*InvitationsPage) template() string { return "invitations" }

// Letters is how many of them are sent as well.
func (p *InvitationsPage) Letters() int {
	n := 0
	for _, i := range p.Invitations {
		if i.Sent != "" {
			n++
		}
	}
	return n
}

// PrintedInvitation is one strip of the page.
type PrintedInvitation struct {
	InvitationLink
	SignInName string
}

// inviteCohort answers directly, without a redirect: the tokens are kept nowhere.
func (u *UI) inviteCohort(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	list, err := u.app.InviteCohort(c.Request().Context(), who, id)
	if err != nil {
		return u.again(c, err, "invite", func(f Form) error { return u.showMembers(c, who, f) })
	}
	p := &InvitationsPage{Frame: Frame{Title: "Invitations", Here: "/cohorts"}, Cohort: "/cohorts/" + id.String() + "/members"}
	for _, x := range list {
		p.Invitations = append(p.Invitations, PrintedInvitation{*u.link(c, x.Invitation), x.SignInName})
	}
	return u.render(c, who, 200, p)
}
