package main

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
)

type inviteCmd struct {
	Install    installation `embed:""`
	URL        string       `help:"Address at which people reach this installation." default:"http://localhost:8080" variable:"WITNESSMARK_URL" placeholder:"URL"`
	Centre     string       `help:"Short code of the centre to open, such as NORTHGATE." placeholder:"CODE"`
	CentreName string       `help:"The centre's full name." placeholder:"NAME"`
	Name       string       `help:"The first manager's name." placeholder:"NAME"`
	SignInName string       `help:"What the manager types to sign in." placeholder:"NAME"`
	Again      bool         `help:"Print a new link for somebody who is there already, and open no centre."`
}

// Run opens the centre and prints the link, which is kept nowhere.
func (c *inviteCmd) Run(w *world) error {
	base, err := url.Parse(c.URL)
	if err != nil || base.Host == "" {
		return fmt.Errorf("--url %s is not an address such as https://centre.example", c.URL)
	}
	if err := c.missing(); err != nil {
		return err
	}
	return c.Install.withApp(w.ctx, w.out, func(a *app.App) error {
		inv, err := c.invite(w.ctx, a)
		if err != nil {
			return err
		}
		_, err = fmt.Fprintf(w.out, "%s chooses a password here, once, until %s:\n%s\n",
			inv.Name, inv.Expires.Format("2 January 2006"), base.JoinPath("invitation", inv.Token))
		return err
	})
}

func (c *inviteCmd) invite(ctx context.Context, a *app.App) (app.Invitation, error) {
	if c.Again {
		inv, err := a.InviteBySignInName(ctx, c.SignInName)
		if fault.KindOf(err) == fault.KindNotFound {
			return inv, fmt.Errorf("nobody signs in as %s here", c.SignInName)
		}
		return inv, err
	}
	return a.OpenCentre(ctx, app.NewCentre{Code: c.Centre, Name: c.CentreName}, app.NewPerson{Name: c.Name, SignInName: c.SignInName})
}

// missing names what the command line lacks; nil where it is complete.
func (c *inviteCmd) missing() error {
	var flags []string
	need := func(flag, value string) {
		if strings.TrimSpace(value) == "" {
			flags = append(flags, flag)
		}
	}
	if !c.Again {
		need("--centre", c.Centre)
		need("--centre-name", c.CentreName)
		need("--name", c.Name)
	}
	need("--sign-in-name", c.SignInName)
	switch {
	case len(flags) == 0:
		return nil
	case c.Again:
		return errors.New("--again needs --sign-in-name: whose link it is to be")
	}
	return fmt.Errorf("to open a centre, give also %s; for a new link to somebody who is there already, --again and --sign-in-name are enough", strings.Join(flags, ", "))
}
