package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/store"
)

// How old things may be before doctor says so (our own values): a log is signed each minute, a backup made each day.
const (
	signedLate = 10 * time.Minute
	backupLate = 48 * time.Hour

	certificateEnds = 60 * 24 * time.Hour // doctor says so beforehand
)

// logs looks at how the decision logs stand, and the certificates that portfolios are signed with; it asks only a database that runs
// already.
func (c *doctorCmd) logs(ctx context.Context, now time.Time) []finding {
	if c.Install.DatabaseURL == "" {
		return nil
	}
	var out []finding
	err := c.Install.withStore(ctx, io.Discard, func(db *store.Store) error {
		a := app.New(db, nil, nil)
		if _, err := os.Stat(c.Install.keysDir()); err == nil { // looking makes no folder
			ring, err := c.Install.keys()
			if err != nil {
				return err
			}
			a = a.WithKeys(ring)
		}
		all, err := a.LogStandings(ctx)
		for _, s := range all {
			out = append(out, logFinding(s, now))
		}
		if err != nil {
			return err
		}
		certificates, err := a.CertificateStandings(ctx)
		for _, s := range certificates {
			out = append(out, certificateFinding(s, now))
		}
		return err
	})
	if err != nil {
		out = append(out, finding{"decision logs", "not looked at", err.Error()})
	}
	return out
}

func logFinding(s app.LogStanding, now time.Time) finding {
	f := finding{about: "decision log of " + s.Code, found: fmt.Sprintf("%d entries, %d of them signed", s.Size, s.Signed)}
	if !s.SignedAt.IsZero() {
		f.found += ", last on " + s.SignedAt.Format("2 January 2006 15:04 UTC")
	}
	switch {
	case s.Refused != nil:
		f.advice = s.Refused.Error()
	case s.Signed < s.Size && now.Sub(s.SignedAt) > signedLate:
		f.advice = "Entries wait to be signed. They are signed each minute while the program runs: start it, or look for sign_logs in its log."
	}
	return f
}

func certificateFinding(s app.CertificateStanding, now time.Time) finding {
	f := finding{about: "signing certificate of " + s.Code, found: "in force until " + s.Until.Format("2 January 2006")}
	put := "Put another in place with witnessmark keys certificate --centre " + s.Code + "; portfolios that are signed stay as they are."
	switch {
	case s.Until.IsZero():
		f.found, f.advice = "cannot be read", s.Wrong.Error()
	case s.Wrong != nil:
		f.advice = "No portfolio can be signed: " + s.Wrong.Error() + ". " + put
	case s.Until.Sub(now) < certificateEnds:
		f.advice = "It ends soon. " + put
	}
	return f
}

// backups looks at how old the newest backup is.
func (c *doctorCmd) backups(now time.Time) finding {
	f := finding{about: "backups", found: "no folder named", advice: "Name one with --backups, and have witnessmark backup run each day."}
	if c.Where.Backups == "" {
		return f
	}
	entries, err := os.ReadDir(c.Where.Backups)
	if err != nil {
		f.found, f.advice = c.Where.Backups, err.Error()
		return f
	}
	var newest time.Time
	for _, e := range entries {
		if at, err := time.Parse(stamp, e.Name()); err == nil && at.After(newest) { // one that was cut off has another name
			newest = at
		}
	}
	if newest.IsZero() {
		f.found, f.advice = "none in "+c.Where.Backups, "Have witnessmark backup run each day."
		return f
	}
	f.found, f.advice = fmt.Sprintf("the newest of %s in %s", newest.Format("2 January 2006 15:04 UTC"), c.Where.Backups), ""
	if now.Sub(newest) > backupLate {
		f.advice = "It is more than two days old: look why witnessmark backup does not run."
	}
	return f
}
