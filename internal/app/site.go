package app

import (
	"context"
	"regexp"
	"strings"
	"unicode/utf8"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// PrivateSite is where work outside the centre is done.
type PrivateSite struct {
	Code        string // never an address: letters, digits and hyphens, at most 24
	Householder string // who told the householder that photos will be taken: a name or role
}

var siteCode = regexp.MustCompile(`^[A-Za-z0-9](?:[A-Za-z0-9-]{0,22}[A-Za-z0-9])?$`)

// check refuses a site whose code could be an address, and one whose householder was not told.
func (s PrivateSite) check() error {
	switch {
	case !siteCode.MatchString(s.Code):
		return fault.Invalid("site", "Give the site's code: letters, digits and hyphens, at most 24. Never the address: the code stands on everything that leaves the centre.")
	case s.Householder == "":
		return fault.Invalid("householder", "Say who told the householder that photos will be taken: a name, or a role such as “the tutor”. Until they are told, take none.")
	case utf8.RuneCountInString(s.Householder) > 120:
		return fault.Invalid("householder", "Shorten this to 120 letters: who told the householder is enough.")
	}
	return nil
}

// OpenAttempt starts an attempt at the centre. The trainee agrees to the plan and says that they have seen the risk assessment:
// without that, work does not start.
func (a *App) OpenAttempt(ctx context.Context, c account.Caller, id uuid.UUID, planAgreed, riskSeen bool) error {
	return a.OpenAttemptOn(ctx, c, id, planAgreed, riskSeen, nil)
}

// OpenAttemptOn is OpenAttempt for work on a private site; nil is the centre. On a private site photos are covered before they
// are sent, and the householder has to be told of them first.
func (a *App) OpenAttemptOn(ctx context.Context, c account.Caller, id uuid.UUID, planAgreed, riskSeen bool, site *PrivateSite) error {
	return a.change(ctx, c, id, account.OpenAttempt, func(_ *store.Tx, l *loaded) error {
		if !planAgreed || !riskSeen {
			return fault.Invalid("agreed", "Before you start, tick both: that you agree the plan with your tutor, and that you have read the cautions and the risk assessment.")
		}
		if site != nil {
			at := PrivateSite{Code: strings.ToUpper(strings.TrimSpace(site.Code)), Householder: strings.TrimSpace(site.Householder)}
			if err := at.check(); err != nil {
				return err
			}
			l.Attempt.Site, l.Attempt.Householder = at.Code, at.Householder
		}
		if from := l.Task.FromOn; !from.IsZero() && dayText(from) > a.today() {
			return fault.Conflict("This task starts on %s. Until then you can read it.", from.Format("2 January 2006"))
		}
		next, err := decision.Next(l.Attempt.State, decision.EventOpen)
		l.Attempt.State, l.Attempt.OpenedAt = next, a.now()
		return err
	})
}
