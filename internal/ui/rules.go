package ui

import (
	"cmp"
	"net/http"
	"strings"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
)

// RulesPage lists the centre's rule sets with their editions.
type RulesPage struct {
	Frame
	Sets     []RuleSetView
	MayWrite bool
}

func (*RulesPage) template() string { return "rules" }

// RuleSetView is one rule set with its editions, the latest first day first.
type RuleSetView struct {
	Key, Title    string
	Demonstration bool
	Editions      []RuleRow
}

// RuleRow is one edition on a day.
type RuleRow struct {
	app.RuleEdition
	Day time.Time // today, as a date
}

// Words says whether the edition counts, and from when to when.
func (r RuleRow) Words() string {
	until := ""
	if !r.LastDay.IsZero() {
		until = " to " + date(r.LastDay)
	}
	switch {
	case !r.Checked():
		return "draft, waits to be checked"
	case !r.LastDay.IsZero() && r.LastDay.Before(r.ValidFrom):
		return "never came into force"
	case r.InForce(r.Day):
		return "in force since " + date(r.ValidFrom) + strings.Replace(until, " to ", ", to ", 1)
	case r.Day.Before(r.ValidFrom):
		return "from " + date(r.ValidFrom) + until
	}
	return "was in force from " + date(r.ValidFrom) + until
}

// Mark is how the state looks: in force, a draft, or neither.
func (r RuleRow) Mark() string {
	switch {
	case r.InForce(r.Day):
		return "good"
	case !r.Checked():
		return "look"
	}
	return ""
}

// RulePage is one edition of a rule set: its rules on the front, the file's text on the back.
type RulePage struct {
	Frame
	Text     app.RuleText
	Row      RuleRow
	Others   []RuleRow // the set's other editions
	Form     Form
	MayWrite bool
}

func (*RulePage) template() string { return "rule" }

// Says names what the edition says, by kind: "limits", "values", "tables".
func (p *RulePage) Says(kind string) []RuleLine {
	var out []RuleLine
	if p.Text.Set == nil {
		return nil
	}
	for _, r := range p.Text.Set.Rules {
		is := "limits"
		switch {
		case r.Table != nil:
			is = "tables"
		case r.Value != "":
			is = "values"
		}
		if is == kind {
			out = append(out, RuleLine{r})
		}
	}
	return out
}

// Named are the rules of this set that a brief names, by their keys.
func (p *RulePage) Named(v app.BriefVersion) []string {
	var keys []string
	for _, r := range v.Rules {
		if key, ok := strings.CutPrefix(r, p.Text.Key+"/"); ok {
			keys = append(keys, key)
		}
	}
	return keys
}

// Cuts says whether checking it has to be meant: it cuts another edition short.
func (p *RulePage) Cuts() bool {
	for _, e := range p.Text.Ends {
		if e.Cuts {
			return true
		}
	}
	return false
}

// RuleLine is one rule as it stands on the page.
type RuleLine struct{ brief.Rule }

// Between says what a table gives between its rows.
func (r RuleLine) Between() string {
	if r.Table.Between == brief.BetweenStraight {
		return "straight lines between the rows, nothing outside them"
	}
	return "only its rows' own values may be asked"
}

// EditRulesPage is the text of an edition being written.
type EditRulesPage struct {
	Frame
	Form     Form
	Source   string
	Over     string // digest of the edition that the writing started from
	Back     string // the page of that edition
	Checked  bool
	Ready    bool
	Problems brief.Problems
}

func (*EditRulesPage) template() string { return "ruleedit" }

// day is today as a date, by the clock that people at a centre read.
func (u *UI) day() time.Time {
	now := u.now().In(app.London())
	return time.Date(now.Year(), now.Month(), now.Day(), 0, 0, 0, 0, time.UTC)
}

