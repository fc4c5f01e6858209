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
}

// SecondAsked asks for a page of them, as far as they are the reader's to look at.
type SecondAsked struct {
	Reader      uuid.UUID
	Appeals     bool // that are to be heard
	Countersign bool // decisions of everybody
	Own         bool // decisions in the cohorts that the reader teaches
	Span
}

const secondFrom = `
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
		WHERE a.state = 'under_appeal' AND @appeals OR a.state IN ('checked', 'decided') AND (@everybody OR @own AND EXISTS (SELECT FROM cohort_member m
			WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' AND m.person_id = @reader))`

// SecondLooks lists a page of the attempts that wait for a second person, the longest wait first, and says how many there are.
func (s *Store) SecondLooks(ctx context.Context, centre int64, q SecondAsked) (page []SecondLook, in int, err error) {
	who := args{"provisional": decision.RoleCountersigned, "reader": q.Reader, "appeals": q.Appeals, "everybody": q.Countersign, "own": q.Own}
	return paged[SecondLook](s.reading(ctx, centre), "second looks",
		`a.attempt_id, p.name AS trainee_name, c.name AS cohort_name, v.title, a.number, a.state, w.since`, secondFrom, `w.since, a.attempt_id`, who, q.Span)
}
