package ui

import (
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/sampling"
)

// SamplePage is a sample: what was drawn, what was found, and what follows from it.
type SamplePage struct {
	Frame
	Sample app.SampleSheet
	Pages  Paged
	Form   Form
}

func (*SamplePage) template() string { return "sample" }

// FactorWords is reasons to look closer in words.
func (*SamplePage) FactorWords(why []sampling.Factor) string { return factorWords(why) }

// Stands is how a stratum stands, in words.
func (p *SamplePage) Stands(s app.SampleStratum) string {
	switch {
	case s.Found > 0:
		return "disagreed with: draw again once it is decided afresh"
	case !s.Clear():
		return fmt.Sprintf("%d of %d looked at", s.Looked, s.Drawn)
	case p.Sample.Stage == app.Final && s.Signed > 0:
		return fmt.Sprintf("in order; %d can be cleared", s.Signed)
	}
	return "in order"
}

// AtOnce says how many are cleared at once, where not all are; 0 where they are.
func (p *SamplePage) AtOnce() int {
	if p.Sample.Clearable > app.ClearAtOnce {
		return app.ClearAtOnce
	}
	return 0
}

func (u *UI) sample(c echo.Context, who account.Caller) error { return u.showSample(c, who, Form{}) }

func (u *UI) showSample(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	pages := newPaged(c, "/samples/"+id.String())
	s, err := u.app.Sample(c.Request().Context(), who, id, pages.Page)
	if err != nil {
		return err
	}
	pages.All, pages.Of = s.Size, s.Page.Of
	return u.render(c, who, f.Status(), &SamplePage{Frame: Frame{Title: fmt.Sprintf("%s, sample %d", s.PlanName, s.Number), Here: "/centre"}, Sample: s, Pages: pages, Form: f})
}

func (u *UI) clearSample(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	var done app.ClearedForClaim
	if err == nil {
		done, err = u.app.ClearForClaim(c.Request().Context(), who, id)
	}
	if err != nil {
		return u.again(c, err, "clear", func(form Form) error { return u.showSample(c, who, form) })
	}
	said := count(done.Cleared, "attempt is", "attempts are") + " cleared for claim."
	if done.Left > 0 {
		said += " " + sentence(count(done.Left, "is", "are")) + " left: press again to go on."
	}
	if len(done.Apart) > 0 {
		said += " Because of your conflict of interest, somebody else clears the work of " + strings.Join(done.Apart, ", ") + "."
	}
	return u.taken(c, "/samples/"+id.String(), said)
}

func (u *UI) endSample(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err == nil {
		err = u.app.EndSample(c.Request().Context(), who, id)
	}
	if err != nil {
		return u.again(c, err, "end", func(form Form) error { return u.showSample(c, who, form) })
	}
	return u.taken(c, "/samples/"+id.String(), "The sample has ended. What nobody looked at can be drawn again.")
}

// DrawnAgainPage says whether a sample comes to the same when it is drawn again.
type DrawnAgainPage struct {
	Frame
	Again app.DrawnAgain
}

func (*DrawnAgainPage) template() string { return "drawnagain" }

func (u *UI) drawAgain(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	a, err := u.app.DrawAgain(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.render(c, who, 200, &DrawnAgainPage{Frame{Title: fmt.Sprintf("%s, sample %d, drawn again", a.PlanName, a.Number), Here: "/centre"}, a})
}

func (u *UI) sampleList(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	a, err := u.app.DrawAgain(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderContentDisposition, `attachment; filename="sample-list.txt"`)
	return c.Blob(http.StatusOK, "text/plain; charset=utf-8", a.List)
}

// SampledPage is a drawn attempt in front of a sampler.
type SampledPage struct {
	Frame
	At     app.SampledAttempt
	Form   Form
	Owners []Option
}

func (*SampledPage) template() string { return "sampled" }

// Outcomes lists what can be said.
func (*SampledPage) Outcomes() []decision.SampleOutcome { return decision.SampleOutcomes() }

// OutcomeWords is a decision in words.
func (*SampledPage) OutcomeWords(r decision.Record) string {
	return decision.Outcome(r.Outcome).Words()
}

// FactorWords is reasons to look closer in words.
func (*SampledPage) FactorWords(why []sampling.Factor) string { return factorWords(why) }

func (u *UI) sampled(c echo.Context, who account.Caller) error { return u.showSampled(c, who, Form{}) }

func (u *UI) showSampled(c echo.Context, who account.Caller, f Form) error {
	sample, attempt, err := sampledPath(c)
	if err != nil {
		return err
	}
	at, err := u.app.SampledAttempt(c.Request().Context(), who, sample, attempt)
	if err != nil {
		return err
	}
	p := &SampledPage{Frame: Frame{Title: at.Drawn.TraineeName + ": " + at.Drawn.Title, Here: "/centre"}, At: at, Form: f}
	for _, m := range at.Owners {
		p.Owners = append(p.Owners, Option{Value: m.Person.String(), Text: m.Name, Chosen: m.Person == at.Drawn.Assessor})
	}
	return u.render(c, who, f.Status(), p)
}

func sampledPath(c echo.Context) (sample, attempt uuid.UUID, err error) {
	if sample, err = pathID(c, "id"); err != nil {
		return uuid.Nil, uuid.Nil, err
	}
	attempt, err = pathID(c, "attempt")
	return sample, attempt, err
}

type outcomeForm struct {
	Revision int                    `form:"revision"`
	Outcome  decision.SampleOutcome `form:"outcome" validate:"required" say:"Say whether you agree, agree with an action, or disagree."`
	Words    string                 `form:"words"`
	Criteria []string               `form:"criteria" validate:"max=200"`
	Action   string                 `form:"action"`
	Owner    uuid.UUID              `form:"owner" say:"Choose who is to do it."`
	Due      time.Time              `form:"due" say:"Give a day, such as 2026-05-14."`
}

func (u *UI) sayOutcome(c echo.Context, who account.Caller) error {
	sample, attempt, err := sampledPath(c)
	if err != nil {
		return err
	}
	var f outcomeForm
	if err = u.read(c, &f); err == nil {
		err = u.app.SayOutcome(c.Request().Context(), who, sample, attempt, f.Revision,
			app.SayOutcome{Outcome: f.Outcome, Words: f.Words, Criteria: f.Criteria, Action: f.Action, Owner: f.Owner, Due: f.Due})
	}
	if err != nil {
		return u.again(c, err, "outcome", func(form Form) error { return u.showSampled(c, who, form) })
	}
	return u.taken(c, "/samples/"+sample.String(), "It is kept: "+f.Outcome.Words()+".")
}