func (u *UI) rules(c echo.Context, who account.Caller) error {
	list, err := u.app.RuleSets(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &RulesPage{Frame: Frame{Title: "Rule sets", Here: "/rules"}, MayWrite: account.May(who, account.EnterRules) == nil}
	for _, e := range list {
		if n := len(p.Sets); n == 0 || p.Sets[n-1].Key != e.Key {
			p.Sets = append(p.Sets, RuleSetView{Key: e.Key, Title: e.Title})
		}
		s := &p.Sets[len(p.Sets)-1]
		s.Demonstration = s.Demonstration || e.Demonstration
		s.Editions = append(s.Editions, RuleRow{e, u.day()})
	}
	return u.render(c, who, http.StatusOK, p)
}

// ruleText reads which edition the address names, and loads it.
func (u *UI) ruleText(c echo.Context, who account.Caller) (app.RuleText, error) {
	id, err := pathID(c, "id")
	if err != nil {
		return app.RuleText{}, err
	}
	return u.app.Rules(c.Request().Context(), who, id)
}

func (u *UI) rule(c echo.Context, who account.Caller) error { return u.showRule(c, who, Form{}) }

func (u *UI) showRule(c echo.Context, who account.Caller, f Form) error {
	t, err := u.ruleText(c, who)
	if err != nil {
		return err
	}
	p := &RulePage{
		Frame: Frame{Title: t.Title + ", edition " + t.Edition, Here: "/rules"}, Text: t, Row: RuleRow{t.RuleEdition, u.day()}, Form: f.For("check"),
		MayWrite: account.May(who, account.EnterRules) == nil,
	}
	for _, e := range t.Editions {
		if e.ID != t.ID {
			p.Others = append(p.Others, RuleRow{e, u.day()})
		}
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) newRules(c echo.Context, who account.Caller) error {
	return u.render(c, who, http.StatusOK, &EditRulesPage{Frame: Frame{Title: "A new rule set", Here: "/rules"}, Source: rulesStarter})
}

func (u *UI) editRules(c echo.Context, who account.Caller) error {
	t, err := u.ruleText(c, who)
	if err != nil {
		return err
	}
	p := &EditRulesPage{
		Frame: Frame{Title: "Change: " + t.Title, Here: "/rules"}, Source: t.Source, Over: t.Digest, Back: "/rules/" + t.ID.String(),
		Checked: !t.Checked(), Ready: t.Ready(), Problems: t.Problems,
	}
	if t.Checked() {
		p.Title = "The next edition: " + t.Title
	}
	return u.render(c, who, http.StatusOK, p)
}

type rulesForm struct {
	Source string `form:"source" validate:"required" say:"Write the rule set's text."`
	Over   string `form:"over" validate:"max=64"`
	Back   string `form:"back"`
	Do     string `form:"do" validate:"oneof=check save"`
}

func (u *UI) saveRules(c echo.Context, who account.Caller) error {
	var f rulesForm
	if err := u.read(c, &f); err != nil {
		return u.again(c, err, "rules", func(form Form) error { return u.renderEditRules(c, who, f, form) })
	}
	f.Source = strings.ReplaceAll(f.Source, "\r\n", "\n") // as browsers send it
	if f.Do == "check" {
		return u.renderEditRules(c, who, f, Form{})
	}
	id, err := u.app.SaveRules(c.Request().Context(), who, f.Source, f.Over)
	if err != nil {
		return u.again(c, err, "rules", func(form Form) error { return u.renderEditRules(c, who, f, form) })
	}
	return u.taken(c, "/rules/"+id.String(), "The draft is kept. It counts once somebody else has checked it.")
}

// renderEditRules shows the text as it was typed with what the checker says of it.
func (u *UI) renderEditRules(c echo.Context, who account.Caller, f rulesForm, form Form) error {
	rs, problems, err := u.app.CheckRules(c.Request().Context(), who, f.Source, f.Over)
	if err != nil {
		return err
	}
	p := &EditRulesPage{
		Frame: Frame{Title: "A rule set being written", Here: "/rules"}, Form: form.For("rules"), Source: f.Source, Over: f.Over, Back: samePage(f.Back),
		Checked: true, Problems: problems, Ready: rs != nil && problems.Err() == nil,
	}
	if rs != nil {
		p.Title = cmp.Or(rs.Title, p.Title)
	}
	return u.render(c, who, form.Status(), p)
}

type checkRulesForm struct {
	Digest string `form:"digest" validate:"required,max=64"`
	Cut    bool   `form:"cut"`
}

func (u *UI) checkRules(c echo.Context, who account.Caller) error {
	var f checkRulesForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.ConfirmRules(c.Request().Context(), who, id, f.Digest, f.Cut)
	}
	if err != nil {
		return u.again(c, err, "check", func(form Form) error { return u.showRule(c, who, form) })
	}
	return u.taken(c, "/rules/"+id.String(), "Checked. From now on this edition never changes; look at what it changes, and for whom.")
}

// rulesStarter is what a new rule set starts from. Its limit, value and table are invented.
const rulesStarter = `rule-set: 1
key: my-limits
title: Limits of our own
edition: "1"
valid-from: 2026-01-01
source: the standard's name, its edition and date, and the page
rules:
  - key: cpc
    is: resistance of the protective conductor, end to end
    at-most: 0.5 Ω
  - key: cv
    is: calorific value of the gas, gross
    value: 39 MJ/m³
  - key: longest
    is: longest discharge pipe by its diameter
    table:
      of: mm
      gives: m
      between: exact
      rows:
        - {at: "22", is: "9"}
        - {at: "28", is: "18"}
`
