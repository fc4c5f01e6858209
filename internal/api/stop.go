package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// AtWork is the work under way, the latest at work first.
type AtWork struct {
	AtWork []AtWorkRow `json:"at_work"`
	All    int         `json:"all" about:"How much fits; a list has 200 at most."`
}

// AtWorkRow is one piece of work under way.
type AtWorkRow struct {
	Attempt    uuid.UUID `json:"attempt"`
	Trainee    string    `json:"trainee" about:"Their name."`
	Cohort     uuid.UUID `json:"cohort"`
	CohortName string    `json:"cohort_name"`
	Title      string    `json:"title" about:"Of the brief."`
	Stopped    bool      `json:"stopped" about:"It is stopped for safety."`
	LastAt     time.Time `json:"last_at" about:"When it was begun, or when something of it last came in."`
}

type atWorkSearch struct {
	Find string `query:"find" validate:"omitempty,max=200" about:"Parts of the trainee's or the cohort's name."`
}

func (s *service) atWork(ctx context.Context, who account.Caller, _ none, q atWorkSearch, _ none) (AtWork, error) {
	rows, all, err := s.app.AtWork(ctx, who, q.Find)
	return AtWork{each(rows, atWorkRowOf), all}, err
}

func atWorkRowOf(r app.AtWork) AtWorkRow {
	return AtWorkRow{Attempt: r.Attempt, Trainee: r.TraineeName, Cohort: r.Cohort, CohortName: r.CohortName, Title: r.Title,
		Stopped: r.State == decision.SafetyStopped, LastAt: r.LastAt.UTC()}
}

// Stop is what was seen when an attempt was stopped for safety.
type Stop struct {
	Words string `json:"words" validate:"omitempty,max=4000"`
}

func (s *service) safetyStop(ctx context.Context, who account.Caller, p idPath, _ none, b Stop) (none, error) {
	return none{}, s.app.SafetyStop(ctx, who, p.ID, b.Words)
}

// Clearance says what was put right before work goes on.
type Clearance struct {
	Words string `json:"words" validate:"required,max=4000"`
}

func (s *service) clearStop(ctx context.Context, who account.Caller, p idPath, _ none, b Clearance) (none, error) {
	return none{}, s.app.ClearStop(ctx, who, p.ID, b.Words)
}
