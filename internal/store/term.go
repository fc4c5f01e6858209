package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// Term is what a cohort did over a term.
type Term struct {
	Name     string
	Members  []Member // tutors first, each part by name
	Tasks    []TermTask
	Attempts []TermAttempt
}

// TermTask is a task of the term, in the order in which it was set.
type TermTask struct {
	ID     uuid.UUID `db:"task_id"`
	Brief  uuid.UUID `db:"brief_id"`
	Title  string
	SetAt  time.Time
	DueOn  time.Time // a date; zero where none was set
	Digest string    // of the version's text
}

// TermAttempt is a trainee's newest attempt at a task.
type TermAttempt struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	Task        uuid.UUID `db:"task_id"`
	Trainee     uuid.UUID `db:"trainee_id"`
	Number      int
	State       decision.State
	DueOn       time.Time // a date of its own; zero for the task's
	SignedOffAt time.Time
}

// Term reads a cohort's term: four statements, one round trip, whatever the cohort's size.
func (s *Store) Term(ctx context.Context, centre int64, cohort uuid.UUID) (Term, error) {
	var p Term
	var names []string
	r, a := s.reading(ctx, centre), args{"cohort": cohort}
	p.queueCohort(r, &names, a)
	queue(r, &p.Attempts, `
		SELECT DISTINCT ON (a.task_id, a.trainee_id) a.attempt_id, a.task_id, a.trainee_id, a.number, a.state,
			coalesce(a.due_on, '0001-01-01') AS due_on, coalesce(a.signed_off_at, '0001-01-01 00:00Z') AS signed_off_at
		FROM task t JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id
		WHERE t.cohort_id = @cohort AND NOT (a.state = 'withdrawn' AND a.number > 1) ORDER BY a.task_id, a.trainee_id, a.number DESC`, a)
	name, err := first(names, "cohort", r.send("term"))
	p.Name = name
	return p, err
}

// queueCohort queues the cohort's name, its members and its tasks.
func (p *Term) queueCohort(r *reader, names *[]string, a args) {
	queueColumn(r, names, `SELECT name FROM cohort WHERE cohort_id = @cohort`, a)
	queue(r, &p.Members, `SELECT `+memberColumns+memberFrom+` WHERE m.cohort_id = @cohort ORDER BY m.part DESC, p.name, p.person_id`, a)
	queue(r, &p.Tasks, `
		SELECT t.task_id, t.brief_id, v.title, t.set_at, coalesce(t.due_on, '0001-01-01') AS due_on, v.digest
		FROM task t JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		WHERE t.cohort_id = @cohort ORDER BY t.set_at, t.task_id`, a)
}

// Criteria is what one trainee has shown at the tasks of a cohort.
type Criteria struct {
	Term
	Decisions []CriterionDecision // the latest of each attempt and criterion, the earliest attempt first
	Sources   []Source            // of the tasks' versions, in the order of the tasks
}

// CriterionDecision is the latest decision on a criterion in one attempt.
type CriterionDecision struct {
	Attempt uuid.UUID `db:"attempt_id"`
	Task    uuid.UUID `db:"task_id"`
	Number  int
	State   decision.State // of the attempt
	Ref     string         `db:"subject"`
	Outcome string
	ByName  string
	At      time.Time
}

// CriteriaOf reads what one trainee of a cohort has shown, in one round trip.
func (s *Store) CriteriaOf(ctx context.Context, centre int64, cohort, trainee uuid.UUID) (Criteria, error) {
	var p Criteria
	var names []string
	r, a := s.reading(ctx, centre), args{"cohort": cohort}
	p.queueCohort(r, &names, a)
	queue(r, &p.Sources, `SELECT t.task_id, v.source FROM task t
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		WHERE t.cohort_id = @cohort ORDER BY t.set_at, t.task_id`, a)
	of := args{"cohort": cohort, "trainee": trainee}
	queue(r, &p.Attempts, `
		SELECT DISTINCT ON (a.task_id) a.attempt_id, a.task_id, a.trainee_id, a.number, a.state,
			coalesce(a.due_on, '0001-01-01') AS due_on, coalesce(a.signed_off_at, '0001-01-01 00:00Z') AS signed_off_at
		FROM task t JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id
		WHERE t.cohort_id = @cohort AND a.trainee_id = @trainee AND NOT (a.state = 'withdrawn' AND a.number > 1) ORDER BY a.task_id, a.number DESC`, of)
	queue(r, &p.Decisions, `
		SELECT DISTINCT ON (a.attempt_id, r.subject) a.attempt_id, a.task_id, a.number, a.state, r.subject, r.outcome, r.by_name, r.at
		FROM task t JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id
		JOIN record r ON r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind = 'criterion_decision'
		WHERE t.cohort_id = @cohort AND a.trainee_id = @trainee ORDER BY a.attempt_id, r.subject, r.seq DESC`, of)
	name, err := first(names, "cohort", r.send("criteria"))
	p.Name = name
	return p, err
}

