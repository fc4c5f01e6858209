package store_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// leaver is a bench on which Ann was withdrawn from the cohort at noon on Monday, her attempt being open.
type leaver struct {
	bench
	manager, id uuid.UUID
	left        time.Time
}

func newLeaver(t *testing.T) leaver {
	t.Helper()
	l := leaver{bench: newBench(t), id: newID(t), left: monday.Add(3 * time.Hour)}
	l.manager = l.newPerson(t, "Mo Desk", account.Manager)
	l.moved(t, decision.Open, nil)
	l.write(t, func(tx *store.Tx) error {
		return tx.AddWithdrawal(t.Context(), store.Withdrawal{ID: l.id, Cohort: l.cohort, Trainee: l.ann, LeftOn: date(2026, 3, 1), Words: "A job elsewhere.", By: l.manager, At: l.left})
	})
	r := l.byAt(t, l.annDoes, l.manager, decision.KindLeave, "", "withdrawn")
	r.Value, r.At = string(decision.Open), l.left
	l.moved(t, decision.Withdrawn, &r)
	return l
}

// moved brings Ann's attempt to a state, with a record where there is one.
func (l leaver) moved(t *testing.T, to decision.State, r *decision.Record) {
	t.Helper()
	if err := l.move(t, to, r); err != nil {
		t.Fatal(err)
	}
}

func (l leaver) move(t *testing.T, to decision.State, r *decision.Record) error {
	t.Helper()
	return l.Write(t.Context(), l.centre, func(tx *store.Tx) error {
		a, err := tx.LockAttempt(t.Context(), l.annDoes)
		if err != nil {
			return err
		}
		if r != nil {
			if err := tx.AppendRecord(t.Context(), *r); err != nil {
				return err
			}
		}
		if a.State = to; a.OpenedAt.IsZero() {
			a.OpenedAt = monday
		}
		_, err = tx.SaveAttempt(t.Context(), a)
		return err
	})
}

// No record, capture or change goes round the program into a withdrawn attempt.
func TestTheDatabaseKeepsAWithdrawnAttemptClosed(t *testing.T) {
	l := newLeaver(t)
	ctx := t.Context()
	for _, k := range []decision.Kind{decision.KindHoldRelease, decision.KindCriterion, decision.KindOverride, decision.KindSignOff, decision.KindMoreToDo,
		decision.KindObservation, decision.KindTakeIn, decision.KindCheckReading, decision.KindSafetyStop, decision.KindAppeal, decision.KindLeave, decision.KindSetAside} {
		kind(t, string(k), l.appended(t, l.byAt(t, l.annDoes, l.tutor, k, "", "")), fault.KindConflict)
	}
	for _, s := range []decision.State{decision.Open, decision.SignedOff, decision.Checked, decision.Planned} {
		kind(t, "moved to "+string(s), l.move(t, s, nil), fault.KindConflict)
	}
	super := connect(t, l.urls.Super)
	if _, err := super.Exec(ctx, `UPDATE attempt SET due_on = '2026-06-01' WHERE attempt_id = $1`, l.annDoes); err == nil || !strings.Contains(err.Error(), "is withdrawn") {
		t.Errorf("another day for a withdrawn attempt: %v", err)
	}

	// What was captured before comes in, late as it is; what came after, or at no known time, does not.
	for name, c := range map[string]struct {
		at     time.Time
		offset int64
		want   fault.Kind
	}{
		"before":                      {l.left.Add(-time.Minute), 0, 0},
		"after":                       {l.left, 0, fault.KindConflict},
		"at no known time":            {time.Time{}, 0, fault.KindConflict},
		"before, by a clock too slow": {l.left.Add(-time.Minute), 120_000, fault.KindConflict},
		"after, by a clock too fast":  {l.left.Add(time.Minute), -120_000, 0},
	} {
		e := store.Entry{ID: newID(t), Attempt: l.annDoes, CapturedAt: c.at, ReceivedAt: l.left.Add(time.Hour), By: l.ann}
		e.Item, e.Text, e.OffsetMS = "why", "cold", &c.offset
		err := l.Write(ctx, l.centre, func(tx *store.Tx) error { _, err := tx.AddEntries(ctx, l.annDoes, []store.Entry{e}); return err })
		kind(t, "an entry from "+name, err, c.want)
		p := l.photo(t)
		p.DeviceAt, p.OffsetMS, p.ReceivedAt = c.at, &c.offset, l.left.Add(time.Hour)
		kind(t, "a photo from "+name, l.Write(ctx, l.centre, func(tx *store.Tx) error { _, err := tx.AddEvidence(ctx, p); return err }), c.want)
	}

	// Nor is she set anything more in the cohort.
	err := l.Write(ctx, l.centre, func(tx *store.Tx) error {
		return tx.AddAttempts(ctx, []store.NewAttempt{{ID: newID(t), Task: l.task, Trainee: l.ann, Number: 2, State: decision.Planned}})
	})
	kind(t, "another attempt", err, fault.KindConflict)

	// A photo's original can still be taken away, and at the end of its time it goes.
	for _, k := range []decision.Kind{decision.KindWithdraw, decision.KindArchive} {
		if err := l.appended(t, l.byAt(t, l.annDoes, l.tutor, k, "", "")); err != nil {
			t.Errorf("%s: %v", k, err)
		}
	}
	l.moved(t, decision.Archived, nil)
}

