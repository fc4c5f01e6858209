package ui

import (
	"fmt"
	"strconv"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

// AlikePage lists photos of different trainees that are worth a look.
type AlikePage struct {
	Frame
	List app.AlikeList
	Form Form
}

func (*AlikePage) template() string { return "alike" }

// Before and After are the numbers of the pages beside it; 0 for none.
func (p *AlikePage) Before() int { return p.List.Page - 1 }

// After is the number of the page after it; 0 for none.
func (p *AlikePage) After() int {
	if !p.List.More {
		return 0
	}
	return p.List.Page + 1
}

// Setting is one number of the setting as a field of the form.
func (p *AlikePage) Setting(name, label, now string) Field {
	f := p.Form.Field(name, label).Needed()
	f.Value, f.Mode = p.Form.Typed(name, now), "decimal"
	return f
}

// Correlation is the setting's, as it is typed.
func (p *AlikePage) Correlation() string {
	return strconv.FormatFloat(p.List.Setting.Correlation, 'f', -1, 64)
}

// AlikePairPage is two photos side by side.
type AlikePairPage struct {
	Frame
	Pair app.AlikePair
	Form Form
	At   string
}

func (*AlikePairPage) template() string { return "alikepair" }

// AlikeReadingsPage is the readings of two attempts side by side.
type AlikeReadingsPage struct {
	Frame
	Readings app.AlikeReadings
	Form     Form
	At       string
}

func (*AlikeReadingsPage) template() string { return "alikereadings" }

// AlikeLooksView is what was found out about two things, and the form to say it in.
type AlikeLooksView struct {
	Looks   []AlikeLookView
	MayLook bool
	Form    Form
	At      string
}

// AlikeLookView is one thing that was found out.
type AlikeLookView struct{ Outcome, Words, ByName, At string }

// Outcomes are what may be found out.
func (AlikeLooksView) Outcomes() []Option {
	os := []Option{{Value: "", Text: "choose"}}
	for _, o := range app.AlikeOutcomes() {
		os = append(os, Option{Value: o, Text: sentence(app.AlikeWords(o))})
	}
	return os
}

func alikeLooks(looks []app.AlikeLook, may bool, f Form, at string) AlikeLooksView {
	v := AlikeLooksView{MayLook: may, Form: f.For("look"), At: at}
	for _, l := range looks {
		v.Looks = append(v.Looks, AlikeLookView{app.AlikeWords(l.Outcome), l.Words, l.ByName, clock(l.At)})
	}
	return v
}

// Found is what was found out.
func (p *AlikePairPage) Found() AlikeLooksView {
	return alikeLooks(p.Pair.Looks, p.Pair.MayLook, p.Form, p.At)
}

// Found is what was found out.
func (p *AlikeReadingsPage) Found() AlikeLooksView {
	return alikeLooks(p.Readings.Looks, p.Readings.MayLook, p.Form, p.At)
}

// How says in what the two photos are alike.
func (p *AlikePairPage) How() string {
	switch f := p.Pair.Found; {
	case p.Pair.Exact:
		return "They are the same file, byte for byte."
	case f == nil:
		return "How near they are is not worked out."
	default:
		return fmt.Sprintf("They look alike: laid over each other they agree to %.0f in 100, where 100 is the same picture. Two photos of one bay from the same place may do that honestly.", f.Correlation*100)
	}
}

func alikeAt(a app.Alike) string {
	what := "pictures"
	if a.Readings {
		what = "readings"
	}
	return "/alike/" + what + "/" + a.One.String() + "/" + a.Other.String()
}

// AskView is something to ask, and the address where the two things that it is about stand side by side; "" for none.
type AskView struct{ Text, At string }

func seeAt(a app.Ask) string {
	if a.See.One == uuid.Nil {
		return ""
	}
	return alikeAt(a.See)
}

func (u *UI) alike(c echo.Context, who account.Caller) error { return u.showAlike(c, who, Form{}) }

func (u *UI) showAlike(c echo.Context, who account.Caller, f Form) error {
	l, err := u.app.AlikeRows(c.Request().Context(), who, pageAsked(c))
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &AlikePage{Frame: Frame{Title: "Look at these two", Here: "/centre"}, List: l, Form: f.For("alike")})
}

