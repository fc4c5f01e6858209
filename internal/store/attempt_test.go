package store_test

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

func (b bench) handedOver(t *testing.T, entries ...store.Entry) store.HandOver {
	t.Helper()
	seal := decision.Seal{ID: newID(t), Made: decision.Moment{At: monday, Steady: true}, ReceivedAt: monday}
	for _, e := range entries {
		seal.Items = append(seal.Items, decision.Listed{ID: e.ID, Kind: decision.SealEntry, Digest: decision.EntryDigest(e.Entry)})
	}
	return store.HandOver{Attempt: b.annDoes, Trainee: b.ann, At: monday, Declaration: "My own work.", Entries: entries, Seal: seal}
}

func TestHandOver(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	super := connect(t, b.urls.Super)
	early, flow, back := b.typed(t, "flow", "70"), b.typed(t, "flow", "69.8"), b.typed(t, "return", "51.3")
	b.write(t, func(tx *store.Tx) error { _, err := tx.AddEntries(ctx, b.annDoes, []store.Entry{early}); return err })

	h := b.handedOver(t, early, flow, back)
	for range 2 { // the answer to the first got lost on the way to the phone
		if err := b.HandOver(ctx, b.centre, h); err != nil {
			t.Fatal(err)
		}
	}
	j, err := b.JobSheet(ctx, b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	a := j.Attempt
	if a.State != decision.HandedOver || a.Revision != 3 || !a.HandedOverAt.Equal(monday) || a.Declaration != h.Declaration {
		t.Errorf("attempt = %+v", a)
	}
	var got []uuid.UUID
	for _, e := range j.Entries {
		got = append(got, e.ID)
	}
	if want := []uuid.UUID{early.ID, flow.ID, back.ID}; len(got) != 3 || got[0] != want[0] || got[1] != want[1] || got[2] != want[2] {
		t.Errorf("entries %v, want %v", got, want)
	}
	if n := value[int](t, super, `SELECT count(*) FROM river.river_job WHERE kind = 'mark' AND args = jsonb_build_object('centre', $1::bigint, 'attempt', $2::text)`,
		b.centre, b.annDoes.String()); n != 1 {
		t.Errorf("%d jobs to mark it, want 1", n)
	}
	waiting, err := b.WaitingFor(ctx, b.centre, b.tutor)
	if err != nil || len(waiting) != 1 || waiting[0].Attempt != b.annDoes || waiting[0].TraineeName != "Ann Apprentice" {
		t.Errorf("waiting = %+v, %v", waiting, err)
	}
}

func TestHandOverIsRefused(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.open(t, b.annDoes)
	h := b.handedOver(t, b.typed(t, "flow", "69.8"))
	if err := b.HandOver(ctx, b.centre, h); err != nil {
		t.Fatal(err)
	}
	if err := b.HandOver(ctx, b.centre, b.handedOver(t, b.typed(t, "flow", "1"))); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("handing over something else afterwards: %v, want Conflict", err)
	}
	stranger := h
	stranger.Trainee = b.bob
	if err := b.HandOver(ctx, b.centre, stranger); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("somebody else's attempt: %v, want NotFound", err)
	}
	notOpen := store.HandOver{Attempt: b.bobDoes, Trainee: b.bob, At: monday}
	if err := b.HandOver(ctx, b.centre, notOpen); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("an attempt that is not open: %v, want Conflict", err)
	}
	if n := value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM entry`); n != 1 {
		t.Errorf("%d entries after three refusals, want 1", n)
	}
}

// A job whose transaction is undone was never asked for.
func TestJobGoesWithItsTransaction(t *testing.T) {
	b := newBench(t)
	b.open(t, b.annDoes)
	stop := errors.New("stop")
	err := b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
		tx.HandOver(b.handedOver(t))
		a, err := tx.LockAttempt(t.Context(), b.annDoes) // which sends the hand-over first
		if a.State != decision.HandedOver {
			t.Errorf("within the transaction the attempt is %s, want handed over", a.State)
		}
		return errors.Join(err, stop)
	})
	if !errors.Is(err, stop) {
		t.Fatalf("got %v, want %v", err, stop)
	}
	super := connect(t, b.urls.Super)
	if n := value[int](t, super, `SELECT count(*) FROM river.river_job`); n != 0 {
		t.Errorf("%d jobs, want none", n)
	}
	if a, err := b.Attempt(t.Context(), b.centre, b.annDoes); err != nil || a.State != decision.Open {
		t.Errorf("attempt is %s, %v; want open", a.State, err)
	}
}

// Within a transaction that read wrongly, an attempt that is not open is refused with the commit, and nothing is kept.
func TestHandOverSentWithTheCommitIsRefused(t *testing.T) {
	b := newBench(t)
	notOpen := store.HandOver{Attempt: b.bobDoes, Trainee: b.bob, At: monday, Entries: b.handedOver(t, b.typed(t, "flow", "1")).Entries}
	err := b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
		tx.HandOver(notOpen)
		return nil
	})
	if err == nil {
		t.Error("got no error for an attempt that is not open")
	}
	super := connect(t, b.urls.Super)
	if n := value[int](t, super, `SELECT (SELECT count(*) FROM entry) + (SELECT count(*) FROM river.river_job)`); n != 0 {
		t.Errorf("%d entries and jobs after a refusal, want none", n)
	}
}

// A transaction that failed does not pass for committed, and its connection is good for the next.
func TestFailedStatementIsNoCommit(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	err := b.Write(ctx, b.centre, func(tx *store.Tx) error {
		if err := tx.AddCohort(ctx, newID(t), "Kept?", monday); err != nil {
			return err
		}
		if err := tx.AddMember(ctx, newID(t), b.ann, store.PartTrainee); err == nil {
			t.Error("a member of no cohort was added")
		}
		return nil // as a careless caller would
	})
	if !errors.Is(err, pgx.ErrTxCommitRollback) {
		t.Errorf("got %v, want %v", err, pgx.ErrTxCommitRollback)
	}
	if n := value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM cohort WHERE name = 'Kept?'`); n != 0 {
		t.Errorf("%d cohorts kept, want none", n)
	}
	b.write(t, func(tx *store.Tx) error { return tx.AddCohort(ctx, newID(t), "Next", monday) })
}

