package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// Board is a cohort's bench board: who stands where with what.
type Board struct {
	Cohort Cohort      `json:"cohort"`
	Tasks  []BoardTask `json:"tasks" about:"In the order in which they were set."`
}

// BoardTask is one task with a row for each trainee.
type BoardTask struct {
	ID      uuid.UUID    `json:"id"`
	Brief   uuid.UUID    `json:"brief"`
	Version int          `json:"version"`
	Title   string       `json:"title"`
	SetBy   string       `json:"set_by"`
	SetAt   time.Time    `json:"set_at"`
	DueOn   Date         `json:"due_on,omitzero"`
	Stages  []BoardStage `json:"stages"`
	Rows    []BoardRow   `json:"rows"`
}

// BoardStage is the head of one stage.
type BoardStage struct {
	Number    int    `json:"number"`
	Key       string `json:"key"`
	Title     string `json:"title"`
	HoldPoint bool   `json:"hold_point" about:"A hold point stands before it."`
}

// BoardRow is one trainee's newest attempt.
type BoardRow struct {
	Standing Standing   `json:"standing"`
	Earlier  []Standing `json:"earlier" about:"Earlier attempts, oldest first."`
	Stamps   []Stamp    `json:"stamps" about:"One for each stage."`
	Where    string     `json:"where" about:"In a sentence."`
}

// Standing is where one attempt stands.
type Standing struct {
	Attempt      uuid.UUID      `json:"attempt"`
	Trainee      uuid.UUID      `json:"trainee"`
	TraineeName  string         `json:"trainee_name"`
	Number       int            `json:"number"`
	State        decision.State `json:"state"`
	Revision     int            `json:"revision"`
	OpenedAt     time.Time      `json:"opened_at,omitzero"`
	HandedOverAt time.Time      `json:"handed_over_at,omitzero"`
	SignedOffAt  time.Time      `json:"signed_off_at,omitzero"`
	Met          int            `json:"met" about:"Criteria decided as met."`
	NotYetMet    int            `json:"not_yet_met"`
}

// Stamp is how far one stage has come.
type Stamp struct {
	Done    int  `json:"done" about:"Items with something in them, of the required ones."`
	Total   int  `json:"total"`
	Holding bool `json:"holding" about:"Its hold point has not been released."`
}

func standingOf(s app.Standing) Standing {
	return Standing{
		Attempt: s.Attempt, Trainee: s.Trainee, TraineeName: s.TraineeName, Number: s.Number, State: s.State, Revision: s.Revision,
		OpenedAt: s.OpenedAt.UTC(), HandedOverAt: s.HandedOverAt.UTC(), SignedOffAt: s.SignedOffAt.UTC(), Met: s.Met, NotYetMet: s.NotYetMet,
	}
}

func boardTaskOf(t app.BoardTask) BoardTask {
	return BoardTask{
		ID: t.ID, Brief: t.Brief, Version: t.Version, Title: t.Title, SetBy: t.SetByName, SetAt: t.SetAt.UTC(), DueOn: Date{t.DueOn},
		Stages: each(t.Stages, func(s app.BoardStage) BoardStage {
			return BoardStage{Number: s.Number, Key: s.Key, Title: s.Title, HoldPoint: s.Hold}
		}),
		Rows: each(t.Rows, func(r app.BoardRow) BoardRow {
			return BoardRow{
				Standing: standingOf(r.Standing), Earlier: each(r.Earlier, standingOf), Where: r.Where,
				Stamps: each(r.Stamps, func(s app.Stamp) Stamp { return Stamp(s) }),
			}
		}),
	}
}

func (s *service) board(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Board, error) {
	b, err := s.app.Board(ctx, who, p.ID)
	return Board{Cohort: cohortOf(b.Cohort), Tasks: each(b.Tasks, boardTaskOf)}, err
}

// Waiting is an attempt that waits for the caller.
type Waiting struct {
	Attempt      uuid.UUID      `json:"attempt"`
	Trainee      uuid.UUID      `json:"trainee"`
	TraineeName  string         `json:"trainee_name"`
	Cohort       uuid.UUID      `json:"cohort"`
	CohortName   string         `json:"cohort_name"`
	Task         uuid.UUID      `json:"task"`
	Title        string         `json:"title"`
	Number       int            `json:"number"`
	State        decision.State `json:"state"`
	Revision     int            `json:"revision"`
	HandedOverAt time.Time      `json:"handed_over_at"`
}

// WaitingList is what waits for the caller, the longest wait first.
type WaitingList struct {
	Waiting []Waiting `json:"waiting"`
}

func waitingOf(w app.Waiting) Waiting {
	return Waiting{
		Attempt: w.Attempt, Trainee: w.Trainee, TraineeName: w.TraineeName, Cohort: w.Cohort, CohortName: w.CohortName, Task: w.Task,
		Title: w.Title, Number: w.Number, State: w.State, Revision: w.Revision, HandedOverAt: w.HandedOverAt.UTC(),
	}
}

func (s *service) waiting(ctx context.Context, who account.Caller, _ none, _ none, _ none) (WaitingList, error) {
	ws, err := s.app.Waiting(ctx, who)
	return WaitingList{each(ws, waitingOf)}, err
}
