package ui

import (
	"context"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// VisitOpenPage says which visit a link opens. Only its button opens it: whatever follows links by itself changes nothing.
type VisitOpenPage struct {
	Frame
	Visit VisitRow
	Token string
}

func (*VisitOpenPage) template() string { return "visitopen" }

func (u *UI) showVisitLink(c echo.Context, _ account.Caller) error {
	v, err := u.app.VisitInvited(c.Request().Context(), c.Param("token"))
	if err != nil {
		return err
	}
	return u.render(c, account.Caller{}, 200, &VisitOpenPage{Frame: Frame{Title: "Open your visit"}, Visit: VisitRow{v, u.now()}, Token: c.Param("token")})
}

func (u *UI) openVisit(c echo.Context, _ account.Caller) error {
	ctx := c.Request().Context()
	who, err := u.app.OpenVisit(ctx, c.Param("token"))
	if err == nil {
		err = u.sessions.Start(ctx, who)
	}
	if err != nil {
		return err
	}
	return u.taken(c, "/visit", "")
}

// VisitPage is the visit as its verifier sees it.
type VisitPage struct {
	Frame
	My     app.MyVisit
	Row    VisitRow
	Pages  Paged
	Form   Form
	Owners []Option
}

func (*VisitPage) template() string { return "visit" }

// FindingWords is a finding as people read it.
func (*VisitPage) FindingWords(f app.VisitFinding) string { return FindingWords(f) }

// PortfoliosCut is how many portfolios are shown where there may be more; 0 where these are all.
func (p *VisitPage) PortfoliosCut() int {
	if n := len(p.My.Portfolios); n == app.VisitsMost {
		return n
	}
	return 0
}

// Paged is where a page of a long list stands.
type Paged struct {
	Address       string // with what was looked for
	Page, Of, All int    // from 1; how many things in all
}

// newPaged is the page that a request asks for, from 1.
func newPaged(c echo.Context, address string) Paged {
	n, err := strconv.Atoi(c.QueryParam("page"))
	if err != nil || n < 1 || n > 10_000 {
		n = 1
	}
	return Paged{Address: address, Page: n}
}

// over says how long the list is.
func (p Paged) over(all int) Paged {
	p.All, p.Of = all, max(1, (all+app.VisitPage-1)/app.VisitPage)
	return p
}

// here is the address of this page of the list.
func (p Paged) here() string {
	if p.Page == 1 {
		return p.Address
	}
	return p.At(p.Page)
}

// At is the address of a page of the list.
func (p Paged) At(page int) string {
	and := "?"
	if strings.Contains(p.Address, "?") {
		and = "&"
	}
	return p.Address + and + "page=" + strconv.Itoa(page)
}

// Before is the page before, 0 where there is none.
func (p Paged) Before() int { return p.Page - 1 }

// After is the page after, 0 where there is none.
func (p Paged) After() int {
	if p.Page >= p.Of {
		return 0
	}
	return p.Page + 1
}

func (u *UI) visit(c echo.Context, who account.Caller) error { return u.showVisit(c, who, Form{}) }

func (u *UI) showVisit(c echo.Context, who account.Caller, f Form) error {
	pages := newPaged(c, "/visit")
	m, err := u.app.MyVisit(c.Request().Context(), who, pages.Page-1)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &VisitPage{
		Frame: Frame{Title: "Your visit", Here: "/visit"}, My: m, Row: VisitRow{m.Visit, u.now()}, Pages: pages.over(m.Listed), Form: f, Owners: namedOptions(m.Owners),
	})
}

// VisitReachPage is where the verifier chooses and draws.
type VisitReachPage struct {
	Frame
	Reach app.VisitReach
	Pages Paged
	Form  Form
}

func (*VisitReachPage) template() string { return "visitreach" }

func (u *UI) visitReach(c echo.Context, who account.Caller) error {
	return u.showVisitReach(c, who, Form{})
}

func (u *UI) showVisitReach(c echo.Context, who account.Caller, f Form) error {
	pages := newPaged(c, "/visit/more")
	r, err := u.app.VisitReach(c.Request().Context(), who, pages.Page-1)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &VisitReachPage{Frame: Frame{Title: "Choose or draw more", Here: "/visit"}, Reach: r, Pages: pages.over(r.Left()), Form: f})
}

type drawForm struct {
	Size int `form:"size" validate:"min=1,max=100000" say:"Say how many to draw."`
}

func (u *UI) drawForVisit(c echo.Context, who account.Caller) error {
	var f drawForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.DrawForVisit(c.Request().Context(), who, f.Size)
	}
	if err != nil {
		return u.again(c, err, "draw", func(form Form) error { return u.showVisitReach(c, who, form) })
	}
	return u.taken(c, "/visit", "Drawn, and put on your list. The seed is kept, so that anybody can draw it again.")
}

