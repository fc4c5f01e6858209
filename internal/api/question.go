package api

import (
	"context"

	"witnessmark/internal/account"
)

// Asking is what the trainee is to be asked about a criterion, or the gist of what they said.
type Asking struct {
	Revision  int    `json:"revision" validate:"min=0" about:"The sheet's, as the tutor saw it."`
	Criterion string `json:"criterion" validate:"required,max=200" about:"UNIT/code."`
	Words     string `json:"words" validate:"required,max=4000"`
}

func (s *service) askTrainee(ctx context.Context, who account.Caller, p idPath, _ none, b Asking) (none, error) {
	return none{}, s.app.AskTrainee(ctx, who, p.ID, b.Revision, b.Criterion, b.Words)
}

func (s *service) answerQuestion(ctx context.Context, who account.Caller, p idPath, _ none, b Asking) (none, error) {
	return none{}, s.app.AnswerQuestion(ctx, who, p.ID, b.Revision, b.Criterion, b.Words)
}
