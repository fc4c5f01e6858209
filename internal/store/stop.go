package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// AtWork is work under way: begun and not handed over, or stopped for safety meanwhile.
type AtWork struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	TraineeName string
	Cohort      uuid.UUID `db:"cohort_id"`
	CohortName  string
	Title       string // of the brief version
	State       decision.State
	LastAt      time.Time // when it was begun, or when something of it last came in
}

// atWork says whose work is under way: of cohorts that @member belongs to, and where the names have every word.
const atWork = ` FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
	JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
	WHERE a.state IN ('open', 'safety_stop') AND a.opened_at IS NOT NULL
		AND (@member::uuid IS NULL OR t.cohort_id IN (SELECT m.cohort_id FROM cohort_member m WHERE m.person_id = @member))
		AND NOT EXISTS (SELECT FROM unnest(@words::text[]) w WHERE strpos(lower(p.name || ' ' || c.name), w) = 0)`

// AtWork lists the work under way, the latest at work first, at most limit, and says how much there is. words are small letters, each
// of which stands in the trainee's or the cohort's name; member is who has to belong to the cohort, zero for nobody.
func (s *Store) AtWork(ctx context.Context, centre int64, words []string, member uuid.UUID, limit int) (rows []AtWork, all int, err error) {
	var n []int
	r := s.reading(ctx, centre)
	queueColumn(r, &n, `SELECT count(*)`+atWork, args{"words": words, "member": uuidOrNull(member)})
	queue(r, &rows, `
		SELECT w.attempt_id, w.trainee_name, w.cohort_id, w.cohort_name, v.title, w.state, w.last_at FROM (
			SELECT a.centre_id, a.attempt_id, p.name AS trainee_name, t.cohort_id, c.name AS cohort_name, a.state, t.brief_id, t.version,
				greatest(a.opened_at, (SELECT e.received_at FROM entry e WHERE e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id ORDER BY e.seq DESC LIMIT 1),
					(SELECT max(f.received_at) FROM evidence f WHERE f.centre_id = a.centre_id AND f.attempt_id = a.attempt_id)) AS last_at`+atWork+`
			ORDER BY last_at DESC, a.attempt_id LIMIT @limit) w
		JOIN brief_version v ON v.centre_id = w.centre_id AND v.brief_id = w.brief_id AND v.version = w.version
		ORDER BY w.last_at DESC, w.attempt_id`, args{"words": words, "member": uuidOrNull(member), "limit": limit})
	err = r.send("work under way")
	all, err = first(n, "centre", err)
	return rows, all, err
}
