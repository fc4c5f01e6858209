package ui

import (
	"net/url"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// Question is the note that the trainee is to be asked about the criterion; nil where there is none.
func (k CriterionView) Question() *decision.Record { return decision.OpenQuestion(k.On.Records, k.Ref) }

// Answers lists what the trainee was asked about the criterion and has answered, oldest first.
func (k CriterionView) Answers() []decision.Record {
	var rs []decision.Record
	for _, r := range k.On.Records {
		if r.Kind == decision.KindQuestion && r.Subject == k.Ref && r.Outcome == decision.Answered {
			rs = append(rs, r)
		}
	}
	return rs
}

// QuestionForm is the form that asks the trainee about the criterion, or puts down the answer.
func (k CriterionView) QuestionForm() Form { return k.On.Form.For("question-" + k.Ref) }

// Questioning lists the criteria about which the trainee will be asked.
func (v *SheetView) Questioning() []CriterionView {
	var ks []CriterionView
	for _, c := range v.Criteria {
		if decision.OpenQuestion(v.Records, c.Ref) != nil {
			ks = append(ks, CriterionView{SheetCriterion: c, On: v})
		}
	}
	return ks
}

type questionForm struct {
	Revision  int    `form:"revision"`
	Criterion string `form:"criterion" validate:"required"`
	Words     string `form:"words" validate:"required,max=4000" say:"Say it in a few words, at most 4000 letters."`
}

// askTrainee leaves a note that the trainee is to be asked, and answerQuestion puts down what they said.
func (u *UI) askTrainee(c echo.Context, who account.Caller) error {
	var f questionForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.AskTrainee(c.Request().Context(), who, id, f.Revision, f.Criterion, f.Words)
	}
	return u.sheetForm(c, who, err, "question-"+f.Criterion, "#criterion-"+url.PathEscape(idOf(f.Criterion)), "Noted. The trainee sees that you will ask.")
}

func (u *UI) answerQuestion(c echo.Context, who account.Caller) error {
	var f questionForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.AnswerQuestion(c.Request().Context(), who, id, f.Revision, f.Criterion, f.Words)
	}
	return u.sheetForm(c, who, err, "question-"+f.Criterion, "#criterion-"+url.PathEscape(idOf(f.Criterion)), "The answer is kept.")
}
