package api

import (
	"context"
	"net/http"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// idPath names one thing.
type idPath struct {
	ID uuid.UUID `path:"id"`
}

// Created is the id of what was made.
type Created struct {
	ID uuid.UUID `json:"id"`
}

func (Created) status() int { return http.StatusCreated }

// CohortRow is a cohort in a list.
type CohortRow struct {
	ID       uuid.UUID `json:"id"`
	Name     string    `json:"name"`
	Trainees int       `json:"trainees"`
	Tasks    int       `json:"tasks"`
	Waiting  int       `json:"waiting" about:"Attempts that wait for a tutor."`
}

// Cohorts is the cohorts that the caller has to do with, by name.
type Cohorts struct {
	Cohorts []CohortRow `json:"cohorts"`
}

func cohortRowOf(k app.CohortRow) CohortRow {
	return CohortRow{ID: k.ID, Name: k.Name, Trainees: k.Trainees, Tasks: k.Tasks, Waiting: k.Waiting}
}

func (s *service) cohorts(ctx context.Context, who account.Caller, _ none, _ none, _ none) (Cohorts, error) {
	ks, err := s.app.Cohorts(ctx, who)
	return Cohorts{each(ks, cohortRowOf)}, err
}

// Member is a person in a cohort.
type Member struct {
	Person     uuid.UUID `json:"person"`
	Name       string    `json:"name"`
	SignInName string    `json:"sign_in_name"`
}

func memberOf(m app.Member) Member {
	return Member{Person: m.Person, Name: m.Name, SignInName: m.SignInName}
}

// Cohort is a cohort with its members.
type Cohort struct {
	ID       uuid.UUID `json:"id"`
	Name     string    `json:"name"`
	Tutors   []Member  `json:"tutors"`
	Trainees []Member  `json:"trainees"`
	Left     []Leaver  `json:"withdrawn" about:"Trainees who were withdrawn from it."`
}

func cohortOf(k app.Cohort) Cohort {
	return Cohort{ID: k.ID, Name: k.Name, Tutors: each(k.Tutors, memberOf), Trainees: each(k.Trainees, memberOf), Left: each(k.Left, leaverOf)}
}

func (s *service) cohort(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Cohort, error) {
	k, err := s.app.Cohort(ctx, who, p.ID)
	return cohortOf(k), err
}

// NewCohort is a cohort to be opened.
type NewCohort struct {
	Name string `json:"name" validate:"required,max=120"`
}

func (s *service) addCohort(ctx context.Context, who account.Caller, _ none, _ none, b NewCohort) (Created, error) {
	id, err := s.app.AddCohort(ctx, who, b.Name)
	return Created{id}, err
}

// NewMember is a person to be put into a cohort.
type NewMember struct {
	Person uuid.UUID `json:"person" validate:"required"`
	Part   app.Part  `json:"part" validate:"required,oneof=trainee tutor"`
}

func (s *service) addMember(ctx context.Context, who account.Caller, p idPath, _ none, b NewMember) (none, error) {
	return none{}, s.app.AddMember(ctx, who, p.ID, b.Person, b.Part)
}

type memberPath struct {
	ID     uuid.UUID `path:"id" about:"The cohort's."`
	Person uuid.UUID `path:"person"`
}

type memberQuery struct {
	Part app.Part `query:"part" validate:"required,oneof=trainee tutor"`
}

func (s *service) removeMember(ctx context.Context, who account.Caller, p memberPath, q memberQuery, _ none) (none, error) {
	return none{}, s.app.RemoveMember(ctx, who, p.ID, p.Person, q.Part)
}
