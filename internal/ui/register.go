package ui

import (
	"net/url"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// RegisterPage lists the centre's instruments.
type RegisterPage struct {
	Frame
	Rows    []RegisterRow
	All     int           // instruments of the register
	Waiting []RegisterRow // that somebody has to see to, as many as are listed
	Waits   app.RegisterWaits
	Find    Field
	Pages   Paged
	Form    Form
	MayKeep bool
}

func (*RegisterPage) template() string { return "register" }

// RegisterRow is an instrument as it stands today.
type RegisterRow struct{ app.RegisterRow }

// Words says how it stands.
func (r RegisterRow) Words() string {
	switch {
	case !r.InUse():
		return "out of use since " + day(r.RetiredAt)
	case r.Doubt == decision.Overdue:
		return "overdue since " + dateWords(string(r.Due))
	case r.Doubt == decision.Uncalibrated:
		return "no calibration entered"
	case r.Doubt != "":
		return "found to read wrong"
	case r.Soon:
		return "due by " + dateWords(string(r.Due))
	}
	return "in date"
}

// Mark is how the state looks.
func (r RegisterRow) Mark() string {
	switch {
	case !r.InUse():
		return ""
	case r.Doubt != "", r.Soon:
		return "look"
	}
	return "good"
}

// MoreWaiting is how many wait that are not listed.
func (p *RegisterPage) MoreWaiting() int {
	return p.Waits.Wrong + p.Waits.Overdue + p.Waits.Soon - len(p.Waiting)
}

// Lead says in a sentence how the register stands.
func (p *RegisterPage) Lead() string {
	var ss []string
	add := func(n int, one, many string) {
		if n > 0 {
			ss = append(ss, count(n, one, many))
		}
	}
	add(p.Waits.Wrong, "instrument reads wrong", "instruments read wrong")
	add(p.Waits.Overdue, "is overdue", "are overdue")
	add(p.Waits.Soon, "is due within thirty days", "are due within thirty days")
	if len(ss) == 0 {
		return "Nothing is overdue, and nothing is due within thirty days."
	}
	return sentence(strings.Join(ss, ", ")) + "."
}

func (u *UI) register(c echo.Context, who account.Caller) error {
	return u.showRegister(c, who, Form{})
}

func (u *UI) showRegister(c echo.Context, who account.Caller, f Form) error {
	pages := newPaged(c, "/instruments")
	typed := strings.TrimSpace(c.QueryParam("find"))
	found, err := u.app.FindRegister(c.Request().Context(), who, typed, pages.Page)
	if err != nil {
		return err
	}
	if pages.Of, pages.All = found.Page.Of, found.In; typed != "" {
		pages.Address += "?" + url.Values{"find": {typed}}.Encode()
	}
	p := &RegisterPage{Frame: Frame{Title: "Instruments", Here: "/centre"}, All: found.All, Waits: found.Waits, Pages: pages, Form: f.For("instrument"), MayKeep: account.May(who, account.KeepRegister) == nil,
		Find: Field{ID: "find", Name: "find", Label: "Name, serial number or kind", Kind: "text", Value: typed, Auto: "off"}}
	for _, r := range found.Rows {
		p.Rows = append(p.Rows, RegisterRow{r})
	}
	for _, r := range found.Waiting[:min(len(found.Waiting), listShown)] {
		p.Waiting = append(p.Waiting, RegisterRow{r})
	}
	return u.render(c, who, f.Status(), p)
}

type registerForm struct {
	Name       string `form:"name"`
	Serial     string `form:"serial"`
	Kinds      string `form:"kinds"`
	Measures   string `form:"measures"`
	Resolution string `form:"resolution"`
	Accuracy   string `form:"accuracy"`
}

func (u *UI) addToRegister(c echo.Context, who account.Caller) error {
	var f registerForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		id, err = u.app.AddToRegister(c.Request().Context(), who, app.NewRegistered{
			Name: f.Name, Serial: f.Serial, Kinds: app.KindsIn(f.Kinds),
			Measures: f.Measures, Resolution: f.Resolution, Accuracy: f.Accuracy,
		})
	}
	if err != nil {
		return u.again(c, err, "instrument", func(form Form) error { return u.showRegister(c, who, form) })
	}
	return u.taken(c, "/instruments/"+id.String(), "It is in the register. Enter its calibration next.")
}

// InstrumentPage is one instrument of the register.
type InstrumentPage struct {
	Frame
	Row      RegisterRow
	Sheet    app.RegisterSheet
	Form     Form
	SeesWork bool // may go on to the readings
}

func (*InstrumentPage) template() string { return "instrument" }

// CheckupView is a calibration or check with the forms beside it.
type CheckupView struct {
	app.RegisterEvent
	On *InstrumentPage
}

// Events are its calibrations and checks, the latest first.
func (p *InstrumentPage) Events() []CheckupView {
	var vs []CheckupView
	for i := len(p.Sheet.Events) - 1; i >= 0; i-- {
		vs = append(vs, CheckupView{p.Sheet.Events[i], p})
	}
	return vs
}

// Form is the form in which it is struck out.
func (v CheckupView) Form() Form { return v.On.Form.For("strike-" + v.ID.String()) }

// When is its day, and of a check in house its time.
func (v CheckupView) When() string {
	if v.What == decision.Calibration {
		return day(v.DoneAt)
	}
	return clock(v.DoneAt)
}

// Outcome says what was found.
func (v CheckupView) Outcome() string {
	switch {
	case !v.StruckAt.IsZero():
		return "struck out"
	case v.Good:
		return "reads true"
	}
	return "reads wrong"
}

// Mark is how that looks.
func (v CheckupView) Mark() string {
	switch {
	case !v.StruckAt.IsZero():
		return ""
	case v.Good:
		return "good"
	}
	return "bad"
}

// Spans says which readings it puts in question.
func (v CheckupView) Spans() string { return spanWords(v.From, v.To) }

func spanWords(from, to time.Time) string {
	since := "before and after that day"
	if !from.IsZero() {
		since = "since " + clock(from)
		if h, m, s := from.In(app.London()).Clock(); h+m+s == 0 { // a calibration's, of which nobody knows the hour
			since = "since " + day(from)
		}
	}
	if !to.IsZero() {
		return since + ", until " + clock(to)
	}
	return since
}

// Checks are the checks in house that are offered.
func (*InstrumentPage) Checks() []Option {
	os := []Option{{Value: "", Text: "choose"}}
	for _, c := range decision.Checks() {
		os = append(os, Option{Value: string(c), Text: c.Words()})
	}
	return os
}

// Expected says of each check what it should find.
func (*InstrumentPage) Expected() []string {
	var ss []string
	for _, c := range decision.Checks() {
		ss = append(ss, sentence(c.Words())+": "+c.Expects()+".")
	}
	return ss
}

// Found are the two things that a calibration or check may find.
func (*InstrumentPage) Found() []Option {
	return []Option{{Value: "", Text: "choose"}, {Value: "yes", Text: "it reads true"}, {Value: "no", Text: "it reads wrong"}}
}

func (u *UI) instrument(c echo.Context, who account.Caller) error {
	return u.showInstrument(c, who, Form{})
}

func (u *UI) showInstrument(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.OneOfRegister(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &InstrumentPage{Frame: Frame{Title: s.Name, Here: "/centre"}, Row: RegisterRow{s.RegisterRow}, Sheet: s, Form: f, SeesWork: account.May(who, account.SeeTouched) == nil}
	return u.render(c, who, f.Status(), p)
}
