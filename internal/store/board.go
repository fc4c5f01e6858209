package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// Board is a cohort's bench board: who stands where with what.
type Board struct {
	Cohort   Cohort
	Members  []Member   // tutors first, each part by name
	Tasks    []Task     // in the order in which they were set
	Sources  []Source   // of the tasks' brief versions, in the order of Tasks
	Attempts []Standing // by task, trainee's name and number
}

// Source is the text of a task's brief version.
type Source struct {
	Task   uuid.UUID `db:"task_id"`
	Source string
}

// Standing is where one attempt stands.
type Standing struct {
	Attempt      uuid.UUID `db:"attempt_id"`
	Task         uuid.UUID `db:"task_id"`
	Trainee      uuid.UUID `db:"trainee_id"`
	TraineeName  string
	Number       int
	State        decision.State
	Revision     int
	DueOn        time.Time // a date of its own; zero for the task's
	OpenedAt     time.Time
	HandedOverAt time.Time
	SignedOffAt  time.Time
	Released     []string // keys of the stages whose hold point is released
	Items        []string // keys of the items that have an entry or a file
	Entries      int      // lines that have an entry
	Files        int
	Met          int // criteria whose latest decision is met
	NotYetMet    int // criteria whose latest decision is not yet met
}

// standing counts what an attempt has. A record that another one supersedes does not count.
const standing = `
	SELECT a.attempt_id, a.task_id, a.trainee_id, p.name AS trainee_name, a.number, a.state, a.revision,
		coalesce(a.due_on, '0001-01-01') AS due_on, coalesce(a.opened_at, '0001-01-01 00:00Z') AS opened_at, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over_at,
		coalesce(a.signed_off_at, '0001-01-01 00:00Z') AS signed_off_at,
		coalesce(d.released, '{}') AS released, coalesce(d.met, 0) AS met, coalesce(d.not_yet_met, 0) AS not_yet_met,
		ARRAY(SELECT e.item FROM entry e WHERE e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id
		      UNION SELECT v.item FROM evidence v WHERE v.centre_id = a.centre_id AND v.attempt_id = a.attempt_id ORDER BY 1) AS items,
		(SELECT count(DISTINCT (e.item, e.part, e.phase)) FROM entry e WHERE e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id) AS entries,
		(SELECT count(*) FROM evidence v WHERE v.centre_id = a.centre_id AND v.attempt_id = a.attempt_id) AS files
	FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
	LEFT JOIN LATERAL (
		SELECT array_agg(l.subject ORDER BY l.subject) FILTER (WHERE l.kind = 'hold_release') AS released,
			count(*) FILTER (WHERE l.outcome = 'met') AS met, count(*) FILTER (WHERE l.outcome = 'not_yet_met') AS not_yet_met
		FROM (SELECT DISTINCT ON (r.kind, r.subject) r.kind, r.subject, r.outcome FROM record r
		      WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind IN ('hold_release', 'criterion_decision')
		      ORDER BY r.kind, r.subject, r.seq DESC) l
	) d ON true
	WHERE t.cohort_id = @cohort AND (a.state <> 'withdrawn' OR a.number = 1)
	ORDER BY t.set_at, t.task_id, p.name, a.trainee_id, a.number`

// Board reads a cohort's bench board: five statements, one round trip, whatever the cohort's size.
func (s *Store) Board(ctx context.Context, centre int64, cohort uuid.UUID) (Board, error) {
	r := s.reading(ctx, centre)
	var b Board
	var cohorts []Cohort
	a := args{"cohort": cohort}
	queueCohort(r, &cohorts, &b.Members, cohort)
	queue(r, &b.Tasks, `SELECT `+taskColumns+taskFrom+` WHERE t.cohort_id = @cohort ORDER BY t.set_at, t.task_id`, a)
	queue(r, &b.Sources, `SELECT t.task_id, v.source`+taskFrom+` WHERE t.cohort_id = @cohort ORDER BY t.set_at, t.task_id`, a)
	queue(r, &b.Attempts, standing, a)
	var err error
	b.Cohort, err = first(cohorts, "cohort", r.send("board"))
	return b, err
}
