package app

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// rulesOf lists the editions that an attempt's rules come from, and the checked ones of the same sets that they do not.
func rulesOf(l loaded) (used, others []store.RuleEdition) {
	for _, with := range l.brief.RuledBy {
		for _, e := range l.JobSheet.Rules {
			switch {
			case e.Key != with.Set:
			case e.Edition == with.Edition:
				used = append(used, e)
			default:
				others = append(others, e)
			}
		}
	}
	return used, others
}

// MarkAgain has the marker look at a marked attempt under another edition of one of its rule sets, which the caller asks for
// with a reason. The result is kept beside the earlier ones and holds from then on; decisions that were made stay, and what
// now stands against them keeps the attempt from being signed off.
func (a *App) MarkAgain(ctx context.Context, c account.Caller, id uuid.UUID, revision int, edition uuid.UUID, words string) error {
	var under ruled
	return a.judge(ctx, c, id, judged{account.MarkAgain, revision, func(l *loaded) (decision.Record, error) {
		if l.Attempt.State != decision.Checked && l.Attempt.State != decision.Decided {
			return decision.Record{}, fault.Conflict("This attempt is %s, so it is not marked again. Its result stands with the edition that it was marked with.", l.Attempt.State.Words())
		}
		used, others := rulesOf(*l)
		i := slices.IndexFunc(others, func(e store.RuleEdition) bool { return e.ID == edition })
		if i < 0 {
			return decision.Record{}, fault.Invalid("edition", "Choose a checked edition of one of the attempt's rule sets that it was not marked with.")
		}
		if words = strings.TrimSpace(words); words == "" {
			return decision.Record{}, fault.Invalid("words", "Say why another edition holds for this attempt, so that whoever reads this later can follow you.")
		}
		var err error
		under, err = a.underInstead(*l, others[i])
		if err == nil && under.compiled == nil {
			err = fault.Invalid("edition", "It cannot be marked under that edition. %s", strings.Join(under.missing(), " "))
		}
		r := decision.Record{Kind: decision.KindMarkAgain, Subject: others[i].Key, Outcome: others[i].Edition, Words: words}
		for _, e := range used {
			if e.Key == others[i].Key {
				r.Value = e.Edition
			}
		}
		return r, err
	}}, func(ctx context.Context, t *store.Tx, l *loaded) error {
		return a.addMarking(ctx, t, l.JobSheet, under.compiled)
	})
}

// underInstead is the attempt's brief with one edition in place of the one of the same set that it was marked with.
func (a *App) underInstead(l loaded, e store.RuleEdition) (ruled, error) {
	b, err := a.briefs.brief(l.Brief.Digest, func() (string, error) { return l.Brief.Source, nil })
	if err != nil {
		return ruled{}, err
	}
	with := slices.Clone(l.brief.RuledBy)
	for i := range with {
		if with[i].Set == e.Key {
			with[i].Edition = e.Edition
		}
	}
	r, err := a.marked(b, l.Brief.Digest, l.JobSheet.Rules, with)
	if err != nil {
		return ruled{}, fmt.Errorf("put a brief under edition %s of %s: %w", e.Edition, e.Key, err)
	}
	return r, nil
}
