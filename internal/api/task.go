package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// Task is a task set to the caller, with their newest attempt.
type Task struct {
	Task         uuid.UUID      `json:"task"`
	Title        string         `json:"title"`
	Version      int            `json:"version"`
	Cohort       uuid.UUID      `json:"cohort"`
	CohortName   string         `json:"cohort_name"`
	SetBy        string         `json:"set_by"`
	SetAt        time.Time      `json:"set_at"`
	FromOn       Date           `json:"from_on,omitzero" about:"The day before which it cannot be started."`
	DueOn        Date           `json:"due_on,omitzero" about:"The trainee's own, where extra time was agreed or more is to be done."`
	Attempts     int            `json:"attempts,omitzero" about:"How many the trainee has; left out for as many as it takes."`
	Attempt      uuid.UUID      `json:"attempt"`
	Number       int            `json:"number"`
	State        decision.State `json:"state"`
	OpenedAt     time.Time      `json:"opened_at,omitzero"`
	HandedOverAt time.Time      `json:"handed_over_at,omitzero"`
	SignedOffAt  time.Time      `json:"signed_off_at,omitzero"`
}

// Tasks is a list of tasks: the earliest due first, those without a date last.
type Tasks struct {
	Tasks []Task `json:"tasks"`
}

func (s *service) myTasks(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Tasks, error) {
	ts, err := s.app.MyTasks(ctx, who)
	return Tasks{each(ts, taskOf)}, err
}

func taskOf(t app.TraineeTask) Task {
	return Task{
		Task: t.ID, Title: t.Title, Version: t.Version, Cohort: t.Cohort, CohortName: t.CohortName, SetBy: t.SetByName,
		SetAt: t.SetAt.UTC(), FromOn: Date{t.FromOn}, DueOn: Date{t.Due()}, Attempts: t.Attempts, Attempt: t.Attempt, Number: t.Number, State: t.State,
		OpenedAt: t.OpenedAt.UTC(), HandedOverAt: t.HandedOverAt.UTC(), SignedOffAt: t.SignedOffAt.UTC(),
	}
}
