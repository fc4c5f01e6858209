package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Cohort is a cohort with its members.
type Cohort struct {
	store.Cohort
	Tutors   []store.Member
	Trainees []store.Member
	Left     []store.Member // trainees who were withdrawn from it
}

// Cohorts lists the cohorts that the caller has to do with: a tutor's own, everybody's for the others.
func (a *App) Cohorts(ctx context.Context, c account.Caller) ([]store.Cohort, error) {
	if err := account.May(c, account.SeeCohorts); err != nil {
		return nil, err
	}
	if c.Has(account.Manager) || c.Has(account.QualityAssurer) {
		return a.db.Cohorts(ctx, c.Centre)
	}
	return a.db.CohortsOf(ctx, c.Centre, c.Person, store.PartTutor)
}

// Cohort is one cohort with its members.
func (a *App) Cohort(ctx context.Context, c account.Caller, id uuid.UUID) (Cohort, error) {
	if err := account.May(c, account.SeeCohorts); err != nil {
		return Cohort{}, err
	}
	k, members, err := a.db.Cohort(ctx, c.Centre, id)
	if err != nil {
		return Cohort{}, err
	}
	out := Cohort{Cohort: k}
	mine := c.Has(account.Manager) || c.Has(account.QualityAssurer)
	for _, m := range members {
		if m.Part == store.PartTutor {
			out.Tutors = append(out.Tutors, m)
			mine = mine || m.Person == c.Person
		} else if m.Left() {
			out.Left = append(out.Left, m)
		} else {
			out.Trainees = append(out.Trainees, m)
		}
	}
	if !mine {
		return Cohort{}, fault.NotFound("There is no such cohort here. Go back and choose again.")
	}
	return out, nil
}

// AddCohort opens an empty cohort.
func (a *App) AddCohort(ctx context.Context, c account.Caller, name string) (uuid.UUID, error) {
	if err := account.May(c, account.ManageCohorts); err != nil {
		return uuid.Nil, err
	}
	name = strings.TrimSpace(name)
	if name == "" || len([]rune(name)) > 120 {
		return uuid.Nil, fault.Invalid("name", "Give the cohort a name, at most 120 letters.")
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.AddCohort(ctx, id, name, a.now()) })
}

// AddMember puts a person into a cohort as trainee or tutor; they need the role for it. Nobody is both: tutors of a cohort judge its
// trainees.
func (a *App) AddMember(ctx context.Context, c account.Caller, cohort, person uuid.UUID, part store.Part) error {
	if err := account.May(c, account.ManageCohorts); err != nil {
		return err
	}
	role := map[store.Part]account.Role{store.PartTrainee: account.Trainee, store.PartTutor: account.Tutor}[part]
	if role == "" {
		return fault.Invalid("part", "Choose trainee or tutor.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p, err := t.Person(ctx, person)
		if err != nil {
			return err
		}
		if !p.Caller().Has(role) {
			return fault.Invalid("person", "%s is not a %s. Give them the role first.", p.Name, role.Words())
		}
		if w, err := t.LeftCohort(ctx, cohort, person); err == nil && part == store.PartTrainee {
			return fault.Conflict("%s was withdrawn from %s by %s. Have that taken back first, on their own page.", p.Name, w.CohortName, w.ByName)
		} else if err != nil && fault.KindOf(err) != fault.KindNotFound {
			return err
		}
		return t.AddMember(ctx, cohort, person, part)
	})
}

// RemoveMember takes a person out of a cohort; their attempts stay.
func (a *App) RemoveMember(ctx context.Context, c account.Caller, cohort, person uuid.UUID, part store.Part) error {
	if err := account.May(c, account.ManageCohorts); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if _, err := t.LockCohort(ctx, cohort); err != nil {
			return err
		}
		return t.RemoveMember(ctx, cohort, person, part)
	})
}
