package api

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// TraineeWithdrawal is that a trainee left a cohort.
type TraineeWithdrawal struct {
	ID        uuid.UUID `json:"id"`
	Cohort    uuid.UUID `json:"cohort"`
	LeftOn    Date      `json:"left_on" about:"The last day."`
	Words     string    `json:"words,omitzero" about:"Why; for managers alone."`
	By        uuid.UUID `json:"by"`
	At        time.Time `json:"at"`
	BackAt    time.Time `json:"taken_back_at,omitzero"`
	BackWords string    `json:"taken_back_words,omitzero" about:"Why it was taken back; for managers alone."`
}

func withdrawalOf(w app.Withdrawal) TraineeWithdrawal {
	return TraineeWithdrawal{ID: w.ID, Cohort: w.Cohort, LeftOn: Date{w.LeftOn}, Words: w.Words, By: w.By, At: w.At.UTC(), BackAt: w.BackAt.UTC(), BackWords: w.BackWords}
}

// NewWithdrawal withdraws a trainee.
type NewWithdrawal struct {
	Cohort uuid.UUID `json:"cohort" validate:"omitempty" about:"Left out for every cohort that they belong to or have work in."`
	LeftOn Date      `json:"left_on" validate:"required" about:"Their last day: today, or a day before."`
	Words  string    `json:"words" validate:"required,max=2000" about:"Why. Managers read it, and the trainee who asks for all that is kept of them; it is not shown on their work."`
}

// Withdrawn is how many attempts a withdrawal closed.
type Withdrawn struct {
	Closed int `json:"closed"`
}

func (Withdrawn) status() int { return http.StatusCreated }

func (s *service) withdrawTrainee(ctx context.Context, who account.Caller, p idPath, _ none, b NewWithdrawal) (Withdrawn, error) {
	n, err := s.app.WithdrawTrainee(ctx, who, p.ID, app.NewLeaver{Cohort: b.Cohort, LeftOn: b.LeftOn.Time, Words: b.Words})
	return Withdrawn{n}, err
}

// WithdrawalBack is why a withdrawal is taken back.
type WithdrawalBack struct {
	Words string `json:"words" validate:"required,max=2000"`
}

func (s *service) takeBackWithdrawal(ctx context.Context, who account.Caller, p idPath, _ none, b WithdrawalBack) (none, error) {
	return none{}, s.app.TakeBackWithdrawal(ctx, who, p.ID, b.Words)
}

// Leaver is a trainee who was withdrawn from a cohort.
type Leaver struct {
	Member
	LeftOn Date `json:"left_on" about:"The last day."`
}

func leaverOf(m app.Member) Leaver { return Leaver{memberOf(m), Date{m.LeftOn}} }
