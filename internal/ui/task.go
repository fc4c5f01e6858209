package ui

import (
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// TasksPage is a trainee's own tasks.
type TasksPage struct {
	Frame
	ToDo []TaskRow // in the order in which they are due
	With []TaskRow // with the tutor
	Done []TaskRow // signed off, or closed in another way
}

func (*TasksPage) template() string { return "tasks" }

// TaskRow is one task with its newest attempt.
type TaskRow struct {
	Attempt                uuid.UUID
	Number                 int
	Title, Cohort, SetBy   string
	SetAt, DueOn           time.Time
	State                  decision.State
	OpenedAt, HandedOverAt time.Time
	SignedOffAt            time.Time
	Late                   bool // the day it was due by has passed
	FromOn                 time.Time
	Early                  bool // the day from which it may be started has not come
	Attempts               int  // how many the trainee has; 0 for as many as it takes
}

func (u *UI) tasks(c echo.Context, who account.Caller) error {
	tasks, err := u.app.MyTasks(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &TasksPage{Frame: Frame{Title: "My tasks", Here: "/tasks"}}
	today := u.now().In(app.London()).Format(time.DateOnly)
	for _, t := range tasks {
		r := TaskRow{
			Attempt: t.Attempt, Number: t.Number, Title: t.Title, Cohort: t.CohortName, SetBy: t.SetByName, SetAt: t.SetAt, DueOn: t.Due(),
			State: t.State, OpenedAt: t.OpenedAt, HandedOverAt: t.HandedOverAt, SignedOffAt: t.SignedOffAt,
			Late:   !t.Due().IsZero() && t.Due().Format(time.DateOnly) < today,
			FromOn: t.FromOn, Early: t.FromOn.Format(time.DateOnly) > today, Attempts: t.Attempts,
		}
		p.sort(r)
	}
	return u.render(c, who, 200, p)
}

// sort puts a row where the trainee looks for it.
func (p *TasksPage) sort(r TaskRow) {
	switch r.State {
	case decision.Planned, decision.Open, decision.MoreToDo, decision.SafetyStopped:
		p.ToDo = append(p.ToDo, r)
	case decision.HandedOver, decision.Checked, decision.Decided, decision.UnderAppeal:
		p.With = append(p.With, r)
	default:
		p.Done = append(p.Done, r)
	}
}

// Where says where the task stands, in a sentence.
func (r TaskRow) Where() string {
	switch r.State {
	case decision.Planned:
		if r.Early {
			return "starts on " + date(r.FromOn)
		}
		return "set " + day(r.SetAt) + ", not started"
	case decision.Open:
		return "started " + day(r.OpenedAt) + ", not handed over"
	case decision.HandedOver, decision.Checked, decision.Decided:
		return "handed over " + day(r.HandedOverAt) + ", waiting for the tutor"
	case decision.SignedOff:
		return "signed off " + day(r.SignedOffAt)
	}
	return r.State.Words()
}

// Of says which attempt it is; "" for the first where the number was left open.
func (r TaskRow) Of() string { return attemptOf(r.Number, r.Attempts) }

// Due says by when it is due, in words; "" where no date was set.
func (r TaskRow) Due() string {
	switch {
	case r.DueOn.IsZero():
		return ""
	case r.Late:
		return "was due by " + date(r.DueOn)
	}
	return "due by " + date(r.DueOn)
}

// Next says what the trainee does next with it.
func (r TaskRow) Next() string {
	switch r.State {
	case decision.Planned:
		if r.Early {
			return "Read it"
		}
		return "Read it and start"
	case decision.Open:
		return "Go on"
	}
	return "Look at it"
}

// Keep says whether a phone keeps the task's page before it is opened: the trainee may need it where there is no signal.
func (r TaskRow) Keep() bool {
	switch r.State {
	case decision.Planned, decision.Open, decision.SafetyStopped:
		return true
	}
	return false
}
