package ui

import (
	"strconv"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// BlindPage is an attempt as somebody sees it who judges it blind.
type BlindPage struct {
	Frame
	ID        uuid.UUID // of the standardisation
	Of        string    // its title
	Place     int
	OutOf     int // how many there are
	Sheet     *SheetView
	Criteria  []BlindCriterion
	Loose     []ItemView
	Form      Form
	May, Done bool
}

func (*BlindPage) template() string { return "blind" }

// BlindCriterion is one criterion with its evidence, and what the reader said of it.
type BlindCriterion struct {
	CriterionView
	Form Form
	Said *app.BlindJudgement // nil before
}

// Chose says whether the reader chose an outcome in the form that came back.
func (k BlindCriterion) Chose(outcome string) bool { return k.Form.Chose("outcome:"+k.Ref, outcome) }

// Name is the name of one of its fields.
func (k BlindCriterion) Name(field string) string { return field + ":" + k.Ref }

func (u *UI) blind(c echo.Context, who account.Caller) error { return u.showBlind(c, who, Form{}) }

func (u *UI) showBlind(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	attempt, err := pathID(c, "attempt")
	if err != nil {
		return err
	}
	b, err := u.app.BlindSheet(c.Request().Context(), who, id, attempt)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), newBlindPage(b, f.For("blind")))
}

func newBlindPage(b app.BlindSheet, f Form) *BlindPage {
	v := newSheetView(b.Sheet, Form{})
	v.Tutor, v.Findings = true, true
	p := &BlindPage{
		Frame: Frame{Title: b.Title + ": work " + strconv.Itoa(b.Place), Here: "/centre"}, ID: b.Standardisation, Of: b.Title, Place: b.Place, OutOf: b.Of,
		Sheet: v, Form: f, May: b.May, Done: len(b.Said) > 0,
	}
	shown := map[string]bool{}
	for _, k := range v.Criteria {
		out := BlindCriterion{CriterionView: v.criterion(k, shown), Form: f}
		for i := range b.Said {
			if b.Said[i].Criterion == k.Ref {
				out.Said = &b.Said[i]
			}
		}
		p.Criteria = append(p.Criteria, out)
	}
	for _, st := range v.Stages {
		for _, it := range st.Items {
			if !shown[it.Key] {
				p.Loose = append(p.Loose, it)
			}
		}
	}
	return p
}

// mostBlind is how many criteria one form sends at most.
const mostBlind = 500

type blindForm struct {
	Criteria []string `form:"criterion" validate:"max=500"`
}

func (u *UI) judgeBlind(c echo.Context, who account.Caller) error {
	var f blindForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	attempt, err := pathID(c, "attempt")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		form := c.Request().PostForm
		js := make([]decision.Judgement, 0, min(len(f.Criteria), mostBlind))
		for _, ref := range f.Criteria {
			j := decision.Judgement{Criterion: ref, Outcome: decision.Outcome(form.Get("outcome:" + ref)), Words: form.Get("words:" + ref)}
			if j.Outcome == decision.NotYetMet {
				j.Reason = decision.Reason(form.Get("reason:" + ref))
			}
			js = append(js, j)
		}
		err = u.app.JudgeBlind(c.Request().Context(), who, id, attempt, js)
	}
	if err != nil {
		return u.again(c, err, "blind", func(f Form) error { return u.showBlind(c, who, f) })
	}
	return u.taken(c, "/standardisations/"+id.String(), "Kept. What others say is shown once all have judged, or it is closed.")
}