func TestSameIDAgainHasNoEffect(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	e, f := b.typed(t, "flow", "70"), b.photo(t)
	r := b.record(t, decision.KindSignOff, "", "")
	for i := range 2 {
		b.write(t, func(tx *store.Tx) error {
			changed := e
			changed.Text = "other"
			n, err := tx.AddEntries(ctx, b.annDoes, []store.Entry{[]store.Entry{e, changed}[i], e})
			if want := 1 - i; n != want {
				t.Errorf("time %d: %d new entries, want %d", i+1, n, want)
			}
			added, err2 := tx.AddEvidence(ctx, f)
			if want := i == 0; added != want {
				t.Errorf("time %d: evidence added %v, want %v", i+1, added, want)
			}
			return errors.Join(err, err2, tx.AppendRecord(ctx, r), tx.EnqueuePreview(ctx, f.ID))
		})
	}
	j, err := b.JobSheet(ctx, b.centre, b.annDoes)
	if err != nil || len(j.Entries) != 1 || j.Entries[0].Text != "70" || len(j.Evidence) != 1 || len(j.Records) != 1 {
		t.Errorf("sheet has %d entries, %d files, %d records, %v; want one each", len(j.Entries), len(j.Evidence), len(j.Records), err)
	}
	if n := value[int](t, connect(t, b.urls.Super), `SELECT count(*) FROM river.river_job WHERE kind = 'preview'`); n != 1 {
		t.Errorf("%d preview jobs, want 1", n)
	}
}

// Two tutors decide at once: one gets through, the other is told.
func TestTwoWritersOneWins(t *testing.T) {
	b := newBench(t)
	b.open(t, b.annDoes)
	seen, err := b.Attempt(t.Context(), b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	var won, told atomic.Int32
	var all sync.WaitGroup
	for range 6 {
		r := b.record(t, decision.KindCriterion, "U1/1.1", "met")
		all.Go(func() {
			err := b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
				a, err := tx.LockAttempt(t.Context(), b.annDoes)
				if err != nil {
					return err
				}
				if err := a.Expect(seen.Revision); err != nil {
					return err
				}
				if err := tx.AppendRecord(t.Context(), r); err != nil {
					return err
				}
				_, err = tx.SaveAttempt(t.Context(), a)
				return err
			})
			switch {
			case err == nil:
				won.Add(1)
			case fault.KindOf(err) == fault.KindConflict:
				told.Add(1)
			default:
				t.Error(err)
			}
		})
	}
	all.Wait()
	if won.Load() != 1 || told.Load() != 5 {
		t.Errorf("%d won and %d were told; want 1 and 5", won.Load(), told.Load())
	}
	if j, err := b.JobSheet(t.Context(), b.centre, b.annDoes); err != nil || len(j.Records) != 1 || j.Attempt.Revision != seen.Revision+1 {
		t.Errorf("%d records at revision %d, %v; want 1 at %d", len(j.Records), j.Attempt.Revision, err, seen.Revision+1)
	}
}