// Need is an attempt that is under way, or not begun, in a tutor's cohorts: the newest of its trainee at its task.
type Need struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	Trainee     uuid.UUID `db:"trainee_id"`
	TraineeName string
	Cohort      uuid.UUID `db:"cohort_id"`
	CohortName  string
	Task        uuid.UUID `db:"task_id"`
	Title       string
	Brief       uuid.UUID `db:"brief_id"`
	Version     int
	Digest      string // of the version's text
	Number      int
	State       decision.State
	SetAt       time.Time
	FromOn      time.Time // a date before which it cannot be started; zero where there is none
	DueOn       time.Time // a date, its own or the task's; zero where there is none
	OpenedAt    time.Time
	LastAt      time.Time // when something last came for it; zero where nothing did
	SentBack    int       // earlier attempts that ended with more to do
	Released    []string  // keys of the stages whose hold point is released
	Items       []string  // keys of the items that have an entry or a file
}

// NeedsOf reads what may need a tutor although it does not wait to be judged, by trainee and task.
func (s *Store) NeedsOf(ctx context.Context, centre int64, tutor uuid.UUID) ([]Need, error) {
	return all[Need](s.reading(ctx, centre), "who needs the tutor", `
		SELECT a.attempt_id, a.trainee_id, p.name AS trainee_name, t.cohort_id, c.name AS cohort_name, t.task_id, v.title, t.brief_id, t.version, v.digest,
			a.number, a.state, t.set_at, coalesce(t.from_on, '0001-01-01') AS from_on, coalesce(a.due_on, t.due_on, '0001-01-01') AS due_on,
			coalesce(a.opened_at, '0001-01-01 00:00Z') AS opened_at, coalesce(l.last_at, '0001-01-01 00:00Z') AS last_at,
			(SELECT count(*) FROM attempt b WHERE b.centre_id = a.centre_id AND b.task_id = a.task_id AND b.trainee_id = a.trainee_id
				AND b.number < a.number AND b.state = 'more_to_do') AS sent_back,
			ARRAY(SELECT r.subject FROM record r WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind = 'hold_release' ORDER BY 1) AS released,
			coalesce(l.items, '{}') AS items
		FROM cohort_member m
		JOIN task t ON t.centre_id = m.centre_id AND t.cohort_id = m.cohort_id
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id AND a.state IN ('planned', 'open', 'safety_stop', 'suspended')
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		LEFT JOIN LATERAL (
			SELECT array_agg(DISTINCT x.item) AS items, max(x.received_at) AS last_at FROM (
				SELECT e.item, e.received_at FROM entry e WHERE e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id
				UNION ALL SELECT f.item, f.received_at FROM evidence f WHERE f.centre_id = a.centre_id AND f.attempt_id = a.attempt_id) x
		) l ON a.state <> 'planned'
		WHERE m.person_id = @tutor AND m.part = 'tutor'
		AND NOT EXISTS (SELECT FROM withdrawal w WHERE w.centre_id = a.centre_id AND w.trainee_id = a.trainee_id AND w.cohort_id = t.cohort_id AND w.back_at IS NULL)
		AND NOT EXISTS (SELECT FROM attempt b WHERE b.centre_id = a.centre_id AND b.task_id = a.task_id AND b.trainee_id = a.trainee_id AND b.number > a.number AND b.state <> 'withdrawn')
		ORDER BY p.name, a.trainee_id, t.set_at, t.task_id`, args{"tutor": tutor})
}
