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
	Rows   []RemarkRow // those that lose first; of them those that were asked for
	Seen   int         // rows in all that the viewer sees
	Hidden int         // rows that they do not
	Coming int         // attempts of the version that have not been marked: once it takes effect they are marked under the other
	Beyond int         // attempts on which it has yet to take effect that the viewer does not see
}

// RemarkAsked asks for a part of a correction's report.
type RemarkAsked struct {
	Remark        uuid.UUID
	Viewer        uuid.UUID // who sees what others than they themselves did in the cohorts that they teach; zero for whoever sees everything
	Limit, Offset int
}

// seenBy says whether an attempt a at a task t is among those that the viewer sees.
const seenBy = ` (@viewer::uuid IS NULL OR a.trainee_id <> @viewer AND EXISTS (SELECT FROM cohort_member y
	WHERE y.centre_id = t.centre_id AND y.cohort_id = t.cohort_id AND y.part = 'tutor' AND y.person_id = @viewer)) `

// beyond counts the attempts on which a correction has yet to take effect that the viewer does not see.
const beyond = `SELECT count(*)` + remarkable + `JOIN remark w ON w.centre_id = a.centre_id AND w.remark_id = @remark
	WHERE` + heldAgainst + `AND a.state IN ` + liveStates + ` AND NOT` + seenBy

// BeyondRemark counts them.
func (t *Tx) BeyondRemark(ctx context.Context, id, viewer uuid.UUID) (int, error) {
	var n []int
	r := t.reading(ctx)
	queueColumn(r, &n, beyond, args{"remark": id, "viewer": uuidOrNull(viewer)})
	return first(n, "correction", r.send("correction"))
}

// RemarkReport reads what a correction changes, in one round trip.
func (s *Store) RemarkReport(ctx context.Context, centre int64, q RemarkAsked) (RemarkReport, error) {
	var p RemarkReport
	var coming, past []int
	var rows []struct{ Seen, Hidden int }
	id, viewer := q.Remark, uuidOrNull(q.Viewer)
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
			a.number, a.state, x.shift, x.was_marks, x.now_marks, x.lines, x.rests, x.lacking, a.state IN `+liveStates+` AS live,
			a.revision <> x.revision AND a.corrected_by IS DISTINCT FROM x.remark_id AS moved
		FROM remark_result x
		JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE x.remark_id = @remark AND (x.shift <> 'same' OR x.lacking <> '') AND`+seenBy+`
		ORDER BY array_position('{down,mixed,up,same,aside}', x.shift), c.name, p.name, a.number, a.attempt_id LIMIT @limit OFFSET @offset`,
		args{"remark": id, "viewer": viewer, "limit": q.Limit, "offset": q.Offset})
	queue(r, &rows, `
		SELECT count(*) FILTER (WHERE`+seenBy+`) AS seen, count(*) FILTER (WHERE NOT`+seenBy+`) AS hidden
		FROM remark_result x
		JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		WHERE x.remark_id = @remark AND (x.shift <> 'same' OR x.lacking <> '')`, args{"remark": id, "viewer": viewer})
	queueColumn(r, &past, beyond, args{"remark": id, "viewer": viewer})
	queueColumn(r, &coming, `
		SELECT count(*)`+remarkable+`JOIN remark w ON w.centre_id = a.centre_id AND w.remark_id = @remark
		WHERE`+heldAgainst+`AND a.state IN `+liveStates+`
		AND NOT EXISTS (SELECT FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id)`, a)
	if err := r.send("correction's report"); err != nil {
		return RemarkReport{}, err
	}
	p.Coming, p.Beyond, p.Seen, p.Hidden = coming[0], past[0], rows[0].Seen, rows[0].Hidden
	return p, nil
}
