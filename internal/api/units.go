package api

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// NewUnit is an edition of a qualification unit to be entered.
type NewUnit struct {
	Code      string       `json:"code" validate:"required,max=40"`
	Title     string       `json:"title" validate:"required,max=2000"`
	Edition   string       `json:"edition" validate:"required,max=100"`
	ValidFrom Date         `json:"valid_from" validate:"omitempty" about:"The first day on which it is in force; left out for a first edition that always was."`
	ValidTo   Date         `json:"valid_to" validate:"omitempty" about:"Left out where it names no last day."`
	Outcomes  []NewOutcome `json:"learning_outcomes" validate:"min=1,max=100,dive"`
}

// NewOutcome is a learning outcome of an edition.
type NewOutcome struct {
	Code     string         `json:"code" validate:"required,max=40"`
	Title    string         `json:"title" validate:"required,max=2000"`
	Criteria []NewCriterion `json:"criteria" validate:"min=1,max=400,dive"`
}

// NewCriterion is an assessment criterion with its range statements.
type NewCriterion struct {
	Code  string   `json:"code" validate:"required,max=40"`
	Text  string   `json:"text" validate:"required,max=2000"`
	Range []string `json:"range" validate:"omitempty,max=50,dive,max=2000"`
}

func (s *service) enterUnit(ctx context.Context, who account.Caller, _ none, _ none, b NewUnit) (none, error) {
	u := app.Unit{Code: b.Code, Title: b.Title, Edition: b.Edition, ValidFrom: b.ValidFrom.Time, ValidTo: b.ValidTo.Time}
	for _, o := range b.Outcomes {
		out := app.Outcome{Code: o.Code, Title: o.Title}
		for _, k := range o.Criteria {
			out.Criteria = append(out.Criteria, app.Criterion{Code: k.Code, Text: k.Text, Range: k.Range})
		}
		u.Outcomes = append(u.Outcomes, out)
	}
	return none{}, s.app.EnterUnit(ctx, who, u)
}
