package api

import (
	"context"

	"witnessmark/internal/account"
)

// Countersignature stands behind every decision of an attempt that waits for it. It asks for the password again.
type Countersignature struct {
	Revision int    `json:"revision" validate:"min=0" about:"The sheet's, as the caller saw it."`
	Password string `json:"password" validate:"required,max=1024"`
	Words    string `json:"words" validate:"omitempty,max=4000"`
}

func (s *service) countersign(ctx context.Context, who account.Caller, p idPath, _ none, b Countersignature) (none, error) {
	return none{}, s.app.Countersign(ctx, who, p.ID, b.Revision, b.Password, b.Words)
}

func (s *service) acknowledge(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (none, error) {
	return none{}, s.app.Acknowledge(ctx, who, p.ID)
}

// Appeal is what a trainee thinks was judged wrongly, and why.
type Appeal struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) appeal(ctx context.Context, who account.Caller, p idPath, _ none, b Appeal) (none, error) {
	return none{}, s.app.Appeal(ctx, who, p.ID, b.Words)
}

// Hearing is what was found on hearing an appeal, and why.
type Hearing struct {
	Revision int    `json:"revision" validate:"min=0" about:"The sheet's, as the caller saw it."`
	Outcome  string `json:"outcome" validate:"required,oneof=upheld rejected" about:"Upheld, what was not yet met is open again, for somebody who had no part in it."`
	Words    string `json:"words" validate:"required,max=4000"`
}

func (s *service) settleAppeal(ctx context.Context, who account.Caller, p idPath, _ none, b Hearing) (none, error) {
	return none{}, s.app.SettleAppeal(ctx, who, p.ID, b.Revision, b.Outcome, b.Words)
}
