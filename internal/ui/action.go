package ui

import (
	"html/template"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// ActionsPage is what is still to be done.
type ActionsPage struct {
	Frame
	Actions []ActionLine
	Pages   Paged
	Closes  bool // the reader closes other people's
}

func (*ActionsPage) template() string { return "actions" }

// ActionLine is an action as the list shows it, flat and worked out here: a page takes longer over it than the database does.
type ActionLine struct {
	ID                   uuid.UUID
	Words, Owner, Raiser string
	Due, Raised          template.HTML // days
	Late                 bool
	From                 string // what asked for it
	At                   string // where that stands; "" where the reader may not go
	May                  bool   // the reader may close it
	Form                 *Form  // by which it was to be closed, as it came back; nil where it was not sent
}

// lines puts actions into the list.
func (p *ActionsPage) lines(rows []app.ActionRow, f Form) {
	for _, a := range rows {
		l := ActionLine{
			ID: a.ID, Words: a.Words, Owner: a.OwnerName, Raiser: a.RaisedByName, Due: timed(a.Due, day(a.Due)), Raised: timed(a.RaisedAt, day(a.RaisedAt)),
			Late: a.Late, From: sentence(actionFrom(a.Source)), May: a.May,
		}
		if p.Closes || a.Source == app.ActionFromStandardisation || a.Source == app.ActionFromRuling || a.Source == app.ActionFromPrior { // a tutor sees no samples and no visits
			l.At = actionAt(a)
		}
		if which := f.For(closing(a.ID)); which.Touched() {
			l.Form = &which
		}
		p.Actions = append(p.Actions, l)
	}
}

// closing names the form that closes an action.
func closing(id uuid.UUID) string { return "close-" + id.String() }

// actionFrom says what asked for an action.
func actionFrom(s app.ActionSource) string {
	switch s {
	case app.ActionFromVisit:
		return "an external verifier's visit"
	case app.ActionFromStandardisation:
		return "a standardisation"
	case app.ActionFromRuling:
		return "a ruling"
	case app.ActionFromPrior:
		return "prior learning"
	}
	return "a sample"
}

// actionAt is where what asked for an action stands.
func actionAt(a app.ActionRow) string {
	folder := map[app.ActionSource]string{
		app.ActionFromSample: "samples", app.ActionFromVisit: "visits", app.ActionFromStandardisation: "standardisations", app.ActionFromRuling: "rulings",
		app.ActionFromPrior: "prior-learning",
	}[a.Source]
	return "/" + folder + "/" + a.SourceID.String()
}

// ActionForm is the form in which somebody is asked to do something because of what a page is about.
type ActionForm struct {
	Form   Form
	At     string   // where it is sent
	Owners []Option // who may be asked
	About  []Option // the attempts that it may be about; none where it is about none
}

// actionForm puts one together.
func actionForm(f Form, at string, people []app.Assessor, about []Option) ActionForm {
	a := ActionForm{Form: f.For("act"), At: at, Owners: []Option{{Value: "", Text: "choose"}}, About: about}
	for _, p := range people {
		a.Owners = append(a.Owners, Option{Value: p.Person.String(), Text: p.Name})
	}
	return a
}

type askActionForm struct {
	Attempt uuid.UUID `form:"attempt" say:"Choose one of the pieces of work, or none."`
	Words   string    `form:"action" validate:"required" say:"Say what is to be done."`
	Owner   uuid.UUID `form:"owner" validate:"required" say:"Choose who is to do it."`
	Due     time.Time `form:"due" validate:"required" say:"Choose a day by which it is to be done."`
}

func (f askActionForm) action() app.Action {
	return app.Action{Attempt: f.Attempt, Words: f.Words, Owner: f.Owner, Due: f.Due}
}

// actionKept is said once an action is kept.
const actionKept = "The action is kept. It stays open until somebody else has seen that it is done."

func (u *UI) actOnStandardisation(c echo.Context, who account.Caller) error {
	var f askActionForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.ActOnStandardisation(c.Request().Context(), who, id, f.action())
	}
	if err != nil {
		return u.again(c, err, "act", func(form Form) error { return u.showStandardisation(c, who, form) })
	}
	return u.taken(c, "/standardisations/"+id.String()+"#actions", actionKept)
}

func (u *UI) actOnRuling(c echo.Context, who account.Caller) error {
	var f askActionForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.ActOnRuling(c.Request().Context(), who, id, f.action())
	}
	if err != nil {
		return u.again(c, err, "act", func(form Form) error { return u.showRuling(c, who, form) })
	}
	return u.taken(c, "/rulings/"+id.String()+"#actions", actionKept)
}

func (u *UI) actions(c echo.Context, who account.Caller) error {
	return u.showActions(c, who, Form{})
}

func (u *UI) showActions(c echo.Context, who account.Caller, f Form) error {
	pages := newPaged(c, "/actions")
	l, err := u.app.OpenActions(c.Request().Context(), who, pages.Page)
	if err != nil {
		return err
	}
	pages.All, pages.Of = l.All, l.Page.Of
	p := &ActionsPage{Frame: Frame{Title: "Actions", Here: "/centre"}, Pages: pages, Closes: account.As(who, account.CloseAction) != ""}
	p.lines(l.Rows, f)
	return u.render(c, who, f.Status(), p)
}

type closeForm struct {
	Words string `form:"words" validate:"required" say:"Say what was done, and how you know."`
}

func (u *UI) closeAction(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var f closeForm
	if err = u.read(c, &f); err == nil {
		err = u.app.CloseAction(c.Request().Context(), who, id, f.Words)
	}
	if err != nil {
		return u.again(c, err, closing(id), func(form Form) error { return u.showActions(c, who, form) })
	}
	return u.taken(c, newPaged(c, "/actions").here(), "The action is closed.")
}
