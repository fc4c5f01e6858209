package main

import (
	"context"
	"fmt"
	"net/url"

	"witnessmark/internal/app"
	mail "witnessmark/internal/post"
)

// letters says how the program writes to people. Without a server it does not: links are printed and handed over.
type letters struct {
	Server   string `name:"smtp" help:"Mail server that invitations and links for a forgotten password go through; without one they are printed." variable:"WITNESSMARK_SMTP" placeholder:"HOST:PORT"`
	User     string `name:"smtp-user" help:"What to sign in there with, where it asks for that." variable:"WITNESSMARK_SMTP_USER" placeholder:"NAME"`
	Password string `name:"smtp-password" help:"The password there; better given by its variable." variable:"WITNESSMARK_SMTP_PASSWORD" placeholder:"PASSWORD"`
	From     string `name:"mail-from" help:"Address that letters come from, such as \"Northgate Centre <office@northgate.example>\"." variable:"WITNESSMARK_MAIL_FROM" placeholder:"ADDRESS"`
}

// office is where letters go.
func (l letters) office() (*mail.Office, error) {
	o, err := mail.New(mail.Settings{Server: l.Server, From: l.From, User: l.User, Password: l.Password})
	if err != nil {
		return nil, fmt.Errorf("%w: set WITNESSMARK_SMTP, WITNESSMARK_MAIL_FROM and, where it asks for them, WITNESSMARK_SMTP_USER and WITNESSMARK_SMTP_PASSWORD", err)
	}
	return o, nil
}

// writing gives the application its way to write to people, who reach it under base.
func (l letters) writing(a *app.App, base string) (*app.App, error) {
	if l.Server == "" {
		return a, nil
	}
	o, err := l.office()
	if err != nil {
		return nil, err
	}
	at, err := url.Parse(base)
	if err != nil || at.Host == "" {
		return nil, fmt.Errorf("letters hold links, so the program has to know where people reach it: set WITNESSMARK_URL to an address such as https://centre.example; %q is none", base)
	}
	return a.WithPost(o, at), nil
}

// examine looks at the mail server for doctor.
func (l letters) examine(ctx context.Context, base string) finding {
	f := finding{about: "letters", found: "none are sent: invitations and links for a forgotten password are printed and handed over"}
	if l.Server == "" {
		return f
	}
	f.found = "through " + l.Server
	o, err := l.office()
	if err == nil {
		err = o.Try(ctx)
	}
	if err != nil {
		f.advice = err.Error()
		return f
	}
	if at, err := url.Parse(base); err != nil || at.Host == "" {
		f.advice = "Set WITNESSMARK_URL: letters hold links, and a link needs the address at which people reach the program."
	}
	return f
}
