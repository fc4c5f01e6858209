package app

import (
	"context"
	"fmt"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// MarkAttempt runs the marker over an attempt that was handed over: a job's work, on nobody's behalf. Its id comes from
// the attempt and what was marked, so that a job that is run again has the same effect.
func (a *App) MarkAttempt(ctx context.Context, centre int64, id uuid.UUID) error {
	return a.db.Write(ctx, centre, func(t *store.Tx) error {
		j, err := t.LockJobSheet(ctx, id)
		if err != nil {
			return err
		}
		at := j.Attempt
		next, err := decision.Next(at.State, decision.EventChecked)
		if fault.KindOf(err) == fault.KindConflict {
			return nil // moved on since: nothing is left to do
		} else if err != nil {
			return err
		}
		if waitsForBytes(j) {
			return nil // the last of them asks for this again
		}
		r, err := a.forAttempt(j)
		if err != nil || r.compiled == nil { // a rule is not in force: checking an edition of its set asks for this again
			return err
		}
		if err := a.addMarking(ctx, t, j, r.compiled); err != nil {
			return err
		}
		if at.State == next {
			return nil // marked before: the tutor's page stays good
		}
		at.State = next
		_, err = t.SaveAttempt(ctx, at)
		return err
	})
}

// addMarking marks an attempt and keeps the result beside earlier ones.
func (a *App) addMarking(ctx context.Context, t *store.Tx, j store.JobSheet, c *brief.Compiled) error {
	result := marking.Mark(c, sheetOf(loaded{JobSheet: j}))
	result.BriefDigest = j.Brief.Digest
	marked := fmt.Appendf(nil, "%s %s %d %d", result.Engine, result.BriefDigest, len(j.Entries), len(j.Records))
	for _, e := range result.Rules {
		marked = fmt.Appendf(marked, " %q %q", e.Set, e.Edition)
	}
	return t.AddMarking(ctx, store.Marking{ID: uuid.NewSHA1(j.Attempt.ID, marked), Attempt: j.Attempt.ID, At: a.now(), Result: result})
}
