package ui

import (
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// BoardPage is a cohort's bench board.
type BoardPage struct {
	Frame
	Board  app.Board
	Form   Form
	Briefs []Option // published ones that may be set; none where the caller may not
	MaySet bool
	May    bool // change who belongs to it
}

func (*BoardPage) template() string { return "board" }

// SetForm is the form that sets a brief.
func (p *BoardPage) SetForm() Form { return p.Form.For("set") }

// BriefField is the choice of a brief.
func (p *BoardPage) BriefField() Field {
	return p.SetForm().Field("brief", "Brief").From(p.Briefs).Needed()
}

// ObserverField is the choice of who watches the work.
func (p *BoardPage) ObserverField() Field {
	os := []Option{{Value: "", Text: "any of its tutors"}}
	for _, m := range p.Board.Tutors {
		os = append(os, Option{Value: m.Person.String(), Text: m.Name})
	}
	return p.SetForm().Field("observer", "Who observes").From(os)
}

// AttemptsField is the choice of how many attempts each trainee has.
func (p *BoardPage) AttemptsField() Field {
	os := []Option{{Value: "", Text: "as many as it takes"}, {Value: "1", Text: "1 attempt"}}
	for n := 2; n <= 5; n++ {
		os = append(os, Option{Value: fmt.Sprint(n), Text: fmt.Sprintf("%d attempts", n)})
	}
	return p.SetForm().Field("attempts", "Attempts allowed").From(os).Hinted("After the last, a tutor may grant one more, with a reason.")
}

// HeldRow is a trainee who waits at a hold point.
type HeldRow struct {
	app.BoardRow
	Task  string // its title
	Stage app.BoardStage
}

// Held lists who waits at a hold point, task by task.
func (p *BoardPage) Held() []HeldRow {
	var rows []HeldRow
	for _, t := range p.Board.Tasks {
		for _, r := range t.Rows {
			if r.Hold > 0 {
				rows = append(rows, HeldRow{BoardRow: r, Task: t.Title, Stage: t.Stages[r.Hold-1]})
			}
		}
	}
	return rows
}

// Tasks are the tasks as they are drawn: those at which somebody is at work first, then the latest set.
func (p *BoardPage) Tasks() []BoardTaskView {
	var busy, quiet []BoardTaskView
	for i := range p.Board.Tasks {
		v := BoardTaskView{BoardTask: p.Board.Tasks[len(p.Board.Tasks)-1-i], On: p}
		if v.Busy() {
			busy = append(busy, v)
		} else {
			quiet = append(quiet, v)
		}
	}
	return append(busy, quiet...)
}

// BoardTaskView is one task of the board.
type BoardTaskView struct {
	app.BoardTask
	On *BoardPage
}

// Busy says whether somebody is at work on it.
func (t BoardTaskView) Busy() bool {
	for _, r := range t.Rows {
		if r.State == decision.Open || r.State == decision.SafetyStopped {
			return true
		}
	}
	return false
}

// Terms says in words how it was set: from when, until when, how often, who observes.
func (t BoardTaskView) Terms() string {
	s := ""
	if !t.FromOn.IsZero() {
		s += " From " + date(t.FromOn) + "."
	}
	if !t.DueOn.IsZero() {
		s += " Due by " + date(t.DueOn) + "."
	}
	if t.Attempts > 0 {
		s += " " + count(t.Attempts, "attempt", "attempts") + " each."
	}
	if t.ObserverName != "" {
		s += " " + t.ObserverName + " observes."
	}
	return s
}

// SetForm is the form that sets it to further trainees.
func (t BoardTaskView) SetForm() Form { return t.On.Form.For("set-" + t.ID.String()) }

// Stopped says whether a row's work is stopped for safety, and MayStop whether it can be.
func (t BoardTaskView) Stopped(r app.BoardRow) bool { return r.State == decision.SafetyStopped }

// MayStop says whether a row's work can be stopped for safety from the board.
func (t BoardTaskView) MayStop(r app.BoardRow) bool { return r.State == decision.Open }

// Own is a row's own day in words, where it is not the task's.
func (t BoardTaskView) Own(r app.BoardRow) string {
	if r.DueOn.IsZero() || r.DueOn.Equal(t.DueOn) {
		return ""
	}
	return "Their own day: " + date(r.DueOn) + "."
}

// Of says which attempt a row is; "" for the first where the number was left open.
func (t BoardTaskView) Of(r app.BoardRow) string {
	if r.Number == 1 {
		return ""
	}
	return sentence(attemptOf(r.Number, t.Attempts))
}

func (u *UI) board(c echo.Context, who account.Caller) error { return u.showBoard(c, who, Form{}) }

func (u *UI) showBoard(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	return u.showBoardOf(c, who, id, f)
}

func (u *UI) showBoardOf(c echo.Context, who account.Caller, id uuid.UUID, f Form) error {
	b, err := u.app.Board(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &BoardPage{Frame: Frame{Title: b.Name, Here: "/cohorts"}, Board: b, Form: f, May: who.Has(account.Manager)}
	for _, t := range b.Tutors {
		p.MaySet = p.MaySet || t.Person == who.Person
	}
	if p.MaySet {
		if p.Briefs, err = u.published(c, who); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}

type setForm struct {
	Brief    string    `form:"brief" validate:"required" say:"Choose a brief."` // "id version"
	Trainees []string  `form:"trainees" validate:"max=1000" say:"Choose fewer trainees at once."`
	From     time.Time `form:"from_on" say:"Write the day as year-month-day, or leave it empty."`
	Due      time.Time `form:"due_on" say:"Write the day as year-month-day, or leave it empty."`
	Attempts int       `form:"attempts" say:"Choose how many attempts each trainee has."`
	Observer uuid.UUID `form:"observer" say:"Choose who observes."`
}

func (u *UI) setBrief(c echo.Context, who account.Caller) error {
	var f setForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.set(c, who, id, f)
	}
	if err != nil {
		return u.again(c, err, "set", func(form Form) error { return u.showBoard(c, who, form) })
	}
	return u.taken(c, "/cohorts/"+id.String(), "The brief is set: everybody whom you set it to has it now, with given values of their own.")
}

// set reads which version was chosen, and for whom, and sets it.
func (u *UI) set(c echo.Context, who account.Caller, cohort uuid.UUID, f setForm) error {
	brief, version, ok := cutVersion(f.Brief)
	if !ok {
		return fault.Invalid("brief", "Choose a brief.")
	}
	trainees, err := chosenPeople(f.Trainees)
	if err != nil {
		return err
	}
	_, err = u.app.SetBrief(c.Request().Context(), who, app.SetBrief{
		Brief: brief, Version: version, Cohort: cohort, Trainees: trainees, FromOn: f.From, DueOn: f.Due, Attempts: f.Attempts, Observer: f.Observer,
	})
	return err
}

// chosenPeople reads ticked people.
func chosenPeople(ticked []string) ([]uuid.UUID, error) {
	var ids []uuid.UUID
	for _, s := range ticked {
		id, err := uuid.Parse(s)
		if err != nil {
			return nil, fault.Invalid("trainees", "This page is too old to be sent. Load it again.")
		}
		ids = append(ids, id)
	}
	return ids, nil
}

type setToForm struct {
	Cohort   uuid.UUID `form:"cohort" validate:"required"` // whose board the form stands on
	Trainees []string  `form:"trainees" validate:"required,max=1000" say:"Choose at least one trainee."`
}

func (u *UI) setTo(c echo.Context, who account.Caller) error {
	var f setToForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var trainees []uuid.UUID
	if err = u.read(c, &f); err == nil {
		trainees, err = chosenPeople(f.Trainees)
	}
	if err == nil {
		err = u.app.SetTo(c.Request().Context(), who, id, trainees)
	}
	if err != nil {
		return u.again(c, err, "set-"+id.String(), func(form Form) error { return u.showBoardOf(c, who, f.Cohort, form) })
	}
	return u.taken(c, "/cohorts/"+f.Cohort.String()+"#task-"+id.String(), "It is set to them too, with given values of their own.")
}
