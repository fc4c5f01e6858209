package api

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// Person is somebody of the centre.
type Person struct {
	ID            uuid.UUID      `json:"id"`
	Name          string         `json:"name"`
	SignInName    string         `json:"sign_in_name"`
	Email         string         `json:"email,omitzero"`
	Roles         []account.Role `json:"roles"`
	Registrations []Registration `json:"registrations"`
	Invited       bool           `json:"invited" about:"Has not chosen a password yet."`
	DisabledAt    time.Time      `json:"disabled_at,omitzero" about:"Since when the person may not sign in."`
}

// Registration is an occupational registration or approval.
type Registration struct {
	Kind      string `json:"kind"`
	Number    string `json:"number"`
	ValidFrom Date   `json:"valid_from"`
	ValidTo   Date   `json:"valid_to"`
}

func registrationOf(g account.Registration) Registration {
	return Registration{Kind: g.Kind, Number: g.Number, ValidFrom: Date{g.ValidFrom}, ValidTo: Date{g.ValidTo}}
}

// People is a page of the centre's people who fit, by name.
type People struct {
	People []Person `json:"people"`
	All    int      `json:"all" about:"How many fit, on every page."`
	More   bool     `json:"more" about:"There is a page after this one."`
}

type peopleSearch struct {
	Find   string    `query:"find" validate:"omitempty,max=200" about:"Parts of the name, the sign-in name or the address."`
	Cohort uuid.UUID `query:"cohort" validate:"omitempty" about:"Who belongs to it."`
	Unit   string    `query:"unit" validate:"omitempty,max=100" about:"Who is registered for it by its code, or belongs to a cohort that works on it."`
	Page   int       `query:"page" validate:"omitempty,min=0,max=10000" about:"From 0, two hundred at a time; one after the last is the last."`
}

func personOf(p app.Person) Person {
	return Person{
		ID: p.ID, Name: p.Name, SignInName: p.SignInName, Email: p.Email, Roles: each(p.Roles, same),
		Registrations: each(p.Registrations, registrationOf), Invited: p.PasswordHash == "", DisabledAt: p.DisabledAt.UTC(),
	}
}

func (s *service) people(ctx context.Context, who account.Caller, _ none, q peopleSearch, _ none) (People, error) {
	f, err := s.app.FindPeople(ctx, who, app.PeopleSearch{Words: q.Find, Cohort: q.Cohort, Unit: q.Unit, Page: q.Page + 1})
	return People{each(f.People, personOf), f.All, f.Page.Next() > 0}, err
}

// NewPerson is somebody to be added to the centre.
type NewPerson struct {
	Name       string         `json:"name" validate:"required,max=200"`
	SignInName string         `json:"sign_in_name" validate:"required,min=2,max=40" about:"Small letters, digits, dots and dashes."`
	Email      string         `json:"email" validate:"omitempty,max=320"`
	Roles      []account.Role `json:"roles" validate:"min=1,max=6,unique,dive,oneof=trainee tutor internal_quality_assurer centre_manager external_verifier technician"`
}

// Invitation lets a person choose a password, once. The token is nowhere else.
type Invitation struct {
	Person  uuid.UUID `json:"person"`
	Name    string    `json:"name"`
	Token   string    `json:"token"`
	Expires time.Time `json:"expires"`
	Sent    string    `json:"sent,omitempty" about:"The e-mail address that a letter with a link of its own goes to."`
}

func (Invitation) status() int { return http.StatusCreated }

func invitationOf(person uuid.UUID, i app.Invitation) Invitation {
	return Invitation{Person: person, Name: i.Name, Token: i.Token, Expires: i.Expires.UTC(), Sent: i.Sent}
}

func (s *service) addPerson(ctx context.Context, who account.Caller, _ none, _ none, b NewPerson) (Invitation, error) {
	n := app.NewPerson{Name: b.Name, SignInName: b.SignInName, Email: b.Email, Roles: b.Roles}
	id, inv, err := s.app.AddPerson(ctx, who, n)
	return invitationOf(id, inv), err
}

func (s *service) inviteAgain(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Invitation, error) {
	inv, err := s.app.InviteAgain(ctx, who, p.ID)
	return invitationOf(p.ID, inv), err
}

// Invitations is invitations of people who have no password yet, by name.
type Invitations struct {
	Invitations []Invitation `json:"invitations"`
}

func (Invitations) status() int { return http.StatusCreated }

func (s *service) inviteCohort(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (Invitations, error) {
	list, err := s.app.InviteCohort(ctx, who, p.ID)
	return Invitations{each(list, func(i app.CohortInvitation) Invitation { return invitationOf(i.Person, i.Invitation) })}, err
}

// SignInAllowed lets a person sign in, or keeps them from it.
type SignInAllowed struct {
	Allowed bool `json:"allowed"`
}

func (s *service) allowSignIn(ctx context.Context, who account.Caller, p idPath, _ none, b SignInAllowed) (none, error) {
	return none{}, s.app.SetSignInAllowed(ctx, who, p.ID, b.Allowed)
}
