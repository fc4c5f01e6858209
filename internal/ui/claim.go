package ui

import (
	"bytes"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/table"
)

// ClaimsPage is where a unit and a cohort are chosen, and the claims that were made.
type ClaimsPage struct {
	Frame
	Units, Cohorts []Option
	Made           []app.ClaimMade
	Pages          Paged
}

func (*ClaimsPage) template() string { return "claims" }

func (u *UI) claims(c echo.Context, who account.Caller) error {
	pages := newPaged(c, "/claims")
	p, err := u.app.Claims(c.Request().Context(), who, pages.Page)
	if err != nil {
		return err
	}
	pages.All, pages.Of = p.All, p.Page.Of
	return u.render(c, who, 200, &ClaimsPage{Frame: Frame{Title: "Claims", Here: "/centre"}, Units: unitOptions(p.Units, ""), Cohorts: cohortOptions(p.Cohorts, ""), Made: p.Made, Pages: pages})
}

// ClaimablePage is who of some cohorts is ready for a certificate, and why the rest are not.
type ClaimablePage struct {
	Frame
	Claimable app.Claimable
	Form      Form
}

func (*ClaimablePage) template() string { return "claimable" }

// Whose names the cohorts.
func (p *ClaimablePage) Whose() string {
	switch names := p.Claimable.Names; len(names) {
	case 0:
		return "every cohort"
	case 1, 2, 3:
		return join(names)
	default:
		return count(len(names), "cohort", "cohorts")
	}
}

// FirstReady is those who can be claimed for at once.
func (p *ClaimablePage) FirstReady() []app.ClaimRow {
	return p.Claimable.Ready[:min(len(p.Claimable.Ready), app.ClaimAtOnce)]
}

// FirstRest and FirstClaimed are those that the page has room for.
func (p *ClaimablePage) FirstRest() []app.ClaimRow {
	return p.Claimable.Rest[:min(len(p.Claimable.Rest), listShown)]
}

// FirstClaimed is beside FirstRest.
func (p *ClaimablePage) FirstClaimed() []app.ClaimRow {
	return p.Claimable.ClaimedAt[:min(len(p.Claimable.ClaimedAt), listShown)]
}

// First says of a list that is longer than what is shown of it how much that is; "" where it is not.
func (*ClaimablePage) First(shown, of []app.ClaimRow) string {
	if len(shown) == len(of) {
		return ""
	}
	return fmt.Sprintf(", the first %d of them", len(shown))
}

// claimable shows who is ready, of the cohorts that are named or of every one.
func (u *UI) claimable(c echo.Context, who account.Caller) error {
	unit := c.QueryParam("unit")
	if unit == "" {
		return c.Redirect(http.StatusSeeOther, "/claims")
	}
	return u.showClaimable(c, who, unit, idsIn(c.QueryParams()["cohort"]), Form{})
}

func (u *UI) showClaimable(c echo.Context, who account.Caller, unit string, cohorts []uuid.UUID, f Form) error {
	claimable, err := u.app.Claimable(c.Request().Context(), who, unit, cohorts)
	if err != nil {
		return err
	}
	p := &ClaimablePage{Claimable: claimable, Form: f}
	p.Frame = Frame{Title: claimable.Unit.Code + " for " + p.Whose(), Here: "/centre"}
	return u.render(c, who, f.Status(), p)
}

type claimForm struct {
	Unit     string   `form:"unit"`
	Cohorts  []string `form:"cohort" validate:"max=1000"`
	Trainees []string `form:"trainees" validate:"max=1000"`
	Words    string   `form:"words"`
}

// idsIn are the ids among texts; what is no id names nobody.
func idsIn(texts []string) (ids []uuid.UUID) {
	for _, s := range texts {
		if id, err := uuid.Parse(s); err == nil {
			ids = append(ids, id)
		}
	}
	return ids
}

func (u *UI) makeClaim(c echo.Context, who account.Caller) error {
	var f claimForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		id, err = u.app.MakeClaim(c.Request().Context(), who, f.Unit, idsIn(f.Trainees), f.Words)
	}
	if err != nil {
		return u.again(c, err, "claim", func(form Form) error { return u.showClaimable(c, who, f.Unit, idsIn(f.Cohorts), form) })
	}
	return u.taken(c, "/claims/"+id.String(), "The claim is made.")
}

// ClaimPage is one claim.
type ClaimPage struct {
	Frame
	Claim app.ClaimMade
	Items []app.ClaimItem
}

func (*ClaimPage) template() string { return "claim" }

// RestsOn links to the attempts that a trainee's claim rests on, by their numbers from 1: some hundreds of links in all.
func (*ClaimPage) RestsOn(i app.ClaimItem) template.HTML {
	var b strings.Builder
	for n, id := range i.Attempts {
		if n > 0 {
			b.WriteString(", ")
		}
		fmt.Fprintf(&b, `<a href="/attempts/%s/mark-sheet">work %d</a>`, id, n+1)
	}
	return template.HTML(b.String())
}

// PriorLearning says which criteria a trainee's claim rests on by prior learning.
func (*ClaimPage) PriorLearning(i app.ClaimItem) string {
	switch {
	case i.Prior == nil:
		return "not kept then"
	case len(i.Prior) == 0:
		return "none"
	}
	return strings.Join(i.Prior, ", ")
}

func (u *UI) claim(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	m, items, err := u.app.Claim(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.render(c, who, 200, &ClaimPage{Frame{Title: "Claim of " + m.Unit + ", " + day(m.At), Here: "/centre"}, m, items})
}

func (u *UI) claimFile(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	m, items, err := u.app.Claim(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	var rows [][]string
	for _, i := range items {
		rows = append(rows, []string{i.Name, i.Number, m.Unit, m.Title, i.MetOn.Format(time.DateOnly), m.At.In(app.London()).Format(time.DateOnly), m.ByName, (&ClaimPage{}).PriorLearning(i)})
	}
	var b bytes.Buffer
	if err := table.Write(&b, []string{"trainee", "registration", "unit", "title", "met on", "claimed on", "claimed by", "by prior learning"}, rows); err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="claim-`+url.PathEscape(m.Unit)+`.csv"`)
	return c.Blob(http.StatusOK, "text/csv; charset=utf-8", b.Bytes())
}
