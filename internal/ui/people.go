package ui

import (
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// PeoplePage is everybody of the centre.
type PeoplePage struct {
	Frame
	People     []PersonRow
	Form       Form
	Roles      []account.Role
	Invitation *InvitationLink // shown once, right after it was made
}

func (*PeoplePage) template() string { return "people" }

// PersonRow is one person.
type PersonRow struct {
	ID               uuid.UUID
	Name, SignInName string
	Email            string
	Roles            []account.Role
	Registrations    []account.Registration
	Invited          bool // has not chosen a password yet
	Stopped          time.Time
	Countersigned    bool // their decisions wait for a countersignature
	Me               bool
}

// InvitationLink is an invitation to be handed to the person.
type InvitationLink struct {
	Name, Address string
	Expires       time.Time
}

func (u *UI) people(c echo.Context, who account.Caller) error {
	return u.showPeople(c, who, Form{}, nil)
}

func (u *UI) showPeople(c echo.Context, who account.Caller, f Form, link *InvitationLink) error {
	people, err := u.app.People(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &PeoplePage{Frame: Frame{Title: "People", Here: "/people"}, Form: f, Roles: account.Roles(), Invitation: link}
	for _, x := range people {
		p.People = append(p.People, PersonRow{
			ID: x.ID, Name: x.Name, SignInName: x.SignInName, Email: x.Email, Roles: x.Roles, Registrations: x.Registrations,
			Invited: x.PasswordHash == "", Stopped: x.DisabledAt, Countersigned: x.Countersigned, Me: x.ID == who.Person,
		})
	}
	return u.render(c, who, f.Status(), p)
}

type personForm struct {
	Name       string         `form:"name" validate:"required" say:"Give the person's name, at most 200 letters."`
	SignInName string         `form:"sign_in_name" validate:"required" say:"Give them a name to sign in with."`
	Email      string         `form:"email"`
	Roles      []account.Role `form:"roles" validate:"required,max=10" say:"Choose at least one role."`
}

func (u *UI) addPerson(c echo.Context, who account.Caller) error {
	var f personForm
	var inv app.Invitation
	err := u.read(c, &f)
	if err == nil {
		_, inv, err = u.app.AddPerson(c.Request().Context(), who, app.NewPerson{Name: f.Name, SignInName: f.SignInName, Email: f.Email, Roles: f.Roles})
	}
	if err != nil {
		return u.again(c, err, "person", func(form Form) error { return u.showPeople(c, who, form, nil) })
	}
	return u.showPeople(c, who, Form{}, u.link(c, inv))
}

func (u *UI) inviteAgain(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	inv, err := u.app.InviteAgain(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.showPeople(c, who, Form{}, u.link(c, inv))
}

// link makes the address of an invitation. It is answered directly, without a redirect: the token is kept nowhere.
func (u *UI) link(c echo.Context, inv app.Invitation) *InvitationLink {
	return &InvitationLink{Name: inv.Name, Address: c.Scheme() + "://" + c.Request().Host + "/invitation/" + inv.Token, Expires: inv.Expires}
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
	if err != nil {
		return u.again(c, err, "allow", func(form Form) error { return u.showPeople(c, who, form, nil) })
	}
	return u.taken(c, "/people", map[string]string{"yes": "They may sign in again.", "no": "They can no longer sign in, and are signed out everywhere."}[f.Allowed])
}

// Tutor says whether the person decides on trainees' work.
func (r PersonRow) Tutor() bool { return slices.Contains(r.Roles, account.Tutor) }

// State says how it stands with the person's sign-in.
func (r PersonRow) State() string {
	switch {
	case !r.Stopped.IsZero():
		return "stopped " + day(r.Stopped)
	case r.Invited:
		return "invited, no password yet"
	}
	return "may sign in"
}
