package ui

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/table"
)

// TouchedPage lists the readings that an instrument puts in question, and what rests on them.
type TouchedPage struct {
	Frame
	List app.TouchedList
	Form Form
}

func (*TouchedPage) template() string { return "touched" }

// Spans says which readings they are.
func (p *TouchedPage) Spans() string { return spanWords(p.List.Event.From, p.List.Event.To) }

// What names what was done when it was found wrong.
func (p *TouchedPage) What() string { return checkupWords(p.List.Event) }

func checkupWords(e app.RegisterEvent) string {
	if e.What == decision.Calibration {
		return "calibration of " + day(e.DoneAt)
	}
	return "check of its " + e.What.Words() + " on " + clock(e.DoneAt)
}

// At is the address of the list.
func (p *TouchedPage) At() string { return touchedAt(p.List.Instrument.ID, p.List.Event.ID) }

func touchedAt(instrument, event uuid.UUID) string {
	return "/instruments/" + instrument.String() + "/touched/" + event.String()
}

// TouchedView is one attempt on the list.
type TouchedView struct {
	app.TouchedAttempt
	On *TouchedPage
}

// Attempts are those of this page.
func (p *TouchedPage) Attempts() []TouchedView {
	var vs []TouchedView
	for _, a := range p.List.Attempts {
		vs = append(vs, TouchedView{a, p})
	}
	return vs
}

// Form is the form in which somebody says what they found.
func (v TouchedView) Form() Form { return v.On.Form.For("look-" + v.Attempt.String()) }

// Looked says what was found; "" where nobody has looked.
func (v TouchedView) Looked() string { return app.TouchedWords(v.Outcome) }

// Outcomes are what may be found.
func (TouchedView) Outcomes() []Option {
	os := []Option{{Value: "", Text: "choose"}}
	for _, o := range app.TouchedOutcomes() {
		os = append(os, Option{Value: o, Text: app.TouchedWords(o)})
	}
	return os
}

// Value is what was read, with its unit.
func (TouchedView) Value(r app.TouchedReading) string {
	if r.Unit == "" || strings.HasSuffix(r.Text, r.Unit) {
		return r.Text
	}
	return r.Text + thin + r.Unit
}

// Says is what was decided, in words.
func (TouchedView) Says(r decision.Record) string { return decision.Outcome(r.Outcome).Words() }

func (u *UI) touchedPath(c echo.Context) (instrument, event uuid.UUID, err error) {
	if instrument, err = pathID(c, "id"); err == nil {
		event, err = pathID(c, "event")
	}
	return instrument, event, err
}

func (u *UI) touched(c echo.Context, who account.Caller) error { return u.showTouched(c, who, Form{}) }

func (u *UI) showTouched(c echo.Context, who account.Caller, f Form) error {
	instrument, event, err := u.touchedPath(c)
	if err != nil {
		return err
	}
	l, err := u.app.TouchedBy(c.Request().Context(), who, instrument, event, pageAsked(c))
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &TouchedPage{Frame: Frame{Title: "Readings in question: " + l.Instrument.Name, Here: "/centre"}, List: l, Form: f})
}

// pageAsked is the number of the page of a list that the address asks for; 1 where it asks for none.
func pageAsked(c echo.Context) int {
	n, err := strconv.Atoi(c.QueryParam("page"))
	if err != nil {
		return 1
	}
	return max(n, 1)
}

func (u *UI) touchedFile(c echo.Context, who account.Caller) error {
	instrument, event, err := u.touchedPath(c)
	if err != nil {
		return err
	}
	l, err := u.app.AllTouchedBy(c.Request().Context(), who, instrument, event)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := table.Write(&b, touchedHeader(), touchedRows(l)); err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="readings-in-question.csv"`)
	return c.Blob(http.StatusOK, "text/csv; charset=utf-8", b.Bytes())
}

func touchedHeader() []string {
	return []string{"cohort", "trainee", "brief", "attempt", "state", "reading", "value", "unit", "taken", "safety-critical", "decisions", "looked at by", "on", "outcome", "words"}
}

// touchedRows is a row for each reading.
func touchedRows(l app.TouchedList) [][]string {
	var rows [][]string
	for _, a := range l.Attempts {
		var rests []string
		for _, r := range a.Rests {
			rests = append(rests, r.Subject+" "+decision.Outcome(r.Outcome).Words()+" by "+r.ByName)
		}
		on := ""
		if !a.LookedAt.IsZero() {
			on = a.LookedAt.In(app.London()).Format(time.DateOnly)
		}
		for _, r := range a.Readings {
			safety := "no"
			if r.Safety {
				safety = "yes"
			}
			rows = append(rows, []string{a.Cohort, a.Name, a.Title, strconv.Itoa(a.Number), a.State.Words(), r.Title, r.Text, r.Unit,
				r.At.In(app.London()).Format("2006-01-02 15:04"), safety, strings.Join(rests, "; "), a.LookedName, on, app.TouchedWords(a.Outcome), a.Words})
		}
	}
	return rows
}

type touchedForm struct {
	ID      uuid.UUID `form:"id"`
	Attempt uuid.UUID `form:"attempt"`
	Outcome string    `form:"outcome"`
	Words   string    `form:"words"`
}

func (u *UI) lookAtTouched(c echo.Context, who account.Caller) error {
	var f touchedForm
	instrument, event, err := u.touchedPath(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LookAtTouched(c.Request().Context(), who, instrument, event, f.Attempt, app.Look{ID: f.ID, Outcome: f.Outcome, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "look-"+f.Attempt.String(), func(form Form) error { return u.showTouched(c, who, form) })
	}
	return u.taken(c, touchedAt(instrument, event)+"#a-"+f.Attempt.String(), "Kept. Nothing else changed by it.")
}
