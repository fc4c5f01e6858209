package app

import (
	"context"
	"errors"
	"fmt"
	"net/mail"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// invitationLife is how long an invitation can be used (our own value).
const invitationLife = 14 * 24 * time.Hour

// purposePassword is the purpose of a link that lets a person choose a password.
const purposePassword = "password"

// After this many failed sign-ins in a row each further one has to wait, a little longer each time (our own values).
const (
	failuresFree = 5
	waitStep     = 10 * time.Second
	waitMost     = 5 * time.Minute
)

// SignIn finds who has the name and the password. The answer to a wrong name is the answer to a wrong password.
func (a *App) SignIn(ctx context.Context, name, password string) (account.Caller, error) {
	wrong := fault.Invalid("password", "That name and that password do not go together. Check both and try again.")
	p, err := a.db.PersonBySignInName(ctx, strings.ToLower(strings.TrimSpace(name)))
	known := err == nil
	if err != nil && fault.KindOf(err) != fault.KindNotFound {
		return account.Caller{}, err
	}
	if known {
		if wait := waitFor(p, a.now()); wait > 0 {
			return account.Caller{}, fault.Forbidden("Too many tries for this name. Wait %d seconds and try again.", int(wait.Seconds())+1)
		}
	}
	ok, err := a.hasher.matches(ctx, password, p.PasswordHash)
	if err != nil {
		return account.Caller{}, err
	}
	if !known || !p.DisabledAt.IsZero() {
		return account.Caller{}, wrong
	}
	err = a.db.Write(ctx, p.Centre, func(t *store.Tx) error {
		if ok {
			return t.SignedIn(ctx, p.ID)
		}
		return t.SignInFailed(ctx, p.ID, a.now())
	})
	switch {
	case err != nil:
		return account.Caller{}, err
	case !ok:
		return account.Caller{}, wrong
	}
	return p.Caller(), nil
}

// waitFor is how long the next sign-in has to wait after failed ones.
func waitFor(p store.Person, now time.Time) time.Duration {
	if p.FailedCount < failuresFree {
		return 0
	}
	wait := min(waitStep*time.Duration(p.FailedCount-failuresFree+1), waitMost)
	return p.FailedAt.Add(wait).Sub(now)
}

// Caller is the person as they are now; one who is gone or disabled is NotFound.
func (a *App) Caller(ctx context.Context, centre int64, person uuid.UUID) (account.Caller, error) {
	p, err := a.db.Person(ctx, centre, person)
	if err != nil {
		return account.Caller{}, err
	}
	if !p.DisabledAt.IsZero() {
		return account.Caller{}, fault.NotFound("This person may no longer sign in.")
	}
	return p.Caller(), nil
}

// confirmPassword asks the caller for their password again, before what cannot be taken back.
func (a *App) confirmPassword(ctx context.Context, c account.Caller, password string) error {
	p, err := a.db.Person(ctx, c.Centre, c.Person)
	if err != nil {
		return err
	}
	if wait := waitFor(p, a.now()); wait > 0 {
		return fault.Forbidden("Too many tries. Wait %d seconds and try again.", int(wait.Seconds())+1)
	}
	ok, err := a.hasher.matches(ctx, password, p.PasswordHash)
	if err != nil {
		return err
	}
	if ok {
		return nil
	}
	if err := a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.SignInFailed(ctx, c.Person, a.now()) }); err != nil {
		return err
	}
	return fault.Invalid("password", "That is not your password. Nothing was signed; type it again.")
}

// Invitation is a single-use link for choosing a password. The token is nowhere else.
type Invitation struct {
	Token   string
	Name    string
	Expires time.Time
	Sent    string // the address that a letter with a link of its own goes to; "" for none
}

// NewPerson is somebody to be added to the centre.
type NewPerson struct {
	Name       string
	SignInName string
	Email      string // may be empty
	Roles      []account.Role
}

// signInNames are lower-case letters, digits, dots and dashes, so that no two look alike.
var signInNames = regexp.MustCompile(`^[a-z0-9][a-z0-9.-]{1,39}$`)

// check tidies the fields and refuses what cannot be kept.
func (n *NewPerson) check() error {
	n.Name, n.SignInName, n.Email = strings.TrimSpace(n.Name), strings.ToLower(strings.TrimSpace(n.SignInName)), strings.TrimSpace(n.Email)
	var fields []fault.Field
	add := func(name, message string) { fields = append(fields, fault.Field{Name: name, Message: message}) }
	if n.Name == "" || len([]rune(n.Name)) > 200 {
		add("name", "Give the person's name, at most 200 letters.")
	}
	if !signInNames.MatchString(n.SignInName) {
		add("sign_in_name", "Use 2 to 40 small letters, digits, dots and dashes, starting with a letter or digit.")
	}
	if n.Email != "" {
		if at, err := mail.ParseAddress(n.Email); err != nil || at.Address != n.Email {
			add("email", "Write one e-mail address, or leave it empty.")
		}
	}
	if len(n.Roles) == 0 {
		add("roles", "Choose at least one role.")
	}
	for _, r := range n.Roles {
		if !slices.Contains(account.Roles(), r) {
			add("roles", fmt.Sprintf("There is no role %q.", r))
		}
	}
	if len(fields) > 0 {
		return fault.InvalidFields(fields)
	}
	return nil
}

// People lists everybody of the caller's centre.
func (a *App) People(ctx context.Context, c account.Caller) ([]store.Person, error) {
	if err := account.May(c, account.SeePeople); err != nil {
		return nil, err
	}
	return a.db.People(ctx, c.Centre)
}

