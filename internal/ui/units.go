package ui

import (
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

// UnitsPage lists the qualification units with their editions.
type UnitsPage struct {
	Frame
	Units []UnitView
	May   bool // enter an edition
}

func (*UnitsPage) template() string { return "units" }

// UnitView is a unit with its editions, the newest first.
type UnitView struct {
	Code     string
	Title    string
	Editions []UnitEditionView
}

// UnitEditionView is one edition as the page shows it.
type UnitEditionView struct {
	app.Unit
	State    string
	Criteria int
}

func (u *UI) units(c echo.Context, who account.Caller) error {
	all, err := u.app.UnitEditions(c.Request().Context(), who)
	if err != nil {
		return err
	}
	return u.render(c, who, 200, &UnitsPage{Frame: Frame{Title: "Qualification units", Here: "/centre"}, Units: unitViews(all, u.now().UTC()),
		May: account.As(who, account.EnterUnits) != ""})
}

// unitViews puts editions, the newest first, under their units.
func unitViews(all []app.Unit, today time.Time) []UnitView {
	var views []UnitView
	inForce := false
	for _, e := range all {
		if len(views) == 0 || views[len(views)-1].Code != e.Code {
			views, inForce = append(views, UnitView{Code: e.Code, Title: e.Title}), false
		}
		v := UnitEditionView{Unit: e}
		switch {
		case today.Before(e.ValidFrom):
			v.State = "in force from " + date(e.ValidFrom)
		case inForce:
			v.State = "followed"
		case !e.ValidTo.IsZero() && today.After(e.ValidTo):
			v.State, inForce = "ended "+date(e.ValidTo), true
		default:
			v.State, inForce = "in force", true
		}
		for _, o := range e.Outcomes {
			v.Criteria += len(o.Criteria)
		}
		last := &views[len(views)-1]
		last.Editions = append(last.Editions, v)
	}
	return views
}

// EnterUnitPage is the form for an edition of a unit.
type EnterUnitPage struct {
	Frame
	Form     Form
	Was      app.Unit // that the form begins from; zero for a new unit
	Text     string
	Problems ListProblems
}

func (*EnterUnitPage) template() string { return "unitform" }

// newUnit shows the form, filled with the newest edition of the unit that is named.
func (u *UI) newUnit(c echo.Context, who account.Caller) error {
	if err := account.May(who, account.EnterUnits); err != nil {
		return err
	}
	p := &EnterUnitPage{}
	if code := c.QueryParam("from"); code != "" {
		all, err := u.app.UnitEditions(c.Request().Context(), who)
		if err != nil {
			return err
		}
		for _, e := range all {
			if e.Code == code && p.Was.Code == "" {
				p.Was, p.Text = e, app.UnitText(e.Outcomes)
			}
		}
	}
	return u.showUnitForm(c, who, p)
}

func (u *UI) showUnitForm(c echo.Context, who account.Caller, p *EnterUnitPage) error {
	p.Frame = Frame{Title: "An edition of a unit", Here: "/centre"}
	return u.render(c, who, p.Form.Status(), p)
}

type unitForm struct {
	Code      string    `form:"code"`
	Title     string    `form:"title"`
	Edition   string    `form:"edition"`
	ValidFrom time.Time `form:"valid_from"`
	ValidTo   time.Time `form:"valid_to"`
	Outcomes  string    `form:"outcomes"`
}

// enterUnit keeps an edition, its outcomes written on the form or sent as a list.
func (u *UI) enterUnit(c echo.Context, who account.Caller) error {
	p := &EnterUnitPage{}
	list, err := sentList(c)
	if err == nil {
		var f unitForm
		if err = u.read(c, &f); err == nil {
			err = u.keepUnit(c, who, f, list, p)
		}
	}
	if err != nil {
		return u.again(c, err, "unit", func(form Form) error { p.Form = form; return u.showUnitForm(c, who, p) })
	}
	return u.taken(c, "/units", "The edition is entered. It stays as it is.")
}

func (u *UI) keepUnit(c echo.Context, who account.Caller, f unitForm, list []byte, p *EnterUnitPage) (err error) {
	e := app.Unit{Code: f.Code, Title: f.Title, Edition: f.Edition, ValidFrom: f.ValidFrom, ValidTo: f.ValidTo}
	if len(list) > 0 {
		if e.Outcomes, p.Problems.All = app.ReadUnitList(list); len(p.Problems.All) > 0 {
			return fault.Invalid("file", "The list is not right yet. What to mend stands below, by line.")
		}
	} else if e.Outcomes, err = app.ReadUnitText(f.Outcomes); err != nil {
		return err
	}
	return u.app.EnterUnit(c.Request().Context(), who, e)
}

// unitList gives the newest edition of a unit as a list, or the headings alone.
func (u *UI) unitList(c echo.Context, who account.Caller) error {
	all, err := u.app.UnitEditions(c.Request().Context(), who)
	if err != nil {
		return err
	}
	var rows [][]string
	code := c.QueryParam("of")
	for _, e := range all {
		if e.Code != code {
			continue
		}
		for _, o := range e.Outcomes {
			for _, k := range o.Criteria {
				rows = append(rows, []string{o.Code, o.Title, k.Code, k.Text, joinLines(k.Range)})
			}
		}
		break
	}
	return sendList(c, "unit.csv", columnNames(app.UnitColumns()), rows)
}

// joinLines puts texts into one cell, a line each.
func joinLines(ss []string) string { return strings.Join(ss, "\n") }
