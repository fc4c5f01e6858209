package api

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// AwardRegistration is a trainee's registration with the awarding organisation.
type AwardRegistration struct {
	ID           uuid.UUID `json:"id"`
	Unit         string    `json:"unit" about:"Empty for every unit."`
	Number       string    `json:"number"`
	RegisteredOn Date      `json:"registered_on"`
	EndsOn       Date      `json:"ends_on,omitzero"`
}

// PersonFile is a person with what they are registered for, and where they belong.
type PersonFile struct {
	Person
	DecidesAlone bool                `json:"decides_alone" about:"What they decide today stands by itself: with an assessor’s award in date. Else it waits for a countersignature, and they give none."`
	Deciding     string              `json:"deciding" about:"Why, in a sentence."`
	Awards       []AwardRegistration `json:"award_registrations"`
	Cohorts      []PersonCohort      `json:"cohorts"`
	Left         []TraineeWithdrawal `json:"withdrawals" about:"From cohorts, the first first; those that were taken back among them."`
}

// PersonCohort is a cohort that a person belongs to.
type PersonCohort struct {
	ID   uuid.UUID `json:"id"`
	Name string    `json:"name"`
	Part string    `json:"part"`
}

func awardRegistrationOf(g app.AwardRegistration) AwardRegistration {
	return AwardRegistration{ID: g.ID, Unit: g.Unit, Number: g.Number, RegisteredOn: Date{g.RegisteredOn}, EndsOn: Date{g.EndsOn}}
}

func (s *service) personFileOf(f app.PersonFile) PersonFile {
	alone, why := s.app.Deciding(f.Person)
	out := PersonFile{DecidesAlone: alone, Deciding: why, Person: personOf(f.Person), Awards: each(f.Awards, awardRegistrationOf), Cohorts: []PersonCohort{}, Left: each(f.Left, withdrawalOf)}
	for _, k := range f.Cohorts {
		out.Cohorts = append(out.Cohorts, PersonCohort{ID: k.ID, Name: k.Name, Part: string(k.Part)})
	}
	return out
}

func (s *service) person(ctx context.Context, who account.Caller, p idPath, _ none, _ none) (PersonFile, error) {
	f, err := s.app.PersonFile(ctx, who, p.ID)
	return s.personFileOf(f), err
}

// NewRegistration is a registration, approval or award to be entered.
type NewRegistration struct {
	Kind      string `json:"kind" validate:"oneof=gas electrical unvented assessor quality_assurer"`
	Number    string `json:"number" validate:"required,max=100"`
	ValidFrom Date   `json:"valid_from" validate:"required"`
	ValidTo   Date   `json:"valid_to" validate:"omitempty" about:"Left out where it does not end."`
}

func (s *service) addRegistration(ctx context.Context, who account.Caller, p idPath, _ none, b NewRegistration) (none, error) {
	return none{}, s.app.AddRegistration(ctx, who, p.ID, app.NewRegistration{Kind: b.Kind, Number: b.Number, From: b.ValidFrom.Time, To: b.ValidTo.Time})
}

// RegistrationEnd is the last day of a registration.
type RegistrationEnd struct {
	Kind   string `json:"kind" validate:"oneof=gas electrical unvented assessor quality_assurer"`
	Number string `json:"number" validate:"required,max=100"`
	On     Date   `json:"on" validate:"required"`
}

func (s *service) endRegistration(ctx context.Context, who account.Caller, p idPath, _ none, b RegistrationEnd) (none, error) {
	return none{}, s.app.EndRegistration(ctx, who, p.ID, b.Kind, b.Number, b.On.Time)
}

// NewAwardRegistration is a registration with the awarding organisation, to be entered.
type NewAwardRegistration struct {
	Unit         string `json:"unit" validate:"omitempty,max=100" about:"Left out for every unit."`
	Number       string `json:"number" validate:"required,max=100"`
	RegisteredOn Date   `json:"registered_on" validate:"required"`
	EndsOn       Date   `json:"ends_on" validate:"omitempty" about:"Left out where it does not end."`
}

func (s *service) addAwardRegistration(ctx context.Context, who account.Caller, p idPath, _ none, b NewAwardRegistration) (Created, error) {
	id, err := s.app.AddAwardRegistration(ctx, who, p.ID, app.NewAwardRegistration{Unit: b.Unit, Number: b.Number, RegisteredOn: b.RegisteredOn.Time, EndsOn: b.EndsOn.Time})
	return Created{id}, err
}

type awardPath struct {
	ID           uuid.UUID `path:"id"`
	Registration uuid.UUID `path:"registration"`
}

// AwardRegistrationEnd is the last day of a registration with the awarding organisation, or that it was entered by mistake.
type AwardRegistrationEnd struct {
	On      Date `json:"on" validate:"omitempty"`
	Mistake bool `json:"mistake" validate:"omitempty" about:"It counts no longer, and stays on record."`
}

func (s *service) endAwardRegistration(ctx context.Context, who account.Caller, p awardPath, _ none, b AwardRegistrationEnd) (none, error) {
	return none{}, s.app.EndAwardRegistration(ctx, who, p.ID, p.Registration, b.On.Time, b.Mistake)
}

// Conflict is a conflict of interest between two people.
type Conflict struct {
	ID         uuid.UUID `json:"id"`
	Person     uuid.UUID `json:"person"`
	Other      uuid.UUID `json:"other"`
	Words      string    `json:"words"`
	DeclaredBy uuid.UUID `json:"declared_by"`
	DeclaredAt time.Time `json:"declared_at"`
	EndedAt    time.Time `json:"ended_at,omitzero"`
	EndedWords string    `json:"ended_words,omitzero"`
}

// Conflicts is the conflicts of interest that the caller may know of, those that stand first.
type Conflicts struct {
	Conflicts []Conflict `json:"conflicts"`
	All       int        `json:"all" about:"On every page."`
}

func conflictOf(c app.Conflict) Conflict {
	return Conflict{ID: c.ID, Person: c.Person, Other: c.Other, Words: c.Words, DeclaredBy: c.DeclaredBy, DeclaredAt: c.DeclaredAt, EndedAt: c.EndedAt, EndedWords: c.EndedWords}
}

func (s *service) conflicts(ctx context.Context, who account.Caller, _ none, q listPage, _ none) (Conflicts, error) {
	l, err := s.app.Conflicts(ctx, who, q.Page+1)
	return Conflicts{each(l.Rows, conflictOf), l.All}, err
}

// NewConflict is a conflict of interest to be declared.
type NewConflict struct {
	Person uuid.UUID `json:"person" validate:"required" about:"Whose it is: the caller's own, or for a manager anybody's."`
	Other  uuid.UUID `json:"other" validate:"required"`
	Words  string    `json:"words" validate:"required,max=2000"`
}

func (s *service) declareConflict(ctx context.Context, who account.Caller, _ none, _ none, b NewConflict) (Created, error) {
	id, err := s.app.DeclareConflict(ctx, who, b.Person, b.Other, b.Words)
	return Created{id}, err
}

// ConflictEnd is why a conflict of interest keeps two people apart no longer.
type ConflictEnd struct {
	Words string `json:"words" validate:"required,max=2000"`
}

func (s *service) endConflict(ctx context.Context, who account.Caller, p idPath, _ none, b ConflictEnd) (none, error) {
	return none{}, s.app.EndConflict(ctx, who, p.ID, b.Words)
}