// A withdrawal is taken back once, and what it closed goes to the state that the record names and to no other.
func TestTheDatabaseTakesAWithdrawalBackOnce(t *testing.T) {
	l := newLeaver(t)
	ctx := t.Context()
	again := store.Withdrawal{ID: newID(t), Cohort: l.cohort, Trainee: l.ann, LeftOn: date(2026, 3, 1), Words: "Twice.", By: l.manager, At: monday}
	add := func(w store.Withdrawal) error {
		return l.Write(ctx, l.centre, func(tx *store.Tx) error { return tx.AddWithdrawal(ctx, w) })
	}
	back := func() error {
		return l.Write(ctx, l.centre, func(tx *store.Tx) error { return tx.TakeBackWithdrawal(ctx, l.id, l.manager, monday, "She is here.") })
	}
	kind(t, "withdrawn twice", add(again), fault.KindConflict)
	own := again
	own.By, own.Trainee = l.bob, l.bob
	kind(t, "one's own", add(own), fault.KindForbidden)
	if err := back(); err != nil {
		t.Fatal(err)
	}
	kind(t, "taken back twice", back(), fault.KindConflict)
	super := connect(t, l.urls.Super)
	if _, err := super.Exec(ctx, `UPDATE withdrawal SET back_at = NULL, back_by = NULL, back_words = '' WHERE withdrawal_id = $1`, l.id); err == nil || !strings.Contains(err.Error(), "was taken back") {
		t.Errorf("the database forgets that it was taken back: %v", err)
	}
	r := l.byAt(t, l.annDoes, l.manager, decision.KindReturn, "", string(decision.Open))
	kind(t, "back to another state", l.move(t, decision.SignedOff, &r), fault.KindConflict)
	l.moved(t, decision.Open, &r)
	if err := add(again); err != nil {
		t.Errorf("withdrawn afresh: %v", err)
	}
	log, err := l.Withdrawals(ctx, l.centre, l.ann)
	if err != nil || len(log) != 2 || log[0].Stands() == log[1].Stands() {
		t.Errorf("%+v, %v", log, err)
	}
	var logged int
	if err := super.QueryRow(ctx, `SELECT count(*) FROM log_entry WHERE kind IN ('withdrawal', 'withdrawal_back', 'trainee_withdrawn', 'withdrawal_taken_back')`).Scan(&logged); err != nil || logged != 5 {
		t.Errorf("%d entries of the log (%v), want 5", logged, err)
	}
}

// A task that is set at the same moment does not slip past a withdrawal, whichever is first.
func TestNobodyIsSetATaskWhileTheyLeave(t *testing.T) {
	b := newBench(t)
	ctx, manager := t.Context(), b.newPerson(t, "Mo Desk", account.Manager)
	began, set := make(chan struct{}), make(chan error, 1)
	err := b.Write(ctx, b.centre, func(tx *store.Tx) error {
		if _, err := tx.LockLeaver(ctx, b.cohort, b.ann); err != nil {
			return err
		}
		go func() {
			set <- b.Write(ctx, b.centre, func(tx *store.Tx) error {
				close(began)
				return tx.AddAttempts(ctx, []store.NewAttempt{{ID: newID(t), Task: b.task, Trainee: b.ann, Number: 2, State: decision.Planned}})
			})
		}()
		<-began
		select {
		case err := <-set:
			t.Errorf("set while she was held: %v", err)
		case <-time.After(200 * time.Millisecond):
		}
		return tx.AddWithdrawal(ctx, store.Withdrawal{ID: newID(t), Cohort: b.cohort, Trainee: b.ann, LeftOn: date(2026, 3, 1), Words: "A job elsewhere.", By: manager, At: monday})
	})
	if err := errors.Join(err); err != nil {
		t.Fatal(err)
	}
	kind(t, "set as she left", <-set, fault.KindConflict)
}