func TestStaleAndAbsentAreToldApart(t *testing.T) {
	b := newBench(t)
	save := func(id uuid.UUID, revision int) error {
		return b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
			_, err := tx.SaveAttempt(t.Context(), store.Attempt{ID: id, Revision: revision, State: decision.Open})
			return err
		})
	}
	if err := save(b.annDoes, 7); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("a stale revision: %v, want Conflict", err)
	}
	if err := save(newID(t), 1); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("an unknown attempt: %v, want NotFound", err)
	}
}

func TestRecordIsSupersededOnce(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	first := b.record(t, decision.KindCriterion, "U1/1.1", "met")
	b.write(t, func(tx *store.Tx) error { return tx.AppendRecord(ctx, first) })
	supersede := func(attempt uuid.UUID) error {
		r := b.record(t, decision.KindCriterion, "U1/1.1", "not_yet_met")
		r.Supersedes, r.Attempt = first.ID, attempt
		return b.Write(ctx, b.centre, func(tx *store.Tx) error { return tx.AppendRecord(ctx, r) })
	}
	if err := supersede(b.bobDoes); err == nil || fault.KindOf(err) != fault.Internal {
		t.Errorf("superseding a record of another attempt: %v, want the database's refusal", err)
	}
	if err := supersede(b.annDoes); err != nil {
		t.Fatal(err)
	}
	if err := supersede(b.annDoes); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("superseding it once more: %v, want Conflict", err)
	}
}

// Two transactions that lock two rows crosswise: PostgreSQL undoes one, which is done again.
func TestDeadlockIsDoneAgain(t *testing.T) {
	b := newBench(t)
	var tries atomic.Int32
	var both sync.WaitGroup
	both.Add(2)
	var all sync.WaitGroup
	for _, order := range [][2]uuid.UUID{{b.annDoes, b.bobDoes}, {b.bobDoes, b.annDoes}} {
		all.Go(func() {
			first := true
			err := b.Write(t.Context(), b.centre, func(tx *store.Tx) error {
				tries.Add(1)
				for i, id := range order {
					a, err := tx.LockAttempt(t.Context(), id)
					if err != nil {
						return err
					}
					if _, err := tx.SaveAttempt(t.Context(), a); err != nil {
						return err
					}
					if i == 0 && first { // hold one row each before asking for the other
						first = false
						both.Done()
						both.Wait()
					}
				}
				return nil
			})
			if err != nil {
				t.Error(err)
			}
		})
	}
	all.Wait()
	// Whoever is undone may have its row again before the other is awake, and then meets it once more.
	if n := tries.Load(); n < 3 {
		t.Errorf("%d tries, want 3 or more: one of the two was undone and done again", n)
	}
	for _, id := range []uuid.UUID{b.annDoes, b.bobDoes} {
		if a, err := b.Attempt(t.Context(), b.centre, id); err != nil || a.Revision != 3 {
			t.Errorf("revision %d, %v; want 3", a.Revision, err)
		}
	}
}

func TestNextAttempt(t *testing.T) {
	b := newBench(t)
	next := store.NewAttempt{ID: newID(t), Task: b.task, Trainee: b.ann, Number: 2, State: decision.Open, Seed: 11, CarriedFrom: b.annDoes}
	add := func() error {
		return b.Write(t.Context(), b.centre, func(tx *store.Tx) error { return tx.AddAttempts(t.Context(), []store.NewAttempt{next}) })
	}
	if err := add(); err != nil {
		t.Fatal(err)
	}
	tasks, err := b.TasksOf(t.Context(), b.centre, b.ann)
	if err != nil || len(tasks) != 1 || tasks[0].Attempt != next.ID || tasks[0].Number != 2 {
		t.Errorf("tasks = %+v, %v; want the second attempt", tasks, err)
	}
	next.ID = newID(t)
	if err := add(); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("number 2 once more: %v, want Conflict", err)
	}
}

func TestWriteEndsWithItsContext(t *testing.T) {
	b := newBench(t)
	ctx, cancel := context.WithTimeout(t.Context(), 50*time.Millisecond)
	defer cancel()
	super := connect(t, b.urls.Super)
	run(t, super, `BEGIN`)
	run(t, super, `SELECT FROM attempt WHERE attempt_id = $1 FOR UPDATE`, b.annDoes)
	err := b.Write(ctx, b.centre, func(tx *store.Tx) error { _, err := tx.LockAttempt(ctx, b.annDoes); return err })
	if !errors.Is(err, ctx.Err()) {
		t.Errorf("got %v, want %v", err, ctx.Err())
	}
	run(t, super, `ROLLBACK`)
	if _, err := b.Attempt(t.Context(), b.centre, b.annDoes); err != nil {
		t.Errorf("the next read: %v", err)
	}
}
