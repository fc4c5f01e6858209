package ui

import (
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// StandardisationsPage lists the standardisations that the reader may see.
type StandardisationsPage struct {
	Frame
	Rows []StandardisationRow
	May  bool // the reader may set a new one
}

func (*StandardisationsPage) template() string { return "standardisations" }

// StandardisationRow is a standardisation in words.
type StandardisationRow struct{ app.StandardisationRow }

// Where says how far it has come.
func (r StandardisationRow) Where() string {
	switch {
	case !r.ClosedAt.IsZero() && !r.In():
		return fmt.Sprintf("Closed by %s with %d of %d judged.", r.ClosedBy, r.Done, r.Due)
	case r.In():
		return "All have judged."
	}
	return fmt.Sprintf("%d of %d judged.", r.Done, r.Due)
}

// StandardisationPage is one standardisation: how far it has come, and once that may be seen what was said.
type StandardisationPage struct {
	Frame
	app.Standardisation
	Form Form
}

func (*StandardisationPage) template() string { return "standardisation" }

// Where says how far it has come.
func (p *StandardisationPage) Where() string {
	return StandardisationRow{p.StandardisationSheet.Standardisation}.Where()
}

// Agreements are the figures in words, overall.
func (p *StandardisationPage) Agreements() AgreementView { return AgreementView{p.Agreement} }

// Figures puts one criterion's figures into words.
func (p *StandardisationPage) Figures(k app.CriterionAgreement) AgreementView {
	return AgreementView{k.Agreement}
}

// Apart and Alike are the criteria of which not all said the same of some work, and the others.
func (p *StandardisationPage) Apart() []app.CriterionAgreement { return p.apart(true) }

// Alike is beside Apart.
func (p *StandardisationPage) Alike() []app.CriterionAgreement { return p.apart(false) }

func (p *StandardisationPage) apart(want bool) (ks []app.CriterionAgreement) {
	for _, k := range p.Criteria {
		if slices.ContainsFunc(k.Attempts, app.AttemptAgreement.Apart) == want {
			ks = append(ks, k)
		}
	}
	return ks
}

// CriterionSaid is one criterion with what was said of it.
type CriterionSaid struct {
	app.CriterionAgreement
	On *StandardisationPage
}

// OnPage puts a criterion beside the page that it is on.
func (p *StandardisationPage) OnPage(k app.CriterionAgreement) CriterionSaid {
	return CriterionSaid{k, p}
}

// SaidOf is what was said of one attempt, a judge after the other.
func (p *StandardisationPage) SaidOf(a app.AttemptAgreement) []SaidView {
	var out []SaidView
	for i, j := range a.Said {
		if j != nil {
			out = append(out, SaidView{Name: p.Judges[i].Name, BlindJudgement: *j})
		}
	}
	return out
}

// OutcomeWords is the outcome of a decision in words.
func (*StandardisationPage) OutcomeWords(outcome string) string {
	return decision.Outcome(outcome).Words()
}

// Act is the form in which somebody is asked to do something because of it.
func (p *StandardisationPage) Act() ActionForm {
	about := []Option{{Value: "", Text: "no single one"}}
	for _, at := range p.Attempts {
		about = append(about, Option{Value: at.Attempt.String(), Text: p.Work(at.Attempt)})
	}
	return actionForm(p.Form, "/standardisations/"+p.ID.String()+"/actions", p.Owners, about)
}

// Work names one of the attempts; "" for none of them.
func (p *StandardisationPage) Work(attempt uuid.UUID) string {
	for _, at := range p.Attempts {
		if at.Attempt == attempt {
			return fmt.Sprintf("work %d: %s", at.Place, at.TraineeName)
		}
	}
	return ""
}

// SaidView is what one judge said, with their name.
type SaidView struct {
	Name string
	app.BlindJudgement
}

// NewStandardisationPage is the form for one, with what there is to choose from.
type NewStandardisationPage struct {
	Frame
	Form     Form
	Versions []Option // published versions of briefs
	Chosen   string   // "id version" of the one that was chosen, "" before
	Choices  app.StandardisationChoices
}

func (*NewStandardisationPage) template() string { return "standardise" }

func (u *UI) standardisations(c echo.Context, who account.Caller) error {
	rows, err := u.app.Standardisations(c.Request().Context(), who)
	if err != nil {
		return err
	}
	p := &StandardisationsPage{Frame: Frame{Title: "Standardisation", Here: "/centre"}, May: account.As(who, account.Standardise) != ""}
	for _, r := range rows {
		p.Rows = append(p.Rows, StandardisationRow{r})
	}
	return u.render(c, who, 200, p)
}

func (u *UI) newStandardisation(c echo.Context, who account.Caller) error {
	return u.showNewStandardisation(c, who, c.QueryParam("brief"), Form{})
}

func (u *UI) showNewStandardisation(c echo.Context, who account.Caller, chosen string, f Form) error {
	id, version := briefOf(chosen)
	choices, err := u.app.StandardisationChoices(c.Request().Context(), who, id, version)
	if err != nil {
		return err
	}
	p := &NewStandardisationPage{Frame: Frame{Title: "Set a standardisation", Here: "/centre"}, Form: f.For("standardise"), Choices: choices}
	if id != uuid.Nil {
		p.Chosen = chosen
	}
	if p.Versions, err = u.published(c, who); err != nil {
		return err
	}
	return u.render(c, who, f.Status(), p)
}

// briefOf reads "id version"; zeros where it names none.
func briefOf(s string) (uuid.UUID, int) {
	first, second, _ := strings.Cut(s, " ")
	id, err1 := uuid.Parse(first)
	version, err2 := strconv.Atoi(second)
	if err1 != nil || err2 != nil {
		return uuid.Nil, 0
	}
	return id, version
}

type standardiseForm struct {
	Brief    string   `form:"brief" validate:"required" say:"Choose a brief first."`
	Title    string   `form:"title" validate:"required,max=200" say:"Give it a name of at most 200 letters."`
	Words    string   `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Attempts []string `form:"attempts" validate:"max=20" say:"Choose at most 20 attempts."`
	Judges   []string `form:"judges" validate:"max=20" say:"Choose at most 20 people."`
}

func (u *UI) standardise(c echo.Context, who account.Caller) error {
	var f standardiseForm
	var id uuid.UUID
	err := u.read(c, &f)
	if err == nil {
		n := app.NewStandardisation{Title: f.Title, Words: f.Words, Attempts: idsOf(f.Attempts), Judges: idsOf(f.Judges)}
		n.Brief, n.Version = briefOf(f.Brief)
		id, err = u.app.Standardise(c.Request().Context(), who, n)
	}
	if err != nil {
		return u.again(c, err, "standardise", func(form Form) error { return u.showNewStandardisation(c, who, f.Brief, form) })
	}
	return u.taken(c, "/standardisations/"+id.String(), "Set. Each of them sees it among their standardisations.")
}

// idsOf reads ids; what is none becomes the zero one, which names nothing.
func idsOf(texts []string) []uuid.UUID {
	var ids []uuid.UUID
	for _, s := range texts {
		id, err := uuid.Parse(s)
		if err != nil {
			id = uuid.Nil
		}
		ids = append(ids, id)
	}
	return ids
}

func (u *UI) standardisation(c echo.Context, who account.Caller) error {
	return u.showStandardisation(c, who, Form{})
}

func (u *UI) showStandardisation(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.Standardisation(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &StandardisationPage{Frame: Frame{Title: s.Title, Here: "/centre"}, Standardisation: s, Form: f})
}

func (u *UI) closeStandardisation(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err == nil {
		err = u.app.CloseStandardisation(c.Request().Context(), who, id)
	}
	if err != nil {
		return u.again(c, err, "close", func(f Form) error { return u.showStandardisation(c, who, f) })
	}
	return u.taken(c, "/standardisations/"+url.PathEscape(id.String()), "Closed. What was said is shown to all who judged.")
}
