package app

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// NewLeaver is that a trainee left, as a manager enters it.
type NewLeaver struct {
	Cohort uuid.UUID // zero for every cohort that they belong to, or have work in: the centre
	LeftOn time.Time // their last day: today, or a day before
	Words  string    // why
}

// WithdrawTrainee withdraws a trainee from a cohort, or from all: their attempts there that are under way, or wait to be judged, close as
// withdrawn, and they are set nothing more there. What was captured can still be read, what was signed off stands and may be claimed. It
// says how many attempts closed.
func (a *App) WithdrawTrainee(ctx context.Context, c account.Caller, person uuid.UUID, n NewLeaver) (closed int, err error) {
	if err := account.May(c, account.WithdrawTrainee); err != nil {
		return 0, err
	}
	if person == c.Person {
		return 0, fault.Forbidden("This would be your own withdrawal. Ask another manager.")
	}
	if err := decision.CheckLeaving(n.LeftOn, date(a.today())); err != nil {
		return 0, err
	}
	if n.Words, err = said("words", n.Words, "Say why they leave. It is not shown on any of their work."); err != nil {
		return 0, err
	}
	return closed, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		closed = 0
		p, err := t.Person(ctx, person)
		if err != nil {
			return err
		}
		from, err := leavesFrom(ctx, t, p, n.Cohort)
		if err != nil {
			return err
		}
		for _, k := range from {
			m, err := a.leave(ctx, t, c, person, k.Cohort, n)
			if err != nil {
				return err
			}
			closed += m
		}
		return nil
	})
}

// leavesFrom lists the cohorts that a person leaves: the one, or where that is zero every one.
func leavesFrom(ctx context.Context, t *store.Tx, p store.Person, cohort uuid.UUID) ([]store.Leavable, error) {
	all, err := t.Leavable(ctx, p.ID)
	if err != nil {
		return nil, err
	}
	if cohort == uuid.Nil {
		if len(all) == 0 {
			return nil, fault.Conflict("%s is a trainee of no cohort, or was withdrawn from each before.", p.Name)
		}
		return all, nil
	}
	for _, k := range all {
		if k.Cohort == cohort {
			return []store.Leavable{k}, nil
		}
	}
	w, err := t.LeftCohort(ctx, cohort, p.ID)
	switch {
	case err == nil:
		return nil, fault.Conflict("%s has withdrawn them from %s already. Load the page again to see it.", w.ByName, w.CohortName)
	case fault.KindOf(err) == fault.KindNotFound:
		return nil, fault.NotFound("%s is no trainee of that cohort, and has no work there.", p.Name)
	}
	return nil, err
}

// leave withdraws a trainee from one cohort and says how many attempts closed. Nobody sets the cohort, or the trainee, a task meanwhile.
func (a *App) leave(ctx context.Context, t *store.Tx, c account.Caller, person, cohort uuid.UUID, n NewLeaver) (closed int, err error) {
	if _, err := t.LockCohort(ctx, cohort); err != nil {
		return 0, err
	}
	attempts, err := t.LockLeaver(ctx, cohort, person)
	if err != nil {
		return 0, err
	}
	w := store.Withdrawal{Cohort: cohort, Trainee: person, LeftOn: n.LeftOn, Words: n.Words, By: c.Person, At: a.now()}
	if w.ID, err = newID(); err != nil {
		return 0, err
	}
	if err := t.AddWithdrawal(ctx, w); err != nil {
		return 0, err
	}
	for _, at := range attempts {
		if !decision.Closes(at.State) {
			continue
		}
		l := loaded{JobSheet: store.JobSheet{Attempt: at}, standings: standings(c, at)}
		if l.Records, err = t.Records(ctx, at.ID); err != nil {
			return 0, err
		}
		if err := a.closeLeft(ctx, t, c, &l, w.LeftOn); err != nil {
			return 0, err
		}
		if _, err := t.SaveAttempt(ctx, l.Attempt); err != nil {
			return 0, err
		}
		closed++
	}
	return closed, nil
}

// closeLeft closes a locked attempt since its trainee left, with its record. Its words say when and not why: they are read by the trainee,
// and in a portfolio. The attempt is the caller's to save.
func (a *App) closeLeft(ctx context.Context, t *store.Tx, c account.Caller, l *loaded, on time.Time) (err error) {
	r := decision.Record{Kind: decision.KindLeave, Outcome: "withdrawn", Value: string(l.Attempt.State),
		Words: fmt.Sprintf("The trainee left the cohort; the last day was %s.", on.Format("2 January 2006"))}
	if l.Attempt.State, err = decision.Next(l.Attempt.State, decision.EventWithdraw); err != nil {
		return err
	}
	return a.appendRecord(ctx, t, c, l, account.WithdrawTrainee, r)
}

