package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// workshopRoutes is what a tutor does while trainees are at work, and how a task is set for one of them alone.
func (s *service) workshopRoutes() []Route {
	return []Route{
		route("observe", post, "/api/attempts/{id}/observations", account.Observe, "Notes what the caller saw of a piece of work; each note stands by itself.", s.observe),
		route("askOrally", post, "/api/attempts/{id}/oral-questions", account.AskOrally, "Keeps a question that was asked aloud, with the gist of the answer.", s.askOrally),
		route("adjust", post, "/api/attempts/{id}/adjustments", account.Adjust, "Records what is agreed with one trainee beforehand; what the criteria demand stays as it is.", s.adjust),
		route("grantAttempt", post, "/api/attempts/{id}/one-more", account.Adjust, "Plans one attempt more than were set, after the last was sent back.", s.grantAttempt),
		route("setTo", post, "/api/tasks/{id}/trainees", account.SetBrief, "Sets a task to further trainees of its cohort.", s.setTo),
	}
}

// Observation is what a tutor saw of a piece of work.
type Observation struct {
	Subject string            `json:"subject" validate:"required,max=200" about:"The key of an item or a stage."`
	Outcome decision.Observed `json:"outcome" validate:"required,oneof=seen not_seen stepped_in taken_back" about:"taken_back takes back that somebody stepped in."`
	Seconds int               `json:"seconds" validate:"omitempty,min=1,max=43200" about:"How long it was watched; left out where that was not timed."`
	Words   string            `json:"words" validate:"omitempty,max=4000" about:"Asked for with stepped_in and taken_back."`
	InPlace string            `json:"in_place" validate:"omitempty,max=500" about:"Why the caller does it; asked for where another tutor was named to observe."`
}

func (s *service) observe(ctx context.Context, who account.Caller, p idPath, _ none, b Observation) (none, error) {
	return none{}, s.app.Observe(ctx, who, p.ID, decision.Observation{
		Subject: b.Subject, Outcome: b.Outcome, Took: time.Duration(b.Seconds) * time.Second, Words: b.Words, InPlace: b.InPlace,
	})
}

// OralQuestion is a question that was asked aloud, with its answer.
type OralQuestion struct {
	Subject string         `json:"subject" validate:"required,max=200" about:"The key of an item or a stage."`
	Asked   string         `json:"asked" validate:"required,max=4000"`
	Gist    string         `json:"gist" validate:"required,max=4000" about:"Of the answer."`
	Outcome decision.Heard `json:"outcome" validate:"required,oneof=understood in_part not_yet"`
	InPlace string         `json:"in_place" validate:"omitempty,max=500" about:"As of an observation."`
}

func (s *service) askOrally(ctx context.Context, who account.Caller, p idPath, _ none, b OralQuestion) (none, error) {
	return none{}, s.app.AskOrally(ctx, who, p.ID, decision.OralQuestion{Subject: b.Subject, Asked: b.Asked, Gist: b.Gist, Outcome: b.Outcome, InPlace: b.InPlace})
}

// Adjustment is what is agreed with one trainee beforehand.
type Adjustment struct {
	What    decision.Adjusted `json:"what" validate:"required,oneof=extra_time other_evidence"`
	Until   Date              `json:"until" validate:"omitempty" about:"Of extra time: the day by which the trainee hands over."`
	Item    string            `json:"item" validate:"omitempty,max=200" about:"Of other evidence: which item is shown in another way."`
	Instead string            `json:"instead" validate:"omitempty,max=2000" about:"Of other evidence: how."`
	Words   string            `json:"words" validate:"required,max=4000" about:"Why."`
}

func (s *service) adjust(ctx context.Context, who account.Caller, p idPath, _ none, b Adjustment) (none, error) {
	return none{}, s.app.Adjust(ctx, who, p.ID, decision.Adjustment{What: b.What, Until: b.Until.Time, Item: b.Item, Instead: b.Instead, Words: b.Words})
}

// OneMore grants one attempt more than were set.
type OneMore struct {
	Words string `json:"words" validate:"required,max=4000" about:"Why."`
	By    Date   `json:"by" validate:"omitempty" about:"The day by which it is to be handed over; left out for the day that was said as the last was sent back."`
}

func (s *service) grantAttempt(ctx context.Context, who account.Caller, p idPath, _ none, b OneMore) (none, error) {
	return none{}, s.app.GrantAttempt(ctx, who, p.ID, b.Words, b.By.Time)
}

// TaskTrainees are further trainees to set a task to.
type TaskTrainees struct {
	Trainees []uuid.UUID `json:"trainees" validate:"required,min=1,max=1000" about:"Of the task's cohort, who do not have it yet."`
}

func (s *service) setTo(ctx context.Context, who account.Caller, p idPath, _ none, b TaskTrainees) (none, error) {
	return none{}, s.app.SetTo(ctx, who, p.ID, b.Trainees)
}
