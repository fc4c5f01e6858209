package main

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/store"
)

type inviteCmd struct {
	Install    installation `embed:""`
	URL        string       `help:"Address at which people reach this installation." default:"http://localhost:8080" env:"WITNESSMARK_URL" placeholder:"URL"`
	Centre     string       `help:"Short code of the centre to open, such as NORTHGATE." placeholder:"CODE"`
	CentreName string       `help:"The centre's full name." placeholder:"NAME"`
	Name       string       `help:"The first manager's name." placeholder:"NAME"`
	SignInName string       `required:"" help:"What the manager types to sign in." placeholder:"NAME"`
	Again      bool         `help:"Print a new link for somebody who is there already, and open no centre."`
}

// Run opens the centre and prints the link, which is kept nowhere.
func (c *inviteCmd) Run(w *world) error {
	base, err := url.Parse(c.URL)
	if err != nil || base.Host == "" {
		return fmt.Errorf("--url %s is not an address such as https://centre.example", c.URL)
	}
	return c.Install.withStore(w.ctx, w.out, func(db *store.Store) error {
		blobs, err := blob.OpenFolder(c.Install.evidenceDir())
		if err != nil {
			return err
		}
		inv, err := c.invite(w.ctx, db, app.New(db, blobs, nil))
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w.out, "%s chooses a password here, once, until %s:\n%s\n",
			inv.Name, inv.Expires.Format("2 January 2006"), base.JoinPath("invitation", inv.Token))
		return err
	})
}

func (c *inviteCmd) invite(ctx context.Context, db *store.Store, a *app.App) (app.Invitation, error) {
	if c.Again {
		return a.InviteBySignInName(ctx, c.SignInName)
	}
	if strings.TrimSpace(c.Centre) == "" || strings.TrimSpace(c.CentreName) == "" || strings.TrimSpace(c.Name) == "" {
		return app.Invitation{}, errors.New("a new centre needs --centre, --centre-name and --name; for a new link to somebody who is there already add --again")
	}
	centre, err := db.CreateCentre(ctx, c.Centre, c.CentreName, time.Now().UTC())
	if err != nil {
		return app.Invitation{}, err
	}
	return a.InviteManager(ctx, centre.ID, app.NewPerson{Name: c.Name, SignInName: c.SignInName})
}
