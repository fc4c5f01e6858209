package ui

import (
	"context"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// InquiryPage is the file of one inquiry, for those whom it names.
type InquiryPage struct {
	Frame
	app.InquiryFile
	Form Form
}

func (*InquiryPage) template() string { return "inquiry" }

// OutcomeWords says what came of it.
func (p *InquiryPage) OutcomeWords() string {
	return map[app.InquiryOutcome]string{"nothing_found": "nothing was found", "minor": "nothing that touches what was decided", "upheld": "what was suspected was found"}[p.Outcome]
}

// Outcomes are what may come of one.
func (p *InquiryPage) Outcomes() Field {
	return p.Form.For("close").Field("outcome", "What came of it").From([]Option{
		{Value: "", Text: "choose"}, {Value: "nothing_found", Text: "nothing was found"},
		{Value: "minor", Text: "nothing that touches what was decided"}, {Value: "upheld", Text: "what was suspected was found"},
	}).Needed()
}

// Person is the choice of whom to name.
func (p *InquiryPage) Person() Field {
	os := []Option{{Value: "", Text: "choose"}}
	for _, x := range p.People {
		if x.Person != p.Concerns {
			os = append(os, Option{Value: x.Person.String(), Text: x.Name})
		}
	}
	return p.Form.For("people").Field("person", "Also let this person see the file").From(os).Needed()
}

// OpenInquiryPage is the form that opens one.
type OpenInquiryPage struct {
	Frame
	Form Form
}

func (*OpenInquiryPage) template() string { return "openinquiry" }

func (u *UI) newInquiry(c echo.Context, who account.Caller) error {
	return u.showNewInquiry(c, who, Form{})
}

func (u *UI) showNewInquiry(c echo.Context, who account.Caller, f Form) error {
	if err := account.May(who, account.Inquire); err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &OpenInquiryPage{Frame: Frame{Title: "Open an inquiry", Here: "/centre"}, Form: f.For("open")})
}

type openInquiryForm struct {
	Who   string `form:"who" validate:"required,max=100" say:"Write the sign-in name of the person whom it concerns."`
	Words string `form:"words" validate:"required,max=4000" say:"Say what is suspected, and what it rests on."`
}

func (u *UI) openInquiry(c echo.Context, who account.Caller) error {
	var f openInquiryForm
	var id uuid.UUID
	err := account.May(who, account.Inquire) // before the form: others are told no more than that
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		id, err = u.app.OpenInquiryOn(c.Request().Context(), who, f.Who, f.Words)
	}
	if err != nil {
		return u.again(c, err, "open", func(form Form) error { return u.showNewInquiry(c, who, form) })
	}
	return u.taken(c, "/inquiries/"+id.String(), "The file is open. Nobody else sees it until you name them.")
}

func (u *UI) inquiry(c echo.Context, who account.Caller) error { return u.showInquiry(c, who, Form{}) }

func (u *UI) showInquiry(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	r, err := u.app.Inquiry(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &InquiryPage{Frame: Frame{Title: "Inquiry: " + r.ConcernsOf, Here: "/centre"}, InquiryFile: r, Form: f})
}

type inquiryForm struct {
	Words   string             `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Person  uuid.UUID          `form:"person" say:"Choose a person."`
	Attempt uuid.UUID          `form:"attempt" say:"Choose an attempt."`
	Outcome app.InquiryOutcome `form:"outcome"`
}

// inInquiry makes the handler of one form of an inquiry's page.
func inInquiry(which, notice string, do func(*app.App, context.Context, account.Caller, uuid.UUID, inquiryForm) error) handler {
	return func(u *UI, c echo.Context, who account.Caller) error {
		var f inquiryForm
		id, err := pathID(c, "id")
		if err != nil {
			return err
		}
		if err = u.read(c, &f); err == nil {
			err = do(u.app, c.Request().Context(), who, id, f)
		}
		if err != nil {
			return u.again(c, err, which, func(form Form) error { return u.showInquiry(c, who, form) })
		}
		return u.taken(c, "/inquiries/"+id.String(), notice)
	}
}

// inquiryForms are the forms of an inquiry's page.
func inquiryForms() []Route {
	return []Route{
		{Method: post, Path: "/inquiries/:id/notes", About: "Puts something into an inquiry's file.", handle: inInquiry("note", "It is in the file.",
			func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID, f inquiryForm) error {
				return a.NoteInquiry(ctx, who, id, f.Words)
			})},
		{Method: post, Path: "/inquiries/:id/people", About: "Has one more person see an inquiry's file.", handle: inInquiry("people", "They see the file from now on.",
			func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID, f inquiryForm) error {
				return a.NameInInquiry(ctx, who, id, f.Person)
			})},
		{Method: post, Path: "/inquiries/:id/suspend", About: "Freezes an attempt while an inquiry runs.", handle: inInquiry("suspend", "The attempt is frozen. What a phone still sends is kept, and held back.",
			func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID, f inquiryForm) error {
				return a.Suspend(ctx, who, id, f.Attempt)
			})},
		{Method: post, Path: "/inquiries/:id/lift", About: "Has a frozen attempt go on.", handle: inInquiry("lift", "The attempt goes on from where it was.",
			func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID, f inquiryForm) error {
				return a.LiftSuspension(ctx, who, id, f.Attempt, f.Words)
			})},
		{Method: post, Path: "/inquiries/:id/close", About: "Closes an inquiry with what came of it.", handle: inInquiry("close", "Closed.",
			func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID, f inquiryForm) error {
				return a.CloseInquiry(ctx, who, id, f.Outcome, f.Words)
			})},
	}
}
