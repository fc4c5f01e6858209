package ui

import (
	"net/url"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// PeoplePage is who of the centre fits a search, a page of them.
type PeoplePage struct {
	Frame
	People     []PersonRow
	Find       []Field
	Searched   bool // for anything
	Pages      Paged
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
	Waits            bool   // their decisions wait for a countersignature
	Deciding         string // why they do or do not
	Me               bool
}

// InvitationLink is an invitation to be handed to the person.
type InvitationLink struct {
	Name, Address string
	Expires       time.Time
	Sent          string // the address that a letter with a link of its own goes to; "" for none
}

func (u *UI) people(c echo.Context, who account.Caller) error {
	return u.showPeople(c, who, Form{}, nil)
}

func (u *UI) showPeople(c echo.Context, who account.Caller, f Form, link *InvitationLink) error {
	pages := newPaged(c, "/people")
	only := url.Values{}
	for _, name := range []string{"find", "cohort", "unit"} {
		if value := strings.TrimSpace(c.QueryParam(name)); value != "" {
			only.Set(name, value)
		}
	}
	asked := app.PeopleSearch{Words: only.Get("find"), Unit: only.Get("unit"), Page: pages.Page}
	asked.Cohort, _ = uuid.Parse(only.Get("cohort")) // what is no cohort stands for all of them
	found, err := u.app.FindPeople(c.Request().Context(), who, asked)
	if err != nil {
		return err
	}
	p := &PeoplePage{Frame: Frame{Title: "People", Here: "/people"}, Form: f, Roles: account.Roles(), Invitation: link, Find: findFields(only, found), Searched: len(only) > 0}
	p.Pages = Paged{Address: "/people", Page: found.Page.Number, Of: found.Page.Of, All: found.All}
	if p.Searched {
		p.Pages.Address += "?" + only.Encode()
	}
	for _, x := range found.People {
		p.People = append(p.People, u.personRow(x, who))
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) personRow(x app.Person, who account.Caller) PersonRow {
	alone, why := u.app.Deciding(x)
	return PersonRow{
		ID: x.ID, Name: x.Name, SignInName: x.SignInName, Email: x.Email, Roles: x.Roles, Registrations: x.Registrations,
		Invited: x.PasswordHash == "", Stopped: x.DisabledAt, Waits: !alone, Deciding: why, Me: x.ID == who.Person,
	}
}

// findFields are what people are looked for by.
func findFields(asked url.Values, found app.PeopleFound) []Field {
	cohorts, units := []Option{{Text: "any"}}, []Option{{Text: "any"}}
	for _, t := range found.Cohorts {
		cohorts = append(cohorts, Option{Value: t.Key, Text: t.Title, Chosen: t.Key == asked.Get("cohort")})
	}
	for _, t := range found.Units {
		units = append(units, Option{Value: t.Key, Text: t.Key + " " + t.Title, Chosen: t.Key == asked.Get("unit")})
	}
	return []Field{
		{ID: "find", Name: "find", Label: "Name or address", Kind: "text", Value: asked.Get("find"), Auto: "off"},
		{ID: "find-cohort", Name: "cohort", Label: "Cohort", Kind: "select", Options: cohorts},
		{ID: "find-unit", Name: "unit", Label: "Unit", Kind: "select", Options: units},
	}
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

// ComesByLink says whether a visit's link is all that the person needs.
func (r PersonRow) ComesByLink() bool {
	return len(r.Roles) == 1 && r.Roles[0] == account.ExternalVerifier
}

// Tutor says whether the person decides on trainees' work.
func (r PersonRow) Tutor() bool { return slices.Contains(r.Roles, account.Tutor) }

// State says how it stands with the person's sign-in.
func (r PersonRow) State() string {
	switch {
	case !r.Stopped.IsZero():
		return "stopped " + day(r.Stopped)
	case r.Invited && r.ComesByLink():
		return "comes by a visit’s link"
	case r.Invited:
		return "invited, no password yet"
	}
	return "may sign in"
}
