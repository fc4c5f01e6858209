package store

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// RemarkRow is one attempt that comes out otherwise, or that cannot be marked.
type RemarkRow struct {
	Attempt            uuid.UUID `db:"attempt_id"`
	Trainee            uuid.UUID `db:"trainee_id"`
	TraineeName        string
	Cohort             uuid.UUID `db:"cohort_id"`
	CohortName         string
	Tutors             []uuid.UUID // of the cohort
	Number             int
	State              decision.State
	Shift              string
	WasMarks, NowMarks int
	Lines              []byte   // JSON
	Rests              []string // criteria with a decision that rests on a line that differs
	Lacking            string
	Live               bool // the correction takes effect on it, or did
	Moved              bool // it changed since it was looked at, so that it is marked once more when the correction takes effect
}

// RemarkCount says how many attempts go one way.
type RemarkCount struct {
	Shift    string
	Live     bool // neither signed off nor closed
	Attempts int
	Resting  int // of them with a decision that rests on a line that differs
}

// RemarkLineCount says how one line fares over all attempts.
type RemarkLineCount struct {
	Line, Title     string
	Up, Down, Aside int
}

// RemarkReport is what a correction changes.
type RemarkReport struct {
	Counts []RemarkCount
	Lines  []RemarkLineCount
	Rows   []RemarkRow // those that lose first; at most as many as were asked for
	Coming int         // attempts of the version that have not been marked: once it takes effect they are marked under the other
}

// RemarkReport reads what a correction changes, in one round trip.
func (s *Store) RemarkReport(ctx context.Context, centre int64, id uuid.UUID, most int) (RemarkReport, error) {
	var p RemarkReport
	var coming []int
	r, a := s.reading(ctx, centre), args{"remark": id}
	queue(r, &p.Counts, `
		SELECT CASE WHEN x.lacking <> '' THEN 'lacking' ELSE x.shift END AS shift, a.state IN `+liveStates+` AS live,
			count(*) AS attempts, count(*) FILTER (WHERE x.rests <> '{}') AS resting
		FROM remark_result x JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		WHERE x.remark_id = @remark GROUP BY 1, 2 ORDER BY 1, 2`, a)
	queue(r, &p.Lines, `
		SELECT l ->> 'line' AS line, max(l ->> 'title') AS title, count(*) FILTER (WHERE l ->> 'shift' = 'up') AS up,
			count(*) FILTER (WHERE l ->> 'shift' = 'down') AS down, count(*) FILTER (WHERE l ->> 'shift' = 'aside') AS aside
		FROM remark_result x, jsonb_array_elements(x.lines) l WHERE x.remark_id = @remark GROUP BY 1 ORDER BY count(*) DESC, 1`, a)
	queue(r, &p.Rows, `
		SELECT a.attempt_id, a.trainee_id, p.name AS trainee_name, t.cohort_id, c.name AS cohort_name,
			ARRAY(SELECT m.person_id FROM cohort_member m WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' ORDER BY 1) AS tutors,
			a.number, a.state, x.shift, x.was_marks, x.now_marks, x.lines, x.rests, x.lacking, a.state IN `+liveStates+` AS live,
			a.revision <> x.revision AND a.corrected_by IS DISTINCT FROM x.remark_id AS moved
		FROM remark_result x
		JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE x.remark_id = @remark AND (x.shift <> 'same' OR x.lacking <> '')
		ORDER BY array_position('{down,mixed,up,same,aside}', x.shift), c.name, p.name, a.number, a.attempt_id LIMIT @most`,
		args{"remark": id, "most": most})
	queueColumn(r, &coming, `
		SELECT count(*)`+remarkable+`JOIN remark w ON w.centre_id = a.centre_id AND w.remark_id = @remark
		WHERE`+heldAgainst+`AND a.state IN `+liveStates+`
		AND NOT EXISTS (SELECT FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id)`, a)
	err := r.send("correction's report")
	if len(coming) == 1 {
		p.Coming = coming[0]
	}
	return p, err
}
