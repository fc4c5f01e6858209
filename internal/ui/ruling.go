package ui

import (
	"net/url"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// RulingsPage lists the centre's rulings, with the form for one.
type RulingsPage struct {
	Frame
	Rulings  []app.RulingRow
	Criteria []Option
	From     string // the standardisation that leads to a new one; "" for none
	Asked    string // the criterion that a link asked for
	Form     Form
	May      bool
}

func (*RulingsPage) template() string { return "rulings" }

// Criterion is the choice of the criterion.
func (p *RulingsPage) Criterion() Field {
	f := p.Form.Field("criterion", "Criterion")
	if f.Value == "" {
		f.Value = p.Asked
	}
	return f.From(p.Criteria).Needed()
}

// Doubts is the choice of what it puts in question.
func (p *RulingsPage) Doubts() Field {
	return p.Form.Field("doubts", "Which earlier decisions it puts in question").From([]Option{
		{Value: "", Text: "choose"}, {Value: "met", Text: "those that said met"}, {Value: "not_yet_met", Text: "those that said not yet met"},
		{Value: "both", Text: "all"}, {Value: "none", Text: "none: it only makes plain what was meant"},
	}).Needed()
}

// RulingPage is one ruling with what it puts in question.
type RulingPage struct {
	Frame
	app.Ruling
	Form Form
}

func (*RulingPage) template() string { return "ruling" }

// DoubtsWords says what it puts in question.
func (p *RulingPage) DoubtsWords() string {
	words := map[app.Doubts]string{"met": "decisions that said met", "not_yet_met": "decisions that said not yet met", "both": "all decisions"}[p.Ruling.Doubts]
	if words == "" {
		return "It puts no earlier decision in question."
	}
	s := "It puts in question " + words + " before that day"
	if !p.Since.IsZero() {
		s += ", from " + date(p.Since) + " on"
	}
	return s + "."
}

// Led says whether a standardisation led to it.
func (p *RulingPage) Led() bool { return p.Standardisation != uuid.Nil }

// LookWords is the outcome of a look in words.
func (*RulingPage) LookWords(q app.Questioned) string {
	switch q.Looked {
	case "stands":
		return "it stands"
	case "afresh":
		return "to be decided afresh"
	}
	return "nobody has looked yet"
}

// Act is the form in which somebody is asked to do something because of it.
func (p *RulingPage) Act() ActionForm {
	return actionForm(p.Form, "/rulings/"+p.ID.String()+"/actions", p.Owners, nil)
}

// Work names no attempt: the list of decisions does.
func (*RulingPage) Work(uuid.UUID) string { return "" }

// LookForm is the form of one decision.
func (p *RulingPage) LookForm(q app.Questioned) Form { return p.Form.For("look-" + q.Record.String()) }

// Onward is the address of the next page.
func (p *RulingPage) Onward() string {
	return "/rulings/" + p.ID.String() + "?" + url.Values{"at": {p.Next.At.UTC().Format(time.RFC3339Nano)}, "record": {p.Next.Record.String()}}.Encode()
}

func (u *UI) rulings(c echo.Context, who account.Caller) error { return u.showRulings(c, who, Form{}) }

func (u *UI) showRulings(c echo.Context, who account.Caller, f Form) error {
	ctx := c.Request().Context()
	rulings, err := u.app.Rulings(ctx, who)
	if err != nil {
		return err
	}
	p := &RulingsPage{Frame: Frame{Title: "Rulings", Here: "/centre"}, Rulings: rulings, Form: f.For("rule"), May: account.As(who, account.Rule) != "", Asked: c.QueryParam("criterion")}
	if id, err := uuid.Parse(c.QueryParam("from")); err == nil {
		p.From = id.String()
	}
	if p.May {
		units, err := u.app.Units(ctx, who)
		if err != nil {
			return err
		}
		p.Criteria = []Option{{Value: "", Text: "choose"}}
		for _, unit := range units {
			for _, o := range unit.Outcomes {
				for _, k := range o.Criteria {
					p.Criteria = append(p.Criteria, Option{Value: unit.Code + "/" + k.Code, Text: unit.Code + "/" + k.Code + " " + k.Text})
				}
			}
		}
	}
	return u.render(c, who, f.Status(), p)
}

type rulingForm struct {
	From        uuid.UUID  `form:"from" say:"Load the page again."`
	Criterion   string     `form:"criterion" validate:"required,max=100" say:"Choose the criterion."`
	Words       string     `form:"words" validate:"required,max=4000" say:"Say in plain words how it is to be read."`
	Doubts      app.Doubts `form:"doubts" validate:"required" say:"Say which earlier decisions it puts in question."`
	EffectiveOn time.Time  `form:"effective_on" validate:"required" say:"Say from which day on it holds, as year-month-day."`
	Since       time.Time  `form:"since" say:"Write the day as year-month-day, or leave it empty."`
}

func (u *UI) makeRuling(c echo.Context, who account.Caller) error {
	var f rulingForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		id, err = u.app.MakeRuling(c.Request().Context(), who, app.NewRuling{
			Standardisation: f.From, Criterion: f.Criterion, Words: f.Words, Doubts: f.Doubts, EffectiveOn: f.EffectiveOn, Since: f.Since,
		})
	}
	if err != nil {
		return u.again(c, err, "rule", func(form Form) error { return u.showRulings(c, who, form) })
	}
	return u.taken(c, "/rulings/"+id.String(), "The ruling is kept. Nothing that was decided has changed.")
}

func (u *UI) ruling(c echo.Context, who account.Caller) error { return u.showRuling(c, who, Form{}) }

func (u *UI) showRuling(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var after app.After
	if at, err := time.Parse(time.RFC3339Nano, c.QueryParam("at")); err == nil {
		after.At = at
		if after.Record, err = uuid.Parse(c.QueryParam("record")); err != nil {
			after = app.After{}
		}
	}
	r, err := u.app.Ruling(c.Request().Context(), who, id, after)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &RulingPage{Frame: Frame{Title: "Ruling on " + r.Criterion, Here: "/centre"}, Ruling: r, Form: f})
}

type rulingLookForm struct {
	Record  uuid.UUID `form:"record" validate:"required" say:"Load the page again."`
	Outcome string    `form:"outcome" validate:"required" say:"Say whether it stands, or is to be decided afresh."`
	Words   string    `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Due     time.Time `form:"due" say:"Write the day as year-month-day."`
}

func (u *UI) lookUnderRuling(c echo.Context, who account.Caller) error {
	var f rulingLookForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LookUnderRuling(c.Request().Context(), who, app.RulingLook{Ruling: id, Record: f.Record, Outcome: f.Outcome, Words: f.Words, Due: f.Due})
	}
	if err != nil {
		return u.again(c, err, "look-"+f.Record.String(), func(form Form) error { return u.showRuling(c, who, form) })
	}
	return u.taken(c, "/rulings/"+id.String(), "Kept. Nothing is undone by it.")
}
