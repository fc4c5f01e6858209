package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// CohortInvitation is an invitation of somebody of a cohort.
type CohortInvitation struct {
	Person     uuid.UUID
	SignInName string
	Invitation
}

// InviteCohort makes a fresh invitation for everybody of a cohort who has not chosen a password yet, to be printed and handed
// out; where the program can write to them, those with an address get a letter as well. Links that they were given before go on
// counting until one of them is used or their time is up.
func (a *App) InviteCohort(ctx context.Context, c account.Caller, cohort uuid.UUID) ([]CohortInvitation, error) {
	if err := account.May(c, account.ManagePeople); err != nil {
		return nil, err
	}
	waiting, err := a.db.Uninvited(ctx, c.Centre, cohort)
	if err != nil {
		return nil, err
	}
	if len(waiting) == 0 {
		return nil, fault.Conflict("Everybody of this cohort has a password. Somebody who forgot theirs gets a link from the page of people.")
	}
	var out []CohortInvitation
	err = a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		out = out[:0]
		for _, m := range waiting {
			inv := CohortInvitation{Person: m.Person, SignInName: m.SignInName, Invitation: Invitation{Name: m.Name, Sent: a.sentTo(m.Email)}}
			var err error
			if inv.Token, inv.Expires, err = a.addLink(ctx, t, m.Person); err != nil {
				return err
			}
			if err := a.postInvitation(ctx, t, m.Person, m.Email); err != nil {
				return err
			}
			out = append(out, inv)
		}
		return nil
	})
	return out, err
}