// leftMeanwhile closes an attempt that goes on after it was suspended, where its trainee left meanwhile.
func (a *App) leftMeanwhile(ctx context.Context, t *store.Tx, c account.Caller, l *loaded) error {
	w, err := t.LeftCohort(ctx, l.Attempt.Cohort, l.Attempt.Trainee)
	switch {
	case fault.KindOf(err) == fault.KindNotFound || err == nil && !decision.Closes(l.Attempt.State):
		return nil
	case err != nil:
		return err
	}
	if l.Attempt, err = t.SaveAttempt(ctx, l.Attempt); err != nil { // frozen, it takes no record
		return err
	}
	return a.closeLeft(ctx, t, c, l, w.LeftOn)
}

// hasLeft says whether the trainee of an attempt is withdrawn from its cohort, so that no further attempt is planned.
func hasLeft(ctx context.Context, t *store.Tx, at store.Attempt) (bool, error) {
	_, err := t.LeftCohort(ctx, at.Cohort, at.Trainee)
	if fault.KindOf(err) == fault.KindNotFound {
		return false, nil
	}
	return err == nil, err
}

// TakeBackWithdrawal has a withdrawal count no more: the trainee belongs to the cohort as before, and the attempts that it closed stand
// again where they stood; a correction of their brief that took effect meanwhile does so on them. What came in meanwhile from a phone is
// held, for a tutor to take in.
func (a *App) TakeBackWithdrawal(ctx context.Context, c account.Caller, id uuid.UUID, words string) (err error) {
	if err := account.May(c, account.WithdrawTrainee); err != nil {
		return err
	}
	if words, err = said("words", words, "Say why it is taken back."); err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		w, err := t.LockWithdrawal(ctx, id)
		if err != nil {
			return err
		}
		switch {
		case w.Trainee == c.Person:
			return fault.Forbidden("This is your own withdrawal. Ask another manager.")
		case !w.Stands():
			return fault.Conflict("%s has taken this withdrawal back already.", w.BackByName)
		}
		attempts, err := t.LockLeaver(ctx, w.Cohort, w.Trainee)
		if err != nil {
			return err
		}
		if err := t.TakeBackWithdrawal(ctx, id, c.Person, a.now(), words); err != nil {
			return err
		}
		for _, at := range attempts {
			if at.State != decision.Withdrawn {
				continue
			}
			if err := a.comeBack(ctx, t, c, at); err != nil {
				return err
			}
		}
		return nil
	})
}

// comeBack has a withdrawn attempt stand where it stood, unless it was withdrawn for another cause. Things of the sealed list may have
// come meanwhile, so the marker looks again.
func (a *App) comeBack(ctx context.Context, t *store.Tx, c account.Caller, at store.Attempt) error {
	records, err := t.Records(ctx, at.ID)
	if err != nil {
		return err
	}
	before, ok := decision.BeforeLeaving(at.State, records)
	if !ok {
		return nil
	}
	l := loaded{JobSheet: store.JobSheet{Attempt: at, Records: records}, standings: standings(c, at)}
	l.Attempt.State = before
	r := decision.Record{Kind: decision.KindReturn, Outcome: string(before), Words: "The withdrawal was taken back."}
	if err := a.appendRecord(ctx, t, c, &l, account.WithdrawTrainee, r); err != nil {
		return err
	}
	if before == decision.HandedOver {
		if err := t.EnqueueMark(ctx, at.ID); err != nil {
			return err
		}
	} else if err := a.remark(ctx, t, &l); err != nil {
		return err
	}
	if _, err = t.SaveAttempt(ctx, l.Attempt); err != nil {
		return err
	}
	return a.catchUp(ctx, t, c.Centre, at.ID, decision.Leaving(at.State, records).At)
}

// catchUp has the corrections take effect on an attempt that passed it by while it was withdrawn, one after the other, as they would have.
func (a *App) catchUp(ctx context.Context, t *store.Tx, centre int64, attempt uuid.UUID, since time.Time) error {
	for {
		w, held, err := t.PassedBy(ctx, attempt, since)
		if err != nil || held == nil {
			return err
		}
		at := a.now().Truncate(time.Microsecond)
		r, err := correctedRecord(centre, w, *held, at)
		if err != nil {
			return err
		}
		if err := t.Correct(ctx, w.ID, at, []store.Corrected{*held}, []decision.Record{r}); err != nil {
			return err
		}
	}
}

// beforeLeaving is Conflict for what was captured after an attempt was closed because its trainee left, or at no known time, and where the
// work had not begun. What was captured before still comes in, late as it is, and is held: nobody judges it. What a list names that was
// sealed before comes in too.
func (l loaded) beforeLeaving(left *decision.Record, id uuid.UUID, kind decision.SealKind, digest string, captured decision.Moment) error {
	if l.Seal != nil {
		if _, listed := l.Seal.Find(id); listed {
			if digest == "" {
				return nil
			}
			return l.Seal.Fulfils(id, kind, digest)
		}
	}
	if l.Attempt.OpenedAt.IsZero() {
		return mustBeOpen(l.Attempt)
	}
	if !captured.At.IsZero() && captured.At.Add(captured.Offset).Before(left.At) {
		return nil
	}
	return fault.Conflict("This work was closed on %s, since its trainee was withdrawn from the cohort. What was captured after that is not taken. If this is a mistake, ask a manager to take the withdrawal back; then send it again.",
		left.At.In(London()).Format("2 January 2006, 15:04"))
}