func alikePath(c echo.Context) (one, other uuid.UUID, err error) {
	if one, err = pathID(c, "one"); err == nil {
		other, err = pathID(c, "other")
	}
	return one, other, err
}

func (u *UI) alikePair(c echo.Context, who account.Caller) error { return u.showPair(c, who, Form{}) }

func (u *UI) showPair(c echo.Context, who account.Caller, f Form) error {
	one, other, err := alikePath(c)
	if err != nil {
		return err
	}
	p, err := u.app.AlikePair(c.Request().Context(), who, one, other)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &AlikePairPage{Frame: Frame{Title: "Look at these two", Here: "/centre"}, Pair: p, Form: f, At: alikeAt(app.Alike{One: one, Other: other})})
}

func (u *UI) alikeReadings(c echo.Context, who account.Caller) error {
	return u.showReadings(c, who, Form{})
}

func (u *UI) showReadings(c echo.Context, who account.Caller, f Form) error {
	one, other, err := alikePath(c)
	if err != nil {
		return err
	}
	p, err := u.app.AlikeReadings(c.Request().Context(), who, one, other)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &AlikeReadingsPage{Frame: Frame{Title: "Look at these readings", Here: "/centre"}, Readings: p, Form: f, At: alikeAt(app.Alike{Readings: true, One: one, Other: other})})
}

type alikeForm struct {
	ID      uuid.UUID `form:"id"`
	Outcome string    `form:"outcome"`
	Words   string    `form:"words"`
}

func (u *UI) lookAtPair(c echo.Context, who account.Caller) error {
	var f alikeForm
	one, other, err := alikePath(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LookAtPair(c.Request().Context(), who, one, other, app.Look{ID: f.ID, Outcome: f.Outcome, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "look", func(form Form) error { return u.showPair(c, who, form) })
	}
	return u.taken(c, alikeAt(app.Alike{One: one, Other: other}), "Kept. It is no longer asked about.")
}

func (u *UI) lookAtReadings(c echo.Context, who account.Caller) error {
	var f alikeForm
	one, other, err := alikePath(c)
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LookAtReadings(c.Request().Context(), who, one, other, app.Look{ID: f.ID, Outcome: f.Outcome, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "look", func(form Form) error { return u.showReadings(c, who, form) })
	}
	return u.taken(c, alikeAt(app.Alike{Readings: true, One: one, Other: other}), "Kept. It is no longer asked about.")
}

type alikeSettingForm struct {
	Pattern     int    `form:"pattern" say:"Type a whole number from 0 to 10."`
	Edges       int    `form:"edges" say:"Type a whole number from 0 to 8."`
	Correlation string `form:"correlation"`
	Words       string `form:"words"`
}

func (u *UI) setAlike(c echo.Context, who account.Caller) error {
	var f alikeSettingForm
	err := u.read(c, &f)
	if err == nil {
		least, bad := strconv.ParseFloat(f.Correlation, 64)
		if bad != nil {
			err = fault.Invalid("correlation", "Type a number from 0.5 to 1, such as 0.95.")
		} else {
			err = u.app.SetAlike(c.Request().Context(), who, app.AlikeSetting{Pattern: f.Pattern, Edges: f.Edges, Correlation: least, Words: f.Words})
		}
	}
	if err != nil {
		return u.again(c, err, "alike", func(form Form) error {
			if account.May(who, account.SeeAlike) != nil {
				return err
			}
			return u.showAlike(c, who, form)
		})
	}
	return u.taken(c, "/alike", "Kept for this centre.")
}
