package ui

import (
	"strconv"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/sampling"
)

// SamplingPage is the plans that are followed and the samples that were drawn.
type SamplingPage struct {
	Frame
	Sampling       app.Sampling
	Form           Form
	May            bool // make a plan
	Units, Cohorts []Option
	Factors        []Field // of the reasons to look closer
}

func (*SamplingPage) template() string { return "sampling" }

// factorFields has a field for each reason to look closer, with what it usually adds.
func factorFields(f Form) []Field {
	var fields []Field
	usual := sampling.UsualWeights()
	for _, x := range sampling.Factors() {
		fields = append(fields, f.Field(string(x), sentence(x.Words())).As("number").Begun(strconv.Itoa(usual[x])))
	}
	return fields
}

// StageWords says what a plan samples.
func (*SamplingPage) StageWords(s app.SampleStage) string { return stageWords(s) }

func stageWords(s app.SampleStage) string {
	if s == app.Interim {
		return "while it is being judged"
	}
	return "signed off, before a claim"
}

func (u *UI) sampling(c echo.Context, who account.Caller) error {
	return u.showSampling(c, who, Form{})
}

func (u *UI) showSampling(c echo.Context, who account.Caller, f Form) error {
	ctx := c.Request().Context()
	s, err := u.app.Sampling(ctx, who)
	if err != nil {
		return err
	}
	p := &SamplingPage{Frame: Frame{Title: "Sampling", Here: "/centre"}, Sampling: s, Form: f, May: account.As(who, account.PlanSample) != ""}
	if p.May {
		units, err := u.app.Units(ctx, who)
		if err != nil {
			return err
		}
		cohorts, err := u.app.Cohorts(ctx, who)
		if err != nil {
			return err
		}
		p.Units, p.Cohorts = unitOptions(units, "every unit"), cohortOptions(cohorts, "every cohort")
		p.Factors = factorFields(f.For("plan"))
	}
	return u.render(c, who, f.Status(), p)
}

// unitOptions and cohortOptions are what to choose from, after the words for all of them ("" for none).
func unitOptions(units []app.Unit, all string) []Option {
	var out []Option
	if all != "" {
		out = append(out, Option{Value: "", Text: all})
	}
	for _, x := range units {
		out = append(out, Option{Value: x.Code, Text: x.Code + " " + x.Title})
	}
	return out
}

func cohortOptions(cohorts []app.CohortRow, all string) []Option {
	var out []Option
	if all != "" {
		out = append(out, Option{Value: "", Text: all})
	}
	for _, x := range cohorts {
		out = append(out, Option{Value: x.ID.String(), Text: x.Name})
	}
	return out
}

type samplingPlanForm struct {
	Name   string          `form:"name"`
	Stage  app.SampleStage `form:"stage"`
	Unit   string          `form:"unit"`
	Cohort uuid.UUID       `form:"cohort"`
	Share  int             `form:"share" say:"Say how much to draw, as a whole number from 1 to 100."`
	Words  string          `form:"words"`
}

func (u *UI) addSamplingPlan(c echo.Context, who account.Caller) error {
	var f samplingPlanForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		weights := sampling.Weights{}
		for _, x := range sampling.Factors() {
			n, e := strconv.Atoi(c.Request().PostForm.Get(string(x)))
			if e != nil {
				n = -1 // which the plan's check refuses in words
			}
			weights[x] = n
		}
		id, err = u.app.AddSamplingPlan(c.Request().Context(), who, app.SamplingPlan{Name: f.Name, Stage: f.Stage, Unit: f.Unit, Cohort: f.Cohort, Share: f.Share, Weights: weights, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "plan", func(form Form) error { return u.showSampling(c, who, form) })
	}
	return u.taken(c, "/sampling/"+id.String(), "The plan is kept. Read what a sample would show, then draw it.")
}

// SamplingPlanPage is what a draw under a plan would show, and the button that draws it.
type SamplingPlanPage struct {
	Frame
	Planned app.PlannedSample
	Form    Form
	Ends    bool // the reader may end it
}

func (*SamplingPlanPage) template() string { return "samplingplan" }

// Next is the number of the sample that would be drawn.
func (p *SamplingPlanPage) Next() int { return p.Planned.Plan.Samples + 1 }

// StageWords says what the plan samples.
func (*SamplingPlanPage) StageWords(s app.SampleStage) string { return stageWords(s) }

// FactorWords is reasons to look closer in words.
func (*SamplingPlanPage) FactorWords(why []sampling.Factor) string { return factorWords(why) }

func factorWords(why []sampling.Factor) string {
	var words []string
	for _, f := range why {
		words = append(words, f.Words())
	}
	return join(words)
}

func (u *UI) samplingPlan(c echo.Context, who account.Caller) error {
	return u.showSamplingPlan(c, who, Form{})
}

func (u *UI) showSamplingPlan(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	p, err := u.app.PlanSample(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &SamplingPlanPage{Frame: Frame{Title: p.Plan.Name, Here: "/centre"}, Planned: p, Form: f,
		Ends: p.Plan.EndedAt.IsZero() && account.As(who, account.PlanSample) != ""})
}

type drawSampleForm struct {
	Number int `form:"number" validate:"min=1" say:"Load the page again, then draw."`
}

func (u *UI) drawSample(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var f drawSampleForm
	var sample uuid.UUID
	if err = u.read(c, &f); err == nil {
		sample, err = u.app.DrawSample(c.Request().Context(), who, id, f.Number)
	}
	if err != nil {
		return u.again(c, err, "draw", func(form Form) error { return u.showSamplingPlan(c, who, form) })
	}
	return u.taken(c, "/samples/"+sample.String(), "The sample is drawn.")
}

func (u *UI) endSamplingPlan(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err == nil {
		err = u.app.EndSamplingPlan(c.Request().Context(), who, id)
	}
	if err != nil {
		return u.again(c, err, "end", func(form Form) error { return u.showSamplingPlan(c, who, form) })
	}
	return u.taken(c, "/sampling", "The plan has ended. What was drawn under it stays.")
}
