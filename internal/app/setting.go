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

// attemptsMost bounds how many attempts a task may give each trainee (our own value).
const attemptsMost = 20

// SetBrief is a published version to be set to a cohort, or to some of its trainees.
type SetBrief struct {
	Brief    uuid.UUID
	Version  int
	Cohort   uuid.UUID
	Trainees []uuid.UUID // of the cohort; none for all of them
	FromOn   time.Time   // a date, before which nobody starts; zero for at once
	DueOn    time.Time   // a date; zero where none is set
	Attempts int         // how many each trainee has; 0 for as many as it takes
	Observer uuid.UUID   // who watches the work, a tutor of the cohort; zero for any of them
}

// SetBrief plans an attempt for the trainees, each with given values of their own.
func (a *App) SetBrief(ctx context.Context, c account.Caller, s SetBrief) (uuid.UUID, error) {
	if err := a.maySet(ctx, c, s.Cohort); err != nil {
		return uuid.Nil, err
	}
	if err := s.check(a.today()); err != nil {
		return uuid.Nil, err
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
		if s.Observer != uuid.Nil && !isMember(members, s.Observer, store.PartTutor) {
			return fault.Invalid("observer", "Choose a tutor of the cohort: nobody else may note what they saw.")
		}
		whom, err := chosen(members, s.Trainees)
		if err != nil {
			return err
		}
		attempts, err := firstAttempts(b, task, whom)
		if err != nil {
			return err
		}
		return t.SetTask(ctx, store.Task{
			ID: task, Brief: s.Brief, Version: s.Version, Cohort: s.Cohort, SetBy: c.Person, SetAt: a.now(),
			FromOn: s.FromOn, DueOn: s.DueOn, Attempts: s.Attempts, Observer: s.Observer,
		}, attempts)
	})
	return task, err
}

// check refuses days that are past or the wrong way round, and a number of attempts that nobody needs. The day when it is due
// may be empty.
func (s SetBrief) check(today brief.Day) error {
	past := func(t time.Time) bool { return !t.IsZero() && dayText(t) < today }
	switch {
	case past(s.DueOn):
		return fault.Invalid("due_on", "That day has passed. Choose today or later, or leave it empty.")
	case !s.FromOn.IsZero() && !s.DueOn.IsZero() && s.DueOn.Before(s.FromOn):
		return fault.Invalid("from_on", "That is later than the day by which it is due.")
	case s.Attempts < 0 || s.Attempts > attemptsMost:
		return fault.Invalid("attempts", "Choose from 1 to %d attempts, or leave it empty for as many as it takes.", attemptsMost)
	}
	return nil
}

// SetTo sets a task to further trainees of its cohort: somebody who joined later, or was left out.
func (a *App) SetTo(ctx context.Context, c account.Caller, task uuid.UUID, trainees []uuid.UUID) error {
	k, err := a.db.Task(ctx, c.Centre, task)
	if err != nil {
		return err
	}
	if err := a.maySet(ctx, c, k.Cohort); err != nil {
		return err
	}
	if len(trainees) == 0 {
		return fault.Invalid("trainees", "Choose at least one trainee.")
	}
	v, err := a.db.BriefVersion(ctx, c.Centre, k.Brief, k.Version)
	if err != nil {
		return err
	}
	b, err := brief.Read([]byte(v.Source))
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		members, err := t.LockCohort(ctx, k.Cohort)
		if err != nil {
			return err
		}
		whom, err := chosen(members, trainees)
		if err != nil {
			return err
		}
		attempts, err := firstAttempts(b, task, whom)
		if err != nil {
			return err
		}
		return t.AddAttempts(ctx, attempts)
	})
}

// chosen are the trainees of a cohort with the ids; all of them for none. Who was withdrawn from it is not among them.
func chosen(members []store.Member, ids []uuid.UUID) ([]uuid.UUID, error) {
	var whom []uuid.UUID
	for _, m := range members {
		if m.Part == store.PartTrainee && m.Left() && slices.Contains(ids, m.Person) {
			return nil, fault.Invalid("trainees", "%s was withdrawn from this cohort, and is set nothing more in it.", m.Name)
		}
		if m.Part == store.PartTrainee && !m.Left() && (len(ids) == 0 || slices.Contains(ids, m.Person)) {
			whom = append(whom, m.Person)
		}
	}
	switch {
	case len(whom) == 0 && len(ids) == 0:
		return nil, fault.Conflict("This cohort has no trainees yet, so there is nobody to set the brief to.")
	case slices.ContainsFunc(ids, func(id uuid.UUID) bool { return !slices.Contains(whom, id) }):
		return nil, fault.Invalid("trainees", "Choose trainees of this cohort.")
	}
	return whom, nil
}

func isMember(members []store.Member, person uuid.UUID, part store.Part) bool {
	return slices.ContainsFunc(members, func(m store.Member) bool { return m.Person == person && m.Part == part })
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

// firstAttempts plans the first attempt of each trainee.
func firstAttempts(b *brief.Brief, task uuid.UUID, trainees []uuid.UUID) ([]store.NewAttempt, error) {
	var attempts []store.NewAttempt
	for _, trainee := range trainees {
		n, err := newAttempt(b, task, trainee, 1)
		if err != nil {
			return nil, err
		}
		attempts = append(attempts, n)
	}
	return attempts, nil
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
