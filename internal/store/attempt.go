package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// Attempt is one trainee's attempt at a task.
type Attempt struct {
	ID           uuid.UUID `db:"attempt_id"`
	Task         uuid.UUID `db:"task_id"`
	Trainee      uuid.UUID `db:"trainee_id"`
	Number       int
	State        decision.State
	Revision     int // rises with every change of state and everything a judge does
	Seed         int64
	Given        map[string]string
	OpenedAt     time.Time
	HandedOverAt time.Time
	Declaration  string // the words that the trainee agreed to
	SignedOffAt  time.Time
	CarriedFrom  uuid.UUID
	DueOn        time.Time   // a date of its own; zero for the task's
	Site         string      // code of the private site; "" at the centre
	Householder  string      // who told the householder
	Card         uuid.UUID   // on the printed code card; only read
	Cohort       uuid.UUID   `db:"cohort_id"` // of the task; only read
	Tutors       []uuid.UUID // of the cohort; only read
}

const attemptColumns = `a.attempt_id, a.task_id, a.trainee_id, a.number, a.state, a.revision, a.seed, a.given,
	coalesce(a.opened_at, '0001-01-01 00:00Z') AS opened_at, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over_at,
	a.declaration, coalesce(a.signed_off_at, '0001-01-01 00:00Z') AS signed_off_at,
	coalesce(a.carried_from, '00000000-0000-0000-0000-000000000000') AS carried_from,
	coalesce(a.due_on, '0001-01-01') AS due_on, a.site, a.householder, a.card, t.cohort_id,
	ARRAY(SELECT m.person_id FROM cohort_member m
	      WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' ORDER BY m.person_id) AS tutors`

const attemptFrom = ` FROM attempt a JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id `

// Expect is Conflict where the attempt is no longer at the revision that the caller saw.
func (a Attempt) Expect(revision int) error {
	if a.Revision == revision {
		return nil
	}
	return fault.Conflict("Somebody changed this attempt after you opened it. Nothing of yours is written yet: load the page again, look at what is new, and decide afresh.")
}

// Attempt reads one attempt.
func (s *Store) Attempt(ctx context.Context, centre int64, id uuid.UUID) (Attempt, error) {
	return one[Attempt](s.reading(ctx, centre), "attempt", `SELECT `+attemptColumns+attemptFrom+` WHERE a.attempt_id = @attempt`, args{"attempt": id})
}

// LockAttempt reads one attempt and holds it until the transaction ends: nobody else decides on it meanwhile.
func (t *Tx) LockAttempt(ctx context.Context, id uuid.UUID) (Attempt, error) {
	return one[Attempt](t.reading(ctx), "attempt", `SELECT `+attemptColumns+attemptFrom+` WHERE a.attempt_id = @attempt FOR UPDATE OF a`, args{"attempt": id})
}

// SaveAttempt keeps state, times, days and declaration of an attempt that was read at a.Revision, and raises the revision by
// one, also where nothing else changed: call it with every record that is appended. It gives the attempt as it now is.
// A revision that has risen meanwhile is Conflict.
func (t *Tx) SaveAttempt(ctx context.Context, a Attempt) (Attempt, error) {
	n, err := t.exec(ctx, "save attempt", `
		UPDATE attempt SET state = @state, revision = revision + 1, opened_at = @opened_at, handed_over_at = @handed_over_at,
			declaration = @declaration, signed_off_at = @signed_off_at, due_on = @due_on::date, site = @site, householder = @householder
		WHERE attempt_id = @attempt AND revision = @revision`,
		args{"attempt": a.ID, "revision": a.Revision, "state": string(a.State), "opened_at": timeOrNull(a.OpenedAt),
			"handed_over_at": timeOrNull(a.HandedOverAt), "declaration": a.Declaration, "signed_off_at": timeOrNull(a.SignedOffAt),
			"due_on": timeOrNull(a.DueOn), "site": a.Site, "householder": a.Householder})
	if err != nil {
		return Attempt{}, err
	}
	if n == 0 {
		now, err := t.LockAttempt(ctx, a.ID)
		if err != nil {
			return Attempt{}, err
		}
		return Attempt{}, now.Expect(a.Revision)
	}
	a.Revision++
	return a, nil
}

// Waiting is an attempt that waits for a tutor.
type Waiting struct {
	Attempt      uuid.UUID `db:"attempt_id"`
	Trainee      uuid.UUID `db:"trainee_id"`
	TraineeName  string
	Cohort       uuid.UUID `db:"cohort_id"`
	CohortName   string
	Task         uuid.UUID `db:"task_id"`
	Title        string    // of the brief version
	Number       int
	State        decision.State
	Revision     int
	HandedOverAt time.Time
	Returned     string // who sampled it and disagreed, about which criteria, and their words; "" where nobody did, or where those were decided afresh since
}

// WaitingFor lists the attempts handed over, checked or decided in the tutor's cohorts, the longest wait first.
func (s *Store) WaitingFor(ctx context.Context, centre int64, tutor uuid.UUID) ([]Waiting, error) {
	return all[Waiting](s.reading(ctx, centre), "waiting attempts", `
		SELECT a.attempt_id, a.trainee_id, p.name AS trainee_name, t.cohort_id, c.name AS cohort_name, t.task_id, v.title,
			a.number, a.state, a.revision, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over_at,
			coalesce((SELECT r.by_name || ', about ' || array_to_string(x.left_open, ', ') || ': “' || r.words || '”'
				FROM record r CROSS JOIN LATERAL (SELECT array_agg(u.ref ORDER BY u.n) AS left_open FROM unnest(r.evidence) WITH ORDINALITY u (ref, n)
					WHERE NOT EXISTS (SELECT FROM record d WHERE d.centre_id = a.centre_id AND d.attempt_id = a.attempt_id AND d.seq > r.seq
						AND (d.kind = 'criterion_decision' AND d.subject = u.ref AND d.outcome <> 'taken_back' OR d.kind = 'sample_outcome' AND d.outcome <> 'disagree'))) x
				WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind = 'sample_outcome' AND r.outcome = 'disagree' AND x.left_open IS NOT NULL
				ORDER BY r.seq DESC LIMIT 1), '') AS returned
		FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' AND m.person_id = @tutor
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE a.state IN ('handed_over', 'checked', 'decided')
		ORDER BY a.handed_over_at, a.attempt_id`, args{"tutor": tutor})
}
