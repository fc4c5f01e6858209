package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// TakeBack takes the decision on a criterion back, before the attempt is signed off or sent back: the criterion is open again,
// and the decision stays among the earlier ones. Revision is the one that the caller's page shows.
func (a *App) TakeBack(ctx context.Context, c account.Caller, id uuid.UUID, revision int, criterion, words string) error {
	return a.judge(ctx, c, id, judged{account.TakeBack, -1, func(l *loaded) (decision.Record, error) {
		if err := l.expect(revision, criterion); err != nil {
			return decision.Record{}, err
		}
		r, err := decision.TakingBack(l.brief, l.Records, criterion, words)
		if err == nil {
			l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventTakeBack)
		}
		return r, err
	}})
}

// expect is Conflict where the attempt has moved on since the caller's page was drawn; it says what somebody decided since, on
// that criterion if they did.
func (l *loaded) expect(revision int, criterion string) error {
	err := l.Attempt.Expect(revision)
	if err == nil {
		return nil
	}
	said := decision.Since(l.Records, l.Attempt.Revision-revision, criterion)
	if said == "" {
		return err
	}
	return fault.Conflict("%s That was after you opened this page, and nothing of yours is written yet. Look at it, then decide afresh.", said)
}
