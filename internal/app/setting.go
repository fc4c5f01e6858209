package app

import (
	"context"
	"crypto/sha256"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// SetBrief is a published version to be set to a cohort.
type SetBrief struct {
	Brief   uuid.UUID
	Version int
	Cohort  uuid.UUID
	DueOn   time.Time // a date; zero where none is set
}

// SetBrief plans an attempt for every trainee of the cohort, each with given values of their own.
func (a *App) SetBrief(ctx context.Context, c account.Caller, s SetBrief) (uuid.UUID, error) {
	if err := a.maySet(ctx, c, s.Cohort); err != nil {
		return uuid.Nil, err
	}
	if !s.DueOn.IsZero() && s.DueOn.Before(a.now().Truncate(24*time.Hour)) {
		return uuid.Nil, fault.Invalid("due_on", "That day has passed. Choose today or later, or leave it empty.")
	}
	v, err := a.db.BriefVersion(ctx, c.Centre, s.Brief, s.Version)
	if err != nil {
		return uuid.Nil, err
	}
	b, err := brief.Read([]byte(v.Source))
	if err != nil {
		return uuid.Nil, err
	}
	task, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		members, err := t.LockCohort(ctx, s.Cohort)
		if err != nil {
			return err
		}
		var attempts []store.NewAttempt
		for _, m := range members {
			if m.Part != store.PartTrainee {
				continue
			}
			n, err := newAttempt(b, task, m.Person, 1)
			if err != nil {
				return err
			}
			attempts = append(attempts, n)
		}
		if len(attempts) == 0 {
			return fault.Conflict("This cohort has no trainees yet, so there is nobody to set the brief to.")
		}
		return t.SetTask(ctx, store.Task{
			ID: task, Brief: s.Brief, Version: s.Version, Cohort: s.Cohort, SetBy: c.Person, SetAt: a.now(), DueOn: s.DueOn,
		}, attempts)
	})
	return task, err
}

// maySet says whether the caller may set briefs to the cohort; one that they have nothing to do with is not there for them.
func (a *App) maySet(ctx context.Context, c account.Caller, cohort uuid.UUID) error {
	k, err := a.Cohort(ctx, c, cohort)
	if err != nil {
		return err
	}
	if slices.ContainsFunc(k.Tutors, func(m store.Member) bool { return m.Person == c.Person }) {
		return account.May(c, account.SetBrief, account.Teaches)
	}
	return account.May(c, account.SetBrief)
}

// newAttempt plans an attempt. Its seed comes from its id, so that the drawn values can be drawn again.
func newAttempt(b *brief.Brief, task, trainee uuid.UUID, number int) (store.NewAttempt, error) {
	id, err := newID()
	if err != nil {
		return store.NewAttempt{}, err
	}
	digest := sha256.Sum256(id[:])
	var seed int64
	for _, x := range digest[:8] {
		seed = seed<<8 | int64(x)
	}
	return store.NewAttempt{
		ID: id, Task: task, Trainee: trainee, Number: number, State: decision.Planned, Seed: seed, Given: brief.Draw(b, seed),
	}, nil
}
