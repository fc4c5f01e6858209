package ui

import (
	"net/url"
	"slices"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// JudgePage is an attempt that was handed over, as everybody but its trainee sees it: criterion by criterion, with the
// decision beside the evidence.
type JudgePage struct {
	Frame
	Sheet    *SheetView
	Criteria []CriterionView
	Loose    []ItemView // items that bear on no criterion
	Reasons  []Option
	Up       app.NextUp // the attempt to go on to; zero where nothing else waits
	Remarks  []string   // the tutor's own
	Last     string     // the criterion that the caller decided last; "" where there is none to take back
}

func (*JudgePage) template() string { return "judge" }

// CriterionView is one criterion with the evidence that bears on it.
type CriterionView struct {
	app.SheetCriterion
	On      *SheetView
	Reasons []Option
	Items   []ItemView // shown here
	Above   []ItemView // shown under an earlier criterion
}

// ID is the criterion's id on the page.
func (k CriterionView) ID() string { return "criterion-" + idOf(k.Ref) }

// FormName names the form that decides it.
func (k CriterionView) FormName() string { return "decide-" + k.Ref }

// Form is that form.
func (k CriterionView) Form() Form { return k.On.Form.For(k.FormName()) }

// Met says whether the criterion is met.
func (k CriterionView) Met() bool {
	return k.Decision != nil && k.Decision.Outcome == string(decision.Met)
}

// Words is the decision in words.
func (k CriterionView) Words() string {
	if k.Decision == nil {
		return "open"
	}
	return decision.Outcome(k.Decision.Outcome).Words()
}

// Afresh is the sampler's disagreement for which the tutor has yet to decide the criterion afresh; nil where there is none.
func (k CriterionView) Afresh() *decision.Record { return k.On.Returned().Of(k.Ref) }

func newJudgePage(v *SheetView) *JudgePage {
	v.Tutor, v.Findings = true, !v.HandedAt.IsZero()
	p := &JudgePage{Frame: Frame{Title: v.Trainee + ": " + v.BriefTitle, Here: "/cohorts"}, Sheet: v, Reasons: reasons()}
	if v.Judge {
		p.Here = "/bench"
	}
	if v.State == decision.HandedOver && len(v.Lacking) == 0 && !v.Waits() {
		p.Again = reload
	}
	shown := map[string]bool{}
	for _, k := range v.Criteria {
		p.Criteria = append(p.Criteria, v.criterion(k, shown))
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

// beside adds what stands beside the attempt: the rulings in force, and for a tutor who judges the way on.
func (u *UI) beside(c echo.Context, who account.Caller, p *JudgePage) (err error) {
	var refs []string
	for _, k := range p.Criteria {
		refs = append(refs, k.Ref)
	}
	if p.Sheet.Rulings, err = u.app.RulingsInForce(c.Request().Context(), who, refs); err != nil || !p.Sheet.Judge || !who.Has(account.Tutor) {
		return err // a quality assurer who decides afresh has no queue
	}
	return u.onward(c, who, p)
}

// Ruling says how the criterion is to be read; nil where nothing was ruled.
func (k CriterionView) Ruling() *app.RulingRow {
	if g, ok := k.On.Rulings[k.Ref]; ok {
		return &g
	}
	return nil
}

// criterion gathers a criterion's evidence. An item that bears on several is shown whole under the first of them.
func (v *SheetView) criterion(k app.SheetCriterion, shown map[string]bool) CriterionView {
	out := CriterionView{SheetCriterion: k, On: v, Reasons: reasons()}
	for _, st := range v.Stages {
		for _, it := range st.Items {
			switch {
			case !slices.Contains(k.Items, it.Key):
			case shown[it.Key]:
				out.Above = append(out.Above, it)
			default:
				shown[it.Key], it.Under = true, k.Ref
				out.Items = append(out.Items, it)
			}
		}
	}
	return out
}

// reasons are the respects in which evidence may fall short, as they are offered.
func reasons() []Option {
	words := map[decision.Reason]string{
		"valid": "valid: it does not show this criterion", "authentic": "authentic: it is not clear that it is their own work",
		"current": "current: it is too old", "sufficient": "sufficient: there is not enough of it", "safe": "safe: it was not done safely",
	}
	os := []Option{{Value: "", Text: "choose"}}
	for _, r := range decision.Reasons() {
		os = append(os, Option{Value: string(r), Text: words[r]})
	}
	return os
}

type overrideForm struct {
	Revision int             `form:"revision"`
	Line     string          `form:"line" validate:"required"`
	Verdict  marking.Verdict `form:"verdict" validate:"required" say:"Say whether you accept it or not."`
	Words    string          `form:"words" validate:"required,max=4000" say:"Say why, so that whoever reads this later can follow you."`
}

func (u *UI) override(c echo.Context, who account.Caller) error {
	var f overrideForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	err = u.read(c, &f)
	e := lineEntry(f.Line)
	if err == nil {
		o := app.Override{Item: e.Item, Part: e.Part, Phase: e.Phase, Verdict: f.Verdict, Words: f.Words}
		err = u.app.Override(c.Request().Context(), who, id, f.Revision, o)
	}
	return u.sheetForm(c, who, err, "override-"+f.Line, "#item-"+url.PathEscape(e.Item), "Your word stands beside the marker's.")
}

type decideForm struct {
	Revision  int              `form:"revision"`
	Criterion string           `form:"criterion" validate:"required"`
	Outcome   decision.Outcome `form:"outcome" validate:"required" say:"Choose met or not yet met."`
	Reason    decision.Reason  `form:"reason"`
	Words     string           `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
	Evidence  []string         `form:"evidence" validate:"max=500"`
}

func (u *UI) decide(c echo.Context, who account.Caller) error {
	var f decideForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.Decide(c.Request().Context(), who, id, f.Revision, f.judgement())
	}
	return u.sheetForm(c, who, err, "decide-"+f.Criterion, "#criterion-"+idOf(f.Criterion), "Stamped: "+f.Criterion+" "+f.Outcome.Words()+".")
}

// judgement is what was decided. A reason belongs to "not yet met" alone.
func (f decideForm) judgement() decision.Judgement {
	j := decision.Judgement{Criterion: f.Criterion, Outcome: f.Outcome, Reason: f.Reason, Words: f.Words, Evidence: f.Evidence}
	if j.Outcome == decision.Met {
		j.Reason = ""
	}
	return j
}
