package app

import (
	"context"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// AtWorkMost is how much of the work under way one page lists (our own value).
const AtWorkMost = 200

// AtWork lists the work under way, the latest at work first, for whoever has to stop it: of the whole centre, for a trainee of the
// cohorts that they belong to. find is parts of the trainee's or the cohort's name. It gives at most AtWorkMost, and how much fits.
func (a *App) AtWork(ctx context.Context, c account.Caller, find string) (rows []AtWork, all int, err error) {
	member := uuid.Nil
	if err := account.May(c, account.SeeAtWork); err != nil {
		if err := account.May(c, account.SeeAtWork, account.Own); err != nil {
			return nil, 0, err
		}
		member = c.Person
	}
	return a.db.AtWork(ctx, c.Centre, searchWords(find), member, AtWorkMost)
}

// SafetyStop halts an attempt. Anybody of the centre may, whether they see the attempt or not; who does not see it learns no more than that
// it is stopped. Where it is halted already, what else somebody saw is added.
func (a *App) SafetyStop(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	if err := account.May(c, account.SafetyStop); err != nil {
		return err
	}
	r := decision.Record{Kind: decision.KindSafetyStop, Outcome: "stopped", Words: strings.TrimSpace(words)}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		at, err := t.LockAttempt(ctx, id)
		if err != nil {
			return err
		}
		l := loaded{JobSheet: store.JobSheet{Attempt: at}, standings: standings(c, at)}
		if at.State != decision.SafetyStopped || r.Words == "" {
			if l.Attempt.State, err = decision.Next(at.State, decision.EventStop); err != nil {
				return l.unstoppable(c, err)
			}
		}
		if l.Records, err = t.Records(ctx, id); err != nil {
			return err
		}
		if err := a.appendRecord(ctx, t, c, &l, account.SafetyStop, r); err != nil {
			return err
		}
		_, err = t.SaveAttempt(ctx, l.Attempt)
		return err
	})
}

// unstoppable is why an attempt cannot be stopped, as much of it as the caller may know.
func (l *loaded) unstoppable(c account.Caller, why error) error {
	switch {
	case account.May(c, account.SeeAttempt, l.standings...) == nil:
		return why
	case l.Attempt.State == decision.SafetyStopped:
		return fault.Conflict("This work is stopped already.")
	}
	return fault.Conflict("No work is under way there, so there is nothing to stop.")
}

// ClearStop lets a stopped attempt go on where it was: one that had not begun has yet to begin. Only a tutor of the cohort may.
func (a *App) ClearStop(ctx context.Context, c account.Caller, id uuid.UUID, words string) error {
	return a.judge(ctx, c, id, judged{account.ClearStop, -1, func(l *loaded) (decision.Record, error) {
		if strings.TrimSpace(words) == "" {
			return decision.Record{}, fault.Invalid("words", "Say what was put right before work goes on.")
		}
		var err error
		l.Attempt.State, err = decision.Next(l.Attempt.State, decision.ClearingStop(l.Attempt.OpenedAt))
		return decision.Record{Kind: decision.KindClearStop, Outcome: "cleared", Words: words}, err
	}})
}

// beforeStop is Conflict for what was captured after an attempt was stopped for safety, or at no known time, and where the work had
// not begun. What was captured before still comes in: the stop holds the spanner, not the signal.
func (l loaded) beforeStop(captured decision.Moment) error {
	stops := decision.Stops(l.Records)
	if len(stops) == 0 || l.Attempt.OpenedAt.IsZero() {
		return mustBeOpen(l.Attempt)
	}
	stop := stops[0]
	if !captured.At.IsZero() && captured.At.Add(captured.Offset).Before(stop.At) {
		return nil
	}
	return fault.Conflict("This attempt was stopped for safety by %s, at %s. Nothing that came after is taken until a tutor of the cohort clears the stop; then send it again.",
		stop.ByName, stop.At.In(London()).Format("15:04"))
}
