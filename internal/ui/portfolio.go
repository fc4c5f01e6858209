package ui

import (
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// PortfoliosPage lists portfolios and takes requests for new ones.
type PortfoliosPage struct {
	Frame
	Rows     []PortfolioRow
	Form     Form
	MayAsk   bool
	Trainees []Option
	Units    []Option
	Cohorts  []Option
	SetForm  Form // for a whole cohort
	Sets     []app.PortfolioSet
}

func (*PortfoliosPage) template() string { return "portfolios" }

// PortfolioRow is one portfolio.
type PortfolioRow struct {
	ID                   uuid.UUID
	Trainee, Unit, Title string
	By                   string
	At, BuiltAt          time.Time
	State, Note, Digest  string
	Size                 int64
}

// Ready says whether its file is there.
func (r PortfolioRow) Ready() bool { return r.State == "ready" }

// Waiting says whether it is still being put together.
func (r PortfolioRow) Waiting() bool { return r.State == "waiting" || r.State == "building" }

// Words is its state in words.
func (r PortfolioRow) Words() string {
	switch r.State {
	case "waiting":
		return "waiting for its turn"
	case "building":
		return "being put together"
	case "ready":
		return "ready since " + clock(r.BuiltAt)
	case "failed":
		return "could not be put together"
	case "stopped":
		return "stopped before it was ready"
	}
	return r.State
}

// reload is how many seconds the page waits before it looks again at portfolios that are being put together.
const reload = 5

func (u *UI) portfolios(c echo.Context, who account.Caller) error {
	return u.showPortfolios(c, who, Form{})
}

func (u *UI) showPortfolios(c echo.Context, who account.Caller, f Form) error {
	ctx := c.Request().Context()
	list, err := u.app.Portfolios(ctx, who)
	if err != nil {
		return err
	}
	p := &PortfoliosPage{Frame: Frame{Title: "Portfolios", Here: "/portfolios"}, Form: f.For("portfolio"), SetForm: f.For("portfolios")}
	for _, x := range list {
		r := PortfolioRow{
			ID: x.ID, Trainee: x.TraineeName, Unit: x.Unit, Title: x.UnitTitle, By: x.RequestedByName, At: x.RequestedAt,
			BuiltAt: x.BuiltAt, State: string(x.State), Note: x.Note, Digest: x.Digest, Size: x.Size,
		}
		if r.Waiting() {
			p.Again = reload
		}
		p.Rows = append(p.Rows, r)
	}
	if p.MayAsk = who.Has(account.Manager) || who.Has(account.QualityAssurer) || who.Has(account.Tutor); p.MayAsk {
		if err := u.portfolioChoices(c, who, p); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}

// portfolioChoices fills in what a request chooses from.
func (u *UI) portfolioChoices(c echo.Context, who account.Caller, p *PortfoliosPage) error {
	trainees, err := u.app.PortfolioTrainees(c.Request().Context(), who)
	if err != nil {
		return err
	}
	for _, x := range trainees {
		p.Trainees = append(p.Trainees, Option{Value: x.ID.String(), Text: x.Name})
	}
	units, err := u.app.Units(c.Request().Context(), who)
	if err != nil {
		return err
	}
	for _, x := range units {
		p.Units = append(p.Units, Option{Value: x.Code, Text: x.Code + " " + x.Title})
	}
	cohorts, err := u.app.Cohorts(c.Request().Context(), who)
	if err != nil {
		return err
	}
	for _, x := range cohorts {
		p.Cohorts = append(p.Cohorts, Option{Value: x.ID.String(), Text: x.Name})
	}
	p.Sets, err = u.app.PortfolioSets(c.Request().Context(), who)
	return err
}

type portfoliosForm struct {
	Cohort uuid.UUID `form:"cohort" validate:"required" say:"Choose a cohort."`
	Unit   string    `form:"unit" validate:"required,max=100" say:"Choose a unit."`
}

func (u *UI) requestPortfolios(c echo.Context, who account.Caller) error {
	var f portfoliosForm
	err := u.read(c, &f)
	if err == nil {
		_, err = u.app.RequestPortfolios(c.Request().Context(), who, f.Cohort, f.Unit)
	}
	if err != nil {
		return u.again(c, err, "portfolios", func(form Form) error { return u.showPortfolios(c, who, form) })
	}
	return u.taken(c, "/portfolios", "The cohort's portfolios are being put together, several at once; you may leave this page.")
}

func (u *UI) stopPortfolios(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err := u.app.StopPortfolios(c.Request().Context(), who, id); err != nil {
		return u.again(c, err, "portfolios", func(form Form) error { return u.showPortfolios(c, who, form) })
	}
	return u.taken(c, "/portfolios", "Stopped. What was ready stays.")
}

type portfolioForm struct {
	Trainee uuid.UUID `form:"trainee" validate:"required" say:"Choose a trainee."`
	Unit    string    `form:"unit" validate:"required,max=100" say:"Choose a unit."`
}

func (u *UI) requestPortfolio(c echo.Context, who account.Caller) error {
	var f portfolioForm
	err := u.read(c, &f)
	if err == nil {
		_, err = u.app.RequestPortfolio(c.Request().Context(), who, f.Trainee, f.Unit)
	}
	if err != nil {
		return u.again(c, err, "portfolio", func(form Form) error { return u.showPortfolios(c, who, form) })
	}
	return u.taken(c, "/portfolios", "The portfolio is being put together. It appears here when it is ready; you may leave this page.")
}

func (u *UI) portfolioFile(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	p, err := u.app.OpenPortfolio(c.Request().Context(), who, id)
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

// attachment is the header for a file to be kept under a name: plain letters for old programs, all of it for the rest.
func attachment(name string) string {
	plain := strings.Map(func(r rune) rune {
		if r < ' ' || r > '~' || strings.ContainsRune(`"\/:*?<>|%`, r) {
			return '_'
		}
		return r
	}, name)
	return fmt.Sprintf(`attachment; filename="%s"; filename*=UTF-8''%s`, plain, encoded(name))
}

// encoded writes a name as RFC 8187 has it.
func encoded(name string) string {
	var b strings.Builder
	for _, x := range []byte(name) {
		if x >= 'a' && x <= 'z' || x >= 'A' && x <= 'Z' || x >= '0' && x <= '9' || x == '.' || x == '-' || x == '_' {
			b.WriteByte(x)
		} else {
			fmt.Fprintf(&b, "%%%02X", x)
		}
	}
	return b.String()
}
