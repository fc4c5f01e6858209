package store

import (
	"context"

	"github.com/google/uuid"
)

// BoardRevision is a text that differs whenever a cohort's bench board would show something else. It is cheap enough to be
// asked for every second: of work that is under way it looks at the end of an index for each attempt.
func (s *Store) BoardRevision(ctx context.Context, centre int64, cohort uuid.UUID) (string, error) {
	r := s.reading(ctx, centre)
	var now []string
	queueColumn(r, &now, `
		SELECT concat_ws(' ',
			(SELECT count(*) FROM cohort_member m WHERE m.cohort_id = @cohort),
			(SELECT count(*) FROM task t WHERE t.cohort_id = @cohort),
			count(*), sum(a.revision), sum(w.typed), sum(w.files))
		FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		LEFT JOIN LATERAL (
			SELECT (SELECT max(e.seq) FROM entry e WHERE e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id) AS typed,
				(SELECT count(*) FROM evidence v WHERE v.centre_id = a.centre_id AND v.attempt_id = a.attempt_id) AS files
			WHERE a.state IN ('open', 'safety_stop')
		) w ON true
		WHERE t.cohort_id = @cohort`, args{"cohort": cohort})
	return first(now, "cohort", r.send("board's revision"))
}
