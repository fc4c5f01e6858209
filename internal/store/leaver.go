package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
)

// Withdrawal is that a trainee left a cohort.
type Withdrawal struct {
	ID         uuid.UUID `db:"withdrawal_id"`
	Cohort     uuid.UUID `db:"cohort_id"`
	CohortName string    // only read
	Trainee    uuid.UUID `db:"trainee_id"`
	LeftOn     time.Time // a date: the last day
	Words      string    // why
	By         uuid.UUID `db:"by_id"`
	ByName     string    // only read
	At         time.Time
	BackWords  string    // why it was taken back; "" while it stands
	BackByName string    // only read
	BackAt     time.Time // zero while it stands
}

// Stands says whether the trainee is still withdrawn.
func (w Withdrawal) Stands() bool { return w.BackAt.IsZero() }

const withdrawalSQL = `SELECT w.withdrawal_id, w.cohort_id, c.name AS cohort_name, w.trainee_id, w.left_on, w.words, w.by_id, b.name AS by_name, w.at,
	w.back_words, coalesce(k.name, '') AS back_by_name, coalesce(w.back_at, '0001-01-01 00:00Z') AS back_at
	FROM withdrawal w
	JOIN cohort c ON c.centre_id = w.centre_id AND c.cohort_id = w.cohort_id
	JOIN person b ON b.centre_id = w.centre_id AND b.person_id = w.by_id
	LEFT JOIN person k ON k.centre_id = w.centre_id AND k.person_id = w.back_by `

// withdrawalsOf are a trainee's, the first first.
const withdrawalsOf = withdrawalSQL + `WHERE w.trainee_id = @person ORDER BY w.at, w.withdrawal_id`

// Withdrawals lists the withdrawals of a trainee, the first first, those that were taken back among them.
func (s *Store) Withdrawals(ctx context.Context, centre int64, trainee uuid.UUID) ([]Withdrawal, error) {
	return all[Withdrawal](s.reading(ctx, centre), "withdrawals", withdrawalsOf, args{"person": trainee})
}

// LeftCohort says whether a trainee is withdrawn from a cohort, and since when: NotFound where they are not.
func (t *Tx) LeftCohort(ctx context.Context, cohort, trainee uuid.UUID) (Withdrawal, error) {
	return one[Withdrawal](t.reading(ctx), "withdrawal", withdrawalSQL+`WHERE w.trainee_id = @person AND w.cohort_id = @cohort AND w.back_at IS NULL`,
		args{"person": trainee, "cohort": cohort})
}

// LockWithdrawal reads a withdrawal and holds it until the transaction ends.
func (t *Tx) LockWithdrawal(ctx context.Context, id uuid.UUID) (Withdrawal, error) {
	return one[Withdrawal](t.reading(ctx), "withdrawal", withdrawalSQL+`WHERE w.withdrawal_id = @id FOR UPDATE OF w`, args{"id": id})
}

// Leavable is a cohort that a person can be withdrawn from: they are a trainee of it, or have attempts there.
type Leavable struct {
	Cohort uuid.UUID `db:"cohort_id"`
	Name   string
	Open   int // attempts that close with it
}

const leavable = `
	SELECT c.cohort_id, c.name, (SELECT count(*) FROM attempt a JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		WHERE a.centre_id = c.centre_id AND a.trainee_id = @person AND t.cohort_id = c.cohort_id
			AND a.state IN ('planned', 'open', 'handed_over', 'checked', 'decided', 'safety_stop')) AS open
	FROM cohort c
	WHERE c.cohort_id IN (SELECT m.cohort_id FROM cohort_member m WHERE m.person_id = @person AND m.part = 'trainee'
		UNION SELECT t.cohort_id FROM attempt a JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id WHERE a.trainee_id = @person)
		AND NOT EXISTS (SELECT FROM withdrawal w WHERE w.centre_id = c.centre_id AND w.cohort_id = c.cohort_id AND w.trainee_id = @person AND w.back_at IS NULL)
	ORDER BY c.name, c.cohort_id`

// Leavable lists the cohorts that a person can be withdrawn from, by name.
func (t *Tx) Leavable(ctx context.Context, person uuid.UUID) ([]Leavable, error) {
	return all[Leavable](t.reading(ctx), "cohorts to leave", leavable, args{"person": person})
}

// LockLeaver holds a trainee and all their attempts in a cohort, which it gives by the time their task was set and by number, until the
// transaction ends. Nobody sets them a task meanwhile: an attempt refers to the trainee's row. What was planned before that is held was
// read is there in the second reading.
func (t *Tx) LockLeaver(ctx context.Context, cohort, trainee uuid.UUID) ([]Attempt, error) {
	const attempts = `SELECT ` + attemptColumns + attemptFrom + ` WHERE t.cohort_id = @cohort AND a.trainee_id = @person ORDER BY t.set_at, t.task_id, a.number FOR UPDATE OF a`
	a := args{"cohort": cohort, "person": trainee}
	if _, err := all[Attempt](t.reading(ctx), "attempts", attempts, a); err != nil {
		return nil, err
	}
	if err := t.mustFind(ctx, "person", "hold a trainee", `SELECT FROM person WHERE person_id = @person FOR UPDATE`, args{"person": trainee}); err != nil {
		return nil, err
	}
	return all[Attempt](t.reading(ctx), "attempts", attempts, a)
}

// AddWithdrawal keeps that a trainee left a cohort. Somebody who has left it already is Conflict.
func (t *Tx) AddWithdrawal(ctx context.Context, w Withdrawal) error {
	_, err := t.exec(ctx, "withdraw a trainee", `
		INSERT INTO withdrawal (centre_id, withdrawal_id, cohort_id, trainee_id, left_on, words, by_id, at)
		VALUES (@centre, @id, @cohort, @trainee, @left_on, @words, @by, @at)`,
		args{"centre": t.centre, "id": w.ID, "cohort": w.Cohort, "trainee": w.Trainee, "left_on": w.LeftOn, "words": w.Words, "by": w.By, "at": w.At})
	if err == nil {
		t.logStatement(ledger.KindWithdrawal, w.ID)
	}
	return err
}

// TakeBackWithdrawal has a withdrawal that stands count no more.
func (t *Tx) TakeBackWithdrawal(ctx context.Context, id, by uuid.UUID, at time.Time, words string) error {
	n, err := t.exec(ctx, "take a withdrawal back", `
		UPDATE withdrawal SET back_words = @words, back_by = @by, back_at = @at WHERE withdrawal_id = @id AND back_at IS NULL`,
		args{"id": id, "words": words, "by": by, "at": at})
	if err == nil && n == 0 {
		return fault.Conflict("This withdrawal was taken back already. Load the page again to see.")
	}
	if err == nil {
		t.logStatement(ledger.KindWithdrawalBack, id)
	}
	return err
}
