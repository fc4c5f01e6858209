package ui

import (
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// PlanPage is an attempt that its trainee has not started.
type PlanPage struct {
	Frame
	Sheet *SheetView
}

func (*PlanPage) template() string { return "plan" }

// WorkPage is an attempt as its trainee works on it, and reads it afterwards.
type WorkPage struct {
	Frame
	Sheet *SheetView
	Next  uuid.UUID // the attempt after this one; zero where there is none
}

func (*WorkPage) template() string { return "work" }

// OwnWork is what the trainee agrees to.
func (*WorkPage) OwnWork() string { return app.OwnWork }

// HasNext says whether there is an attempt after this one.
func (p *WorkPage) HasNext() bool { return p.Next != uuid.Nil }

// attempt shows the page that fits who asks and how far the attempt has come.
func (u *UI) attempt(c echo.Context, who account.Caller) error { return u.showAttempt(c, who, Form{}) }

func (u *UI) showAttempt(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	return u.showSheet(c, who, id, f)
}

func (u *UI) showSheet(c echo.Context, who account.Caller, id uuid.UUID, f Form) error {
	s, err := u.app.Sheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	v := newSheetView(s, f)
	switch {
	case !s.Own:
		p := tutorsPage(v)
		if j, ok := p.(*JudgePage); ok {
			if err := u.beside(c, who, j); err != nil {
				return err
			}
		}
		return u.render(c, who, f.Status(), p)
	case s.State == decision.Planned:
		return u.render(c, who, f.Status(), &PlanPage{Frame: Frame{Title: s.BriefTitle, Here: "/tasks"}, Sheet: v})
	}
	v.Findings = v.Closed()
	p := &WorkPage{Frame: Frame{Title: s.BriefTitle, Here: "/tasks"}, Sheet: v}
	if v.Checks, err = u.app.SpotChecks(c.Request().Context(), who, s); err != nil {
		return err
	}
	if s.State == decision.HandedOver && len(s.Lacking) == 0 && !v.Waits() {
		p.Again = reload
	}
	if s.State == decision.MoreToDo {
		if p.Next, err = u.nextAttempt(c, who, s); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}

// nextAttempt finds the trainee's newer attempt at the same task.
func (u *UI) nextAttempt(c echo.Context, who account.Caller, s app.Sheet) (uuid.UUID, error) {
	tasks, err := u.app.MyTasks(c.Request().Context(), who)
	if err != nil {
		return uuid.Nil, err
	}
	for _, t := range tasks {
		if t.Cohort == s.CohortID && t.Title == s.BriefTitle && t.Version == s.Version && t.Number > s.Number {
			return t.Attempt, nil
		}
	}
	return uuid.Nil, nil
}

// sheetForm answers a form of an attempt: on to next where it was taken, else the sheet again.
func (u *UI) sheetForm(c echo.Context, who account.Caller, err error, which, place, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(f Form) error { return u.showAttempt(c, who, f) })
	}
	return u.taken(c, "/attempts/"+c.Param("id")+place, notice)
}

type openForm struct {
	Plan        bool   `form:"plan"`
	Risk        bool   `form:"risk"`
	Where       string `form:"where"`
	Site        string `form:"site" validate:"max=100" say:"Shorten this to 24 letters."`
	Householder string `form:"householder" validate:"max=120" say:"Shorten this to 120 letters."`
}

func (u *UI) openAttempt(c echo.Context, who account.Caller) error {
	var f openForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		var site *app.PrivateSite
		if f.Where == "private" {
			site = &app.PrivateSite{Code: f.Site, Householder: f.Householder}
		}
		err = u.app.OpenAttemptOn(c.Request().Context(), who, id, f.Plan, f.Risk, site)
	}
	return u.sheetForm(c, who, err, "open", "", "You have started. What you put down is kept as you go.")
}

type stopForm struct {
	Words string `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	From  string `form:"from"` // "list" where it was pressed on the list of who is at work
}

func (u *UI) stop(c echo.Context, who account.Caller) error {
	var f stopForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.SafetyStop(c.Request().Context(), who, id, strings.TrimSpace(f.Words))
	}
	switch {
	case f.From == "list" && err != nil:
		return u.again(c, err, "stop", func(f Form) error { return u.showAtWork(c, who, f) })
	case f.From == "list":
		return u.taken(c, "/stop", "Stopped. Their tutor sees it; nothing goes on until it is cleared.")
	}
	return u.sheetForm(c, who, err, "stop", "", "Stopped. Your tutor sees it; nothing goes on until it is cleared.")
}

func (u *UI) clearStop(c echo.Context, who account.Caller) error {
	var f stopForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.ClearStop(c.Request().Context(), who, id, strings.TrimSpace(f.Words))
	}
	return u.sheetForm(c, who, err, "clear-stop", "", "Cleared. The work may go on.")
}

type handOverForm struct {
	OwnWork bool `form:"own_work"`
}

func (u *UI) handOver(c echo.Context, who account.Caller) error {
	var f handOverForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.HandOver(c.Request().Context(), who, id, nil, f.OwnWork)
	}
	return u.sheetForm(c, who, err, "hand-over", "", "Handed over. Your tutor sees it now.")
}

// dateWords is a date of a record in words; what is no date stands as it is.
func dateWords(s string) string {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return s
	}
	return date(t)
}
