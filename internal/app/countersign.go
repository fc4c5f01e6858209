package app

import (
	"context"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Countersign stands behind every decision of an attempt that waits for it; revision is the one that the caller's page shows.
// It asks for the caller's password again. Nobody stands behind their own decision, nor anybody without an assessor's award in date. Who
// countersigned a decision does not sample it (decision.HadPart).
func (a *App) Countersign(ctx context.Context, c account.Caller, id uuid.UUID, revision int, password, words string) error {
	words = strings.TrimSpace(words)
	j, err := a.db.JobSheet(ctx, c.Centre, id) // the right comes before the password
	l, err := a.load(c, j, err)
	if err != nil {
		return err
	}
	if err := a.mayCountersign(c, l, decision.Uncountersigned(l.brief.CriterionRefs(), l.Records)); err != nil {
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
		if err := a.mayCountersign(c, *l, waiting); err != nil {
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
func (a *App) mayCountersign(c account.Caller, l loaded, waiting []decision.Record) error {
	if err := l.may(c, account.Countersign); err != nil {
		return err
	}
	if !a.alone(c) {
		return fault.Forbidden("%s So you stand behind nobody else’s.", a.WhyAlone(c))
	}
	if slices.ContainsFunc(waiting, func(d decision.Record) bool { return d.By == c.Person }) {
		return fault.Forbidden("Nobody countersigns their own decision. Ask another tutor of the cohort or an internal quality assurer.")
	}
	return nil
}

// alone says whether what the caller decides today stands by itself.
func (a *App) alone(c account.Caller) bool { return c.DecidesAlone(date(a.today())) }

// WhyAlone tells the caller why what they decide today stands by itself, or waits for a countersignature.
func (a *App) WhyAlone(c account.Caller) string { return c.WhyAlone("Your decisions", date(a.today())) }