type chooseForm struct {
	Attempts []string `form:"attempts" validate:"required,max=100" say:"Tick at least one attempt."`
}

func (u *UI) chooseForVisit(c echo.Context, who account.Caller) error {
	var f chooseForm
	err := u.read(c, &f)
	ids := make([]uuid.UUID, len(f.Attempts))
	for i, s := range f.Attempts {
		ids[i], _ = uuid.Parse(s) // what is no id names nothing
	}
	if err == nil {
		err = u.app.ChooseForVisit(c.Request().Context(), who, ids)
	}
	if err != nil {
		return u.again(c, err, "choose", func(form Form) error { return u.showVisitReach(c, who, form) })
	}
	return u.taken(c, "/visit", "Put on your list.")
}

// VisitSheetPage says, of one attempt, who decided what, on which evidence, when, under which rules.
type VisitSheetPage struct {
	Frame
	Visited  app.VisitedSheet
	Sheet    *SheetView
	Criteria []CriterionView
	Form     Form
	Owners   []Option
}

func (*VisitSheetPage) template() string { return "visitsheet" }

// FindingWords is a finding as people read it.
func (*VisitSheetPage) FindingWords(f app.VisitFinding) string { return FindingWords(f) }

func (u *UI) visitSheet(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	return u.showVisitSheet(c, who, id, Form{})
}

func (u *UI) showVisitSheet(c echo.Context, who account.Caller, id uuid.UUID, f Form) error {
	s, err := u.app.VisitSheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	v := newSheetView(s.Sheet, f)
	v.Tutor, v.Findings = true, true
	return u.render(c, who, f.Status(), &VisitSheetPage{
		Frame: Frame{Title: s.Trainee + ", " + s.BriefTitle, Here: "/visit"}, Visited: s, Sheet: v, Criteria: v.Each(), Form: f, Owners: namedOptions(s.Owners),
	})
}

func (u *UI) visitFile(c echo.Context, who account.Caller) error {
	return u.serveFile(c, who, func(ctx context.Context, who account.Caller, id uuid.UUID) (app.File, error) {
		return u.app.VisitFile(ctx, who, id, false)
	})
}

func (u *UI) visitPreview(c echo.Context, who account.Caller) error {
	return u.serveFile(c, who, func(ctx context.Context, who account.Caller, id uuid.UUID) (app.File, error) {
		return u.app.VisitFile(ctx, who, id, true)
	})
}

func (u *UI) visitPortfolio(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	p, err := u.app.VisitPortfolio(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "application/pdf")
	h.Set(echo.HeaderContentDisposition, attachment(fmt.Sprintf("%s %s.pdf", p.TraineeName, p.Unit)))
	h.Set("ETag", `"`+p.Digest+`"`)
	http.ServeContent(c.Response(), c.Request(), "", time.Time{}, p.Content)
	return p.Content.Close()
}

type visitNoteForm struct {
	Attempt uuid.UUID        `form:"attempt"`
	Finding app.VisitFinding `form:"finding" validate:"required,max=20" say:"Say what you found."`
	Words   string           `form:"words"`
}

func (u *UI) noteOnVisit(c echo.Context, who account.Caller) error {
	var f visitNoteForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.NoteOnVisit(c.Request().Context(), who, f.Attempt, f.Finding, f.Words)
	}
	return u.visitWritten(c, who, err, "note", f.Attempt, "Your note is kept.")
}

type visitActionForm struct {
	Attempt uuid.UUID `form:"attempt"`
	Words   string    `form:"words" validate:"required" say:"Say what is to be done."`
	Owner   uuid.UUID `form:"owner" validate:"required" say:"Choose who at the centre is to do it."`
	Due     time.Time `form:"due" validate:"required" say:"Choose a day by which it is to be done."`
}

func (u *UI) actOnVisit(c echo.Context, who account.Caller) error {
	var f visitActionForm
	err := u.read(c, &f)
	if err == nil {
		err = u.app.ActOnVisit(c.Request().Context(), who, app.VisitAction{Attempt: f.Attempt, Words: f.Words, Owner: f.Owner, Due: f.Due})
	}
	return u.visitWritten(c, who, err, "act", f.Attempt, "The action is kept. The centre closes it, with words on what was done.")
}

// visitWritten goes back to the page that a verifier's note or action was written on: an attempt's, or the list's.
func (u *UI) visitWritten(c echo.Context, who account.Caller, err error, which string, attempt uuid.UUID, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(form Form) error {
			if attempt != uuid.Nil {
				return u.showVisitSheet(c, who, attempt, form)
			}
			return u.showVisit(c, who, form)
		})
	}
	if attempt != uuid.Nil {
		return u.taken(c, "/visit/attempts/"+attempt.String()+"#record", notice)
	}
	return u.taken(c, "/visit#record", notice)
}
