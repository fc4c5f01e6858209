package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// LaterAttempts holds the trainee's attempts at the same task that come after one, in order of their numbers.
func (t *Tx) LaterAttempts(ctx context.Context, a Attempt) ([]Attempt, error) {
	return all[Attempt](t.reading(ctx), "later attempts", `SELECT `+attemptColumns+attemptFrom+`
		WHERE a.task_id = @task AND a.trainee_id = @trainee AND a.number > @number ORDER BY a.number FOR UPDATE OF a`,
		args{"task": a.Task, "trainee": a.Trainee, "number": a.Number})
}

// SecondLook is an attempt that waits for a second person: its trainee appeals, or decisions wait for a countersignature.
type SecondLook struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	TraineeName string
	CohortName  string
	Title       string // of the brief version
	Number      int
	State       decision.State
	Since       time.Time
	Tutors      []uuid.UUID // of the cohort
}

// SecondLooks lists the attempts of the centre that wait for a second person, the longest wait first.
func (s *Store) SecondLooks(ctx context.Context, centre int64) ([]SecondLook, error) {
	return all[SecondLook](s.reading(ctx, centre), "second looks", `
		SELECT a.attempt_id, p.name AS trainee_name, c.name AS cohort_name, v.title, a.number, a.state, w.since,
			ARRAY(SELECT m.person_id FROM cohort_member m
			      WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' ORDER BY m.person_id) AS tutors
		FROM attempt a
		JOIN LATERAL (
			SELECT min(r.at) AS since FROM record r
			WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id
				AND NOT EXISTS (SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id)
				AND (r.kind = 'appeal' AND a.state = 'under_appeal'
					OR r.kind = 'criterion_decision' AND r.role = @provisional AND r.outcome <> 'taken_back' AND a.state IN ('checked', 'decided')
						AND NOT EXISTS (SELECT FROM record s WHERE s.centre_id = r.centre_id AND s.attempt_id = r.attempt_id
							AND s.kind = 'countersign' AND s.value = r.record_id::text))
		) w ON w.since IS NOT NULL
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE a.state IN ('checked', 'decided', 'under_appeal')
		ORDER BY w.since, a.attempt_id`, args{"provisional": decision.RoleCountersigned})
}
