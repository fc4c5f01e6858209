package ui

import (
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// VisitsPage lists verifiers' visits and arranges one.
type VisitsPage struct {
	Frame
	Visits    []VisitRow
	Form      Form
	Link      *InvitationLink // shown once, right after it was made
	Verifiers []Option
	Units     []Option
	Cohorts   []Option
}

func (*VisitsPage) template() string { return "visits" }

// VisitRow is one visit.
type VisitRow struct {
	app.Visit
	Now time.Time
}

// State says how it stands with the visit.
func (r VisitRow) State() string {
	switch {
	case !r.EndedAt.IsZero():
		return "ended by " + r.EndedByName + ", " + day(r.EndedAt)
	case !r.Now.Before(r.EndsAt):
		return "over since " + day(r.EndsAt)
	case r.OpenedAt.IsZero():
		return "not opened yet"
	}
	return "open since " + day(r.OpenedAt)
}

// Runs says whether the visit is under way.
func (r VisitRow) Runs() bool { return r.Visit.Runs(r.Now) }

// LastDay is the day on which it ends.
func (r VisitRow) LastDay() time.Time { return r.EndsAt.Add(-time.Minute) }

func (u *UI) visits(c echo.Context, who account.Caller) error {
	return u.showVisits(c, who, Form{}, nil)
}

func (u *UI) showVisits(c echo.Context, who account.Caller, f Form, link *InvitationLink) error {
	ctx := c.Request().Context()
	visits, err := u.app.Visits(ctx, who)
	if err != nil {
		return err
	}
	choices, err := u.app.VisitChoices(ctx, who)
	if err != nil {
		return err
	}
	p := &VisitsPage{Frame: Frame{Title: "Visits", Here: "/centre"}, Form: f.For("visit"), Link: link}
	for _, v := range visits {
		p.Visits = append(p.Visits, VisitRow{v, u.now()})
	}
	p.Verifiers = append([]Option{{Text: "somebody new, named below"}}, namedOptions(choices.Verifiers)...)
	for _, x := range choices.Units {
		p.Units = append(p.Units, Option{Value: x.Code, Text: x.Code + " " + x.Title})
	}
	p.Cohorts = []Option{{Text: "every cohort"}}
	for _, k := range choices.Cohorts {
		p.Cohorts = append(p.Cohorts, Option{Value: k.ID.String(), Text: k.Name})
	}
	return u.render(c, who, f.Status(), p)
}

// namedOptions is people to choose from.
func namedOptions(people []app.Named) []Option {
	var os []Option
	for _, x := range people {
		os = append(os, Option{Value: x.ID.String(), Text: x.Name})
	}
	return os
}

type visitForm struct {
	Verifier uuid.UUID `form:"verifier"`
	Name     string    `form:"name" validate:"max=200" say:"Give the verifier's name, at most 200 letters."`
	Email    string    `form:"email"`
	Unit     string    `form:"unit" validate:"required,max=100" say:"Choose a unit."`
	Cohort   uuid.UUID `form:"cohort"`
	Words    string    `form:"words" validate:"required" say:"Say what the visit is for."`
	EndsOn   time.Time `form:"ends_on" validate:"required" say:"Choose the visit's last day."`
	List     string    `form:"list" validate:"omitempty,oneof=all chosen" say:"Say what is on the list."`
}

func (u *UI) arrangeVisit(c echo.Context, who account.Caller) error {
	var f visitForm
	var inv app.Invitation
	err := u.read(c, &f)
	if err == nil {
		_, inv, err = u.app.ArrangeVisit(c.Request().Context(), who, app.NewVisit{
			Verifier: f.Verifier, Name: f.Name, Email: f.Email, Unit: f.Unit, Cohort: f.Cohort, Words: f.Words, EndsOn: f.EndsOn, Listed: f.List == "all",
		})
	}
	if err != nil {
		return u.again(c, err, "visit", func(form Form) error { return u.showVisits(c, who, form, nil) })
	}
	return u.showVisits(c, who, Form{}, visitLink(c, inv))
}

// visitLink makes the address that opens a visit. It is answered directly, without a redirect: the token is kept nowhere.
func visitLink(c echo.Context, inv app.Invitation) *InvitationLink {
	return &InvitationLink{Name: inv.Name, Address: c.Scheme() + "://" + c.Request().Host + "/visit/open/" + inv.Token, Expires: inv.Expires}
}

// VisitReportPage is all that is kept of a visit.
type VisitReportPage struct {
	Frame
	Report app.VisitReport
	Row    VisitRow
	Link   *InvitationLink
	Form   Form // that asks for the portfolios
}

func (*VisitReportPage) template() string { return "visitreport" }

// LookedWords is what was looked at.
func (*VisitReportPage) LookedWords(l app.VisitLook) string {
	return map[app.VisitLook]string{"opened": "opened the visit", "list": "read the list", "attempt": "read the attempt", "file": "looked at a file", "portfolio": "downloaded the portfolio", "log": "looked at the decision log"}[l]
}

// FindingWords is a finding as people read it.
func FindingWords(f app.VisitFinding) string {
	return map[app.VisitFinding]string{"confirmed": "confirmed", "not_confirmed": "not confirmed", "remark": "remark"}[f]
}

// FindingWords is a finding as people read it.
func (*VisitReportPage) FindingWords(f app.VisitFinding) string { return FindingWords(f) }

func (u *UI) visitReport(c echo.Context, who account.Caller) error {
	return u.showVisitReport(c, who, nil, Form{})
}

func (u *UI) showVisitReport(c echo.Context, who account.Caller, link *InvitationLink, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	r, err := u.app.VisitReport(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &VisitReportPage{
		Frame: Frame{Title: "Visit: " + r.VerifierName, Here: "/centre"}, Report: r, Row: VisitRow{r.Visit, u.now()}, Link: link, Form: f.For("portfolios"),
	}
	if p.Building() && link == nil { // a link is shown only once
		p.Again = reload
	}
	return u.render(c, who, f.Status(), p)
}

// Building says whether portfolios of its list are being put together.
func (p *VisitReportPage) Building() bool {
	return len(p.Report.Sets) > 0 && p.Report.Sets[0].Left() > 0
}

func (u *UI) requestVisitPortfolios(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if _, err := u.app.RequestVisitPortfolios(c.Request().Context(), who, id); err != nil {
		return u.again(c, err, "portfolios", func(form Form) error { return u.showVisitReport(c, who, nil, form) })
	}
	return u.taken(c, "/visits/"+id.String()+"#portfolios", "The portfolios are being put together, several at once; you may leave this page.")
}

func (u *UI) relinkVisit(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	inv, err := u.app.RelinkVisit(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.showVisitReport(c, who, visitLink(c, inv), Form{})
}

func (u *UI) endVisit(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err := u.app.EndVisit(c.Request().Context(), who, id); err != nil {
		return err
	}
	return u.taken(c, "/visits/"+id.String(), "The visit is ended. The verifier sees nothing more; their record stays.")
}
