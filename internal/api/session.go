package api

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
)

// Caller is the person who is signed in.
type Caller struct {
	Person uuid.UUID      `json:"person"`
	Name   string         `json:"name"`
	Roles  []account.Role `json:"roles"`
}

func callerOf(c account.Caller) Caller {
	return Caller{Person: c.Person, Name: c.Name, Roles: each(c.Roles, same)}
}

// SignIn is a name and a password.
type SignIn struct {
	Name     string `json:"name" validate:"required,max=200"`
	Password string `json:"password" validate:"required,max=1024"`
}

func (s *service) signIn(ctx context.Context, _ account.Caller, _ none, _ none, b SignIn) (Caller, error) {
	who, err := s.app.SignIn(ctx, b.Name, b.Password)
	if err != nil {
		return Caller{}, err
	}
	return callerOf(who), s.sessions.Start(ctx, who)
}

func (s *service) signOut(ctx context.Context, _ account.Caller, _ none, _ none, _ none) (none, error) {
	return none{}, s.sessions.End(ctx)
}

func (s *service) whoAmI(_ context.Context, who account.Caller, _ none, _ none, _ none) (Caller, error) {
	return callerOf(who), nil
}

// Forgotten is the name of somebody who cannot sign in.
type Forgotten struct {
	Name string `json:"name" validate:"required,max=200"`
}

func (s *service) askForLink(ctx context.Context, _ account.Caller, _ none, _ none, b Forgotten) (none, error) {
	return none{}, s.app.AskForLink(ctx, b.Name)
}

type tokenPath struct {
	Token string `path:"token"`
}

// Invited is whom an invitation is for.
type Invited struct {
	Name       string `json:"name"`
	SignInName string `json:"sign_in_name"`
}

func (s *service) invited(ctx context.Context, _ account.Caller, p tokenPath, _ none, _ none) (Invited, error) {
	person, err := s.app.Invited(ctx, p.Token)
	return Invited{Name: person.Name, SignInName: person.SignInName}, err
}

// NewPassword is the password that an invited person chooses: 10 characters at least, nothing else is asked of it.
type NewPassword struct {
	Password string `json:"password" validate:"required,min=10,max=256"`
}

func (s *service) acceptInvitation(ctx context.Context, _ account.Caller, p tokenPath, _ none, b NewPassword) (Caller, error) {
	who, err := s.app.AcceptInvitation(ctx, p.Token, b.Password)
	if err != nil {
		return Caller{}, err
	}
	return callerOf(who), s.sessions.Start(ctx, who)
}

func (s *service) openAPI(context.Context, account.Caller, none, none, none) (document, error) {
	return s.document, nil
}

// each puts every one of a list into other words; an empty list stays a list.
func each[S, T any](list []S, fn func(S) T) []T {
	out := make([]T, 0, len(list))
	for _, x := range list {
		out = append(out, fn(x))
	}
	return out
}

func same[T any](x T) T { return x }
