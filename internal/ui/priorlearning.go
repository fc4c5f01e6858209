package ui

import (
	"context"
	"errors"
	"io"
	"net/http"
	"path"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// PriorsPage lists claims of prior learning, with the form for one.
type PriorsPage struct {
	Frame
	Pages   Paged
	Claims  []app.PriorRow
	Trainee string // whom a new claim is for; "" where the reader makes none
	Units   []Option
	Unit    *app.Unit // that was chosen; nil before
	Form    Form
}

func (*PriorsPage) template() string { return "priors" }

// PriorPage is one claim.
type PriorPage struct {
	Frame
	app.Prior
	Form Form
}

func (*PriorPage) template() string { return "prior" }

// DecideForm is the form that decides one criterion.
func (p *PriorPage) DecideForm(ref string) Form { return p.Form.For("decide-" + ref) }

// LookForm is the form in which an internal quality assurer says what they found.
func (p *PriorPage) LookForm() Form { return p.Form.For("look") }

// Outcomes are what they may find.
func (*PriorPage) Outcomes() []decision.SampleOutcome { return decision.SampleOutcomes() }

// Ticked says whether a criterion is chosen in that form: all are, before it was sent.
func (p *PriorPage) Ticked(ref string) bool {
	f := p.LookForm()
	return !f.Touched() || f.Chose("criteria", ref)
}

// Owners are who an action may be for: the tutors of the trainee.
func (p *PriorPage) Owners() []Option {
	var out []Option
	for _, t := range p.Tutors {
		decided := func(d app.PriorDecision) bool { return d.By == t.Person }
		out = append(out, Option{Value: t.Person.String(), Text: t.Name, Chosen: slices.ContainsFunc(p.Decisions, decided)})
	}
	return out
}

func (u *UI) priors(c echo.Context, who account.Caller) error { return u.showPriors(c, who, Form{}) }

func (u *UI) showPriors(c echo.Context, who account.Caller, f Form) error {
	ctx := c.Request().Context()
	pages := newPaged(c, "/prior-learning")
	claims, err := u.app.Priors(ctx, who, pages.Page)
	if err != nil {
		return err
	}
	pages.Of = claims.Page.Of
	p := &PriorsPage{Frame: Frame{Title: "Prior learning", Here: "/centre"}, Claims: claims.Rows, Pages: pages, Form: f.For("claim")}
	if who.Has(account.Trainee) {
		p.Here, p.Trainee = "/tasks", who.Person.String()
	}
	if id, err := uuid.Parse(c.FormValue("trainee")); err == nil && who.Has(account.Tutor) {
		p.Trainee = id.String()
	}
	if p.Trainee == "" {
		return u.render(c, who, f.Status(), p)
	}
	units, err := u.app.UnitsToClaim(ctx, who)
	if err != nil {
		return err
	}
	for i, x := range units {
		chosen := x.Code == c.FormValue("unit")
		p.Units = append(p.Units, Option{Value: x.Code, Text: x.Code + " " + x.Title, Chosen: chosen})
		if chosen {
			p.Unit = &units[i]
		}
	}
	return u.render(c, who, f.Status(), p)
}

type priorForm struct {
	Trainee  uuid.UUID `form:"trainee" validate:"required" say:"Load the page again."`
	Unit     string    `form:"unit" validate:"required,max=100" say:"Choose the unit."`
	Criteria []string  `form:"criteria" validate:"max=200" say:"Choose at most 200 criteria."`
	Words    string    `form:"words" validate:"required,max=4000" say:"Say what was learned and shown, where and when, and what proves it."`
}

func (u *UI) claimPrior(c echo.Context, who account.Caller) error {
	var f priorForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		id, err = u.app.ClaimPrior(c.Request().Context(), who, app.NewPrior{Trainee: f.Trainee, Unit: f.Unit, Criteria: f.Criteria, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "claim", func(form Form) error { return u.showPriors(c, who, form) })
	}
	return u.taken(c, "/prior-learning/"+id.String(), "Claimed. Now add what proves it.")
}

func (u *UI) prior(c echo.Context, who account.Caller) error { return u.showPrior(c, who, Form{}) }

func (u *UI) showPrior(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	r, err := u.app.Prior(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &PriorPage{Frame: Frame{Title: "Prior learning: " + r.TraineeName, Here: "/centre"}, Prior: r, Form: f}
	if r.Trainee == who.Person {
		p.Here = "/tasks"
	}
	return u.render(c, who, f.Status(), p)
}

func (u *UI) addPriorFile(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	// Those who may not see it learn nothing, and wait for nothing to be read.
	if _, err = u.app.Prior(c.Request().Context(), who, id); err != nil {
		return err
	}
	err = u.takePriorFile(c, who, id)
	if err != nil {
		return u.again(c, err, "file", func(form Form) error { return u.showPrior(c, who, form) })
	}
	return u.taken(c, "/prior-learning/"+id.String()+"#proof", "The file is kept.")
}

// takePriorFile reads the one file of an upload.
func (u *UI) takePriorFile(c echo.Context, who account.Caller, id uuid.UUID) error {
	r := c.Request()
	r.Body = http.MaxBytesReader(c.Response(), r.Body, app.EvidenceLimit+1<<20)
	parts, err := r.MultipartReader()
	if err != nil {
		return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	for {
		part, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			return fault.Invalid("file", "No file was chosen. Choose one, then add it.")
		} else if err != nil {
			return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
		}
		if part.FormName() == "file" && part.FileName() != "" {
			return u.app.AddPriorFile(r.Context(), who, id, path.Base(part.FileName()), part)
		}
	}
}

func (u *UI) priorFile(c echo.Context, who account.Caller) error {
	file, err := pathID(c, "file")
	if err != nil {
		return err
	}
	return u.serveFile(c, who, func(ctx context.Context, who account.Caller, id uuid.UUID) (app.File, error) {
		return u.app.OpenPriorFile(ctx, who, id, file)
	})
}

type decidePriorForm struct {
	Criterion string           `form:"criterion" validate:"required,max=100" say:"Load the page again."`
	Outcome   decision.Outcome `form:"outcome" validate:"required" say:"Choose met or not yet met."`
	Words     string           `form:"words" validate:"required,max=4000" say:"Say what it rests on."`
}

func (u *UI) decidePrior(c echo.Context, who account.Caller) error {
	var f decidePriorForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.DecidePrior(c.Request().Context(), who, id, f.Criterion, f.Outcome, f.Words)
	}
	if err != nil {
		return u.again(c, err, "decide-"+f.Criterion, func(form Form) error { return u.showPrior(c, who, form) })
	}
	return u.taken(c, "/prior-learning/"+id.String(), "Decided.")
}

type lookPriorForm struct {
	Criteria []string               `form:"criteria" validate:"max=200" say:"Choose what you looked at."`
	Outcome  decision.SampleOutcome `form:"outcome" validate:"required" say:"Say whether you agree, agree with an action, or disagree."`
	Words    string                 `form:"words"`
	Action   string                 `form:"action"`
	Owner    uuid.UUID              `form:"owner" say:"Choose who is to do it."`
	Due      time.Time              `form:"due" say:"Give a day, such as 2026-05-14."`
}

func (u *UI) lookAtPrior(c echo.Context, who account.Caller) error {
	var f lookPriorForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.LookAtPrior(c.Request().Context(), who, id,
			app.LookPrior{Criteria: f.Criteria, Outcome: f.Outcome, Words: f.Words, Action: f.Action, Owner: f.Owner, Due: f.Due})
	}
	if err != nil {
		return u.again(c, err, "look", func(form Form) error { return u.showPrior(c, who, form) })
	}
	return u.taken(c, "/prior-learning/"+id.String(), "It is kept: "+f.Outcome.Words()+".")
}
