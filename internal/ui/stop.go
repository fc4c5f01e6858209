package ui

import (
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// StopPage is who is at work now, by cohort, so that anybody can stop what is unsafe.
type StopPage struct {
	Frame
	Cohorts []AtWorkCohort // whose work last showed a sign first
	Find    Field
	Shown   int
	All     int // how much is under way that fits
	Form    Form
}

func (*StopPage) template() string { return "stop" }

// Searched says whether a name was looked for.
func (p *StopPage) Searched() bool { return p.Find.Value != "" }

// AtWorkCohort is a cohort with those of it who are at work.
type AtWorkCohort struct {
	ID   uuid.UUID
	Name string
	Rows []AtWorkRow
}

// AtWorkRow is one piece of work under way.
type AtWorkRow struct{ app.AtWork }

// Stopped says whether it is stopped already.
func (r AtWorkRow) Stopped() bool { return r.State == decision.SafetyStopped }

func (u *UI) atWork(c echo.Context, who account.Caller) error { return u.showAtWork(c, who, Form{}) }

func (u *UI) showAtWork(c echo.Context, who account.Caller, f Form) error {
	find := strings.TrimSpace(c.QueryParam("find"))
	rows, all, err := u.app.AtWork(c.Request().Context(), who, find)
	if err != nil {
		return err
	}
	p := &StopPage{Frame: Frame{Title: "Stop somebody's work", Here: "/centre"}, Form: f.For("stop"), Shown: len(rows), All: all,
		Find: Field{ID: "find", Name: "find", Label: "Trainee or cohort", Kind: "text", Value: find, Auto: "off"}}
	if account.As(who, account.SeeCentre) == "" {
		p.Here = "/tasks"
	}
	at := map[uuid.UUID]int{}
	for _, r := range rows {
		i, ok := at[r.Cohort]
		if !ok {
			i, at[r.Cohort] = len(p.Cohorts), len(p.Cohorts)
			p.Cohorts = append(p.Cohorts, AtWorkCohort{ID: r.Cohort, Name: r.CohortName})
		}
		p.Cohorts[i].Rows = append(p.Cohorts[i].Rows, AtWorkRow{r})
	}
	return u.render(c, who, f.Status(), p)
}
