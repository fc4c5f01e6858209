package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// Countersign stands behind every decision of an attempt that waits for it; revision is the one that the caller's page shows.
// It asks for the caller's password again. Nobody stands behind their own decision, nor one whose own decisions wait. Who
// countersigned a decision does not sample it (decision.HadPart).
func (a *App) Countersign(ctx context.Context, c account.Caller, id uuid.UUID, revision int, password, words string) error {
	words = strings.TrimSpace(words)
	j, err := a.db.JobSheet(ctx, c.Centre, id) // the right comes before the password
	l, err := a.load(c, j, err)
	if err != nil {
		return err
	}
	if err := l.mayCountersign(c, decision.Uncountersigned(l.brief.CriterionRefs(), l.Records)); err != nil {
		return err
	}
	if err := a.confirmPassword(ctx, c, password); err != nil {
		return err
	}
	var rest []decision.Record
	first := func(l *loaded) (decision.Record, error) {
		if l.Attempt.State != decision.Checked && l.Attempt.State != decision.Decided {
			return decision.Record{}, fault.Conflict("This attempt is %s: it is not being judged now.", l.Attempt.State.Words())
		}
		waiting := decision.Uncountersigned(l.brief.CriterionRefs(), l.Records)
		if err := l.mayCountersign(c, waiting); err != nil {
			return decision.Record{}, err
		}
		if len(waiting) == 0 {
			return decision.Record{}, fault.Conflict("No decision of this attempt waits for a countersignature.")
		}
		var rs []decision.Record
		for _, d := range waiting {
			rs = append(rs, decision.Record{Kind: decision.KindCountersign, Subject: d.Subject, Outcome: "countersigned", Words: words, Value: d.ID.String(), Evidence: slices.Clone(d.Evidence)})
		}
		rest = rs[1:]
		return rs[0], nil
	}
	return a.judge(ctx, c, id, judged{account.Countersign, revision, first}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		for _, r := range rest {
			if err := a.appendRecord(ctx, t, c, l, account.Countersign, r); err != nil {
				return err
			}
		}
		return nil
	})
}

// mayCountersign says whether the caller may stand behind these decisions.
func (l *loaded) mayCountersign(c account.Caller, waiting []decision.Record) error {
	if err := l.may(c, account.Countersign); err != nil {
		return err
	}
	if c.Countersigned {
		return fault.Forbidden("Your own decisions wait for a countersignature, so you cannot give one.")
	}
	if slices.ContainsFunc(waiting, func(d decision.Record) bool { return d.By == c.Person }) {
		return fault.Forbidden("Nobody countersigns their own decision. Ask another tutor of the cohort or an internal quality assurer.")
	}
	return nil
}

// SetCountersigned says whether a tutor's decisions wait for a countersignature from now on, which the decision log keeps. Nobody frees
// themselves of it.
func (a *App) SetCountersigned(ctx context.Context, c account.Caller, person uuid.UUID, waits bool) error {
	if err := account.May(c, account.ManagePeople); err != nil {
		return err
	}
	p, err := a.db.Person(ctx, c.Centre, person)
	if err != nil {
		return err
	}
	if waits && !slices.Contains(p.Roles, account.Tutor) {
		return fault.Conflict("%s is not a tutor, and so decides nothing.", p.Name)
	}
	if !waits && person == c.Person {
		return fault.Forbidden("Another manager says that your own decisions stand by themselves.")
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		changed, err := t.SetCountersigned(ctx, person, waits)
		if err != nil || !changed {
			return err
		}
		t.Log(ctx, ledger.Leaf{Kind: ledger.KindCountersigning, Subject: person, At: a.now(),
			Facts: map[string]string{"waits": map[bool]string{true: "yes", false: "no"}[waits]}, Secrets: map[string]string{"by": c.Name}})
		return nil
	})
}
