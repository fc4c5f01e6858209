package api

import (
	"context"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/table"
)

// PeopleList is a list of people as comma-separated text with a line of headings.
type PeopleList struct {
	List string `json:"list" validate:"required,max=1048576"`
}

// SeenPeopleList is a list whose plan somebody has seen.
type SeenPeopleList struct {
	List   string `json:"list" validate:"required,max=1048576"`
	Digest string `json:"digest" validate:"required,max=64" about:"Of the plan that was shown."`
}

// ListProblem is one thing to mend in a list.
type ListProblem struct {
	Line    int    `json:"line" about:"0 for the whole list."`
	Column  string `json:"column,omitzero"`
	Message string `json:"message"`
}

// PeoplePlan is what taking a list of people in changes, or what there is to mend in it first.
type PeoplePlan struct {
	Problems      []ListProblem  `json:"problems"`
	Rows          int            `json:"rows"`
	People        int64          `json:"people" about:"Who are new."`
	Roles         int64          `json:"roles" about:"Given."`
	Members       int64          `json:"members" about:"Places in a cohort."`
	Registrations int64          `json:"registrations" about:"With the awarding organisation."`
	Cohorts       []string       `json:"cohorts" about:"That are opened."`
	Changes       []PersonChange `json:"changes"`
	Digest        string         `json:"digest,omitzero" about:"To be sent with the list for it to be taken in."`
}

// PersonChange is how a list has somebody who is here already.
type PersonChange struct {
	Line       int    `json:"line"`
	SignInName string `json:"sign_in_name"`
	Was        string `json:"was"`
	Now        string `json:"now"`
	WasEmail   string `json:"was_email,omitzero"`
	NowEmail   string `json:"now_email,omitzero"`
}

func listProblemOf(p table.Problem) ListProblem { return ListProblem(p) }

func peoplePlanOf(p app.PeoplePlan) PeoplePlan {
	return PeoplePlan{
		Problems: each(p.Problems, listProblemOf), Rows: p.Rows, People: p.People, Roles: p.Roles, Members: p.Members, Registrations: p.Registrations,
		Cohorts: each(p.Cohorts, same), Digest: p.Digest,
		Changes: each(p.Changes, func(c app.PersonChange) PersonChange {
			return PersonChange{Line: c.Line, SignInName: c.SignInName, Was: c.Was, Now: c.Now, WasEmail: c.WasEmail, NowEmail: c.NowEmail}
		}),
	}
}

func (s *service) checkPeople(ctx context.Context, who account.Caller, _ none, _ none, b PeopleList) (PeoplePlan, error) {
	p, err := s.app.CheckPeople(ctx, who, []byte(b.List))
	return peoplePlanOf(p), err
}

func (s *service) importPeople(ctx context.Context, who account.Caller, _ none, _ none, b SeenPeopleList) (PeoplePlan, error) {
	p, err := s.app.ImportPeople(ctx, who, []byte(b.List), b.Digest)
	return peoplePlanOf(p), err
}