// AddPerson adds a person and makes the invitation that lets them choose a password.
func (a *App) AddPerson(ctx context.Context, c account.Caller, n NewPerson) (uuid.UUID, Invitation, error) {
	if err := account.May(c, account.ManagePeople); err != nil {
		return uuid.Nil, Invitation{}, err
	}
	return a.addPerson(ctx, c.Centre, n)
}

// InviteManager adds a centre's first manager; it is for whoever runs the program, not for a caller.
func (a *App) InviteManager(ctx context.Context, centre int64, n NewPerson) (Invitation, error) {
	n.Roles = []account.Role{account.Manager}
	_, inv, err := a.addPerson(ctx, centre, n)
	return inv, err
}

func (a *App) addPerson(ctx context.Context, centre int64, n NewPerson) (uuid.UUID, Invitation, error) {
	if err := n.check(); err != nil {
		return uuid.Nil, Invitation{}, err
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, Invitation{}, err
	}
	inv := Invitation{Name: n.Name, Sent: a.sentTo(n.Email)}
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		if err := t.AddPerson(ctx, store.Person{
			ID: id, Name: n.Name, SignInName: n.SignInName, Email: n.Email, Roles: n.Roles, CreatedAt: a.now(),
		}); err != nil {
			return err
		}
		if inv.Token, inv.Expires, err = a.addLink(ctx, t, id); err != nil {
			return err
		}
		return a.postInvitation(ctx, t, id, n.Email)
	})
	return id, inv, err
}

// InviteAgain makes a fresh invitation for somebody who has lost theirs or forgotten the password.
func (a *App) InviteAgain(ctx context.Context, c account.Caller, person uuid.UUID) (Invitation, error) {
	if err := account.May(c, account.ManagePeople); err != nil {
		return Invitation{}, err
	}
	p, err := a.db.Person(ctx, c.Centre, person)
	if err != nil {
		return Invitation{}, err
	}
	if comesByLink(p.Roles) {
		return Invitation{}, fault.Conflict("%s comes by a visit’s link and needs no password. Make a new link on the page of the visit.", p.Name)
	}
	return a.invite(ctx, p)
}

// InviteBySignInName is InviteAgain for whoever runs the program, for when a centre's only manager is shut out.
func (a *App) InviteBySignInName(ctx context.Context, name string) (Invitation, error) {
	p, err := a.db.PersonBySignInName(ctx, strings.ToLower(strings.TrimSpace(name)))
	if err != nil {
		return Invitation{}, err
	}
	return a.invite(ctx, p)
}

func (a *App) invite(ctx context.Context, p store.Person) (inv Invitation, err error) {
	inv.Name, inv.Sent = p.Name, a.sentTo(p.Email)
	err = a.db.Write(ctx, p.Centre, func(t *store.Tx) error {
		if inv.Token, inv.Expires, err = a.addLink(ctx, t, p.ID); err != nil {
			return err
		}
		return a.postInvitation(ctx, t, p.ID, p.Email)
	})
	return inv, err
}

// addLink makes a person's invitation, and says until when it holds.
func (a *App) addLink(ctx context.Context, t *store.Tx, person uuid.UUID) (token string, expires time.Time, err error) {
	expires = a.now().Add(invitationLife)
	_, token, err = newLink(ctx, t, purposePassword, person, expires)
	return token, expires, err
}

// Invited says whom an invitation is for without using it up, so that a mail scanner's visit does no harm.
func (a *App) Invited(ctx context.Context, token string) (store.Person, error) {
	l, err := a.invitation(ctx, token)
	if err != nil {
		return store.Person{}, err
	}
	return a.db.Person(ctx, l.Centre, l.Person)
}

// AcceptInvitation uses the invitation up with every other that the person has, keeps the password and ends every session they had.
func (a *App) AcceptInvitation(ctx context.Context, token, password string) (account.Caller, error) {
	l, err := a.invitation(ctx, token)
	if err != nil {
		return account.Caller{}, err
	}
	hash, err := a.hasher.hash(ctx, password)
	if err != nil {
		return account.Caller{}, err
	}
	err = a.db.Write(ctx, l.Centre, func(t *store.Tx) error {
		if _, err := t.UseLink(ctx, l.ID, a.now()); err != nil {
			return err
		}
		if err := errors.Join(t.UseLinks(ctx, l.Person, purposePassword, a.now()), t.SetPassword(ctx, l.Person, hash)); err != nil {
			return err
		}
		_, err := t.EndSessions(ctx, l.Person)
		return err
	})
	if err != nil {
		return account.Caller{}, err
	}
	return a.Caller(ctx, l.Centre, l.Person)
}

func (a *App) invitation(ctx context.Context, token string) (store.Link, error) {
	l, err := a.linkOf(ctx, token)
	switch {
	case fault.KindOf(err) == fault.KindNotFound:
		return l, fault.NotFound("This link is not known here. Check that all of it was copied, or ask your centre for a new one.")
	case err != nil:
		return l, err
	case l.Purpose != purposePassword:
		return l, fault.NotFound("This link is for something else.")
	case !l.UsedAt.IsZero():
		return l, fault.Conflict("This link has been used. Ask your centre for a new one.")
	case !a.now().Before(l.ExpiresAt):
		return l, fault.Conflict("This link has run out. Ask your centre for a new one.")
	}
	return l, nil
}

// SetSignInAllowed lets a person sign in, or keeps them from it and ends their sessions.
func (a *App) SetSignInAllowed(ctx context.Context, c account.Caller, person uuid.UUID, allowed bool) error {
	if err := account.May(c, account.ManagePeople); err != nil {
		return err
	}
	if person == c.Person && !allowed {
		return fault.Conflict("You cannot shut yourself out. Ask another manager.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		if allowed {
			return t.Enable(ctx, person)
		}
		return t.Disable(ctx, person, a.now())
	})
}
