package app

import (
	"context"
	"strings"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
)

// NewCentre is a centre to be opened.
type NewCentre struct {
	Code string // short, such as NORTHGATE; no two centres have the same
	Name string
}

// OpenCentre opens a centre and invites its first manager; it is for whoever runs the program, not for a caller. What
// can be refused is looked at before the centre is made, so that a slip leaves no centre without a manager behind.
func (a *App) OpenCentre(ctx context.Context, c NewCentre, manager NewPerson) (Invitation, error) {
	c.Code, c.Name = strings.TrimSpace(c.Code), strings.TrimSpace(c.Name)
	switch {
	case c.Code == "" || len([]rune(c.Code)) > 40:
		return Invitation{}, fault.Invalid("centre", "Give the centre a code, at most 40 letters.")
	case c.Name == "" || len([]rune(c.Name)) > 200:
		return Invitation{}, fault.Invalid("centre_name", "Give the centre's name, at most 200 letters.")
	}
	manager.Roles = []account.Role{account.Manager}
	if err := manager.check(); err != nil {
		return Invitation{}, err
	}
	_, err := a.db.PersonBySignInName(ctx, manager.SignInName)
	if err == nil {
		return Invitation{}, fault.Invalid("sign_in_name", "Somebody already signs in as %s. Choose another name, for example with a number behind it.", manager.SignInName)
	}
	if fault.KindOf(err) != fault.KindNotFound {
		return Invitation{}, err
	}
	made, err := a.db.CreateCentre(ctx, c.Code, c.Name, a.now().UTC())
	if err != nil {
		return Invitation{}, err
	}
	return a.InviteManager(ctx, made.ID, manager)
}
