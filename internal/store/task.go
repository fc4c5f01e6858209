package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// Task is a published brief version set to a cohort.
type Task struct {
	ID         uuid.UUID `db:"task_id"`
	Brief      uuid.UUID `db:"brief_id"`
	Version    int
	Title      string    // of the brief version
	Cohort     uuid.UUID `db:"cohort_id"`
	CohortName string
	SetBy      uuid.UUID
	SetByName  string
	SetAt      time.Time
	FromOn     time.Time // a date, from which attempts may be started; zero where none was set
	DueOn      time.Time // a date; zero where none was set
	// Attempts is how many each trainee has, and 0 where that was left open: then as many as it takes.
	Attempts     int
	Observer     uuid.UUID `db:"observer_id"` // who watches the work; zero for any tutor of the cohort
	ObserverName string
}

const taskColumns = `t.task_id, t.brief_id, t.version, v.title, t.cohort_id, c.name AS cohort_name, t.set_by, s.name AS set_by_name, t.set_at,
	coalesce(t.from_on, '0001-01-01') AS from_on, coalesce(t.due_on, '0001-01-01') AS due_on, coalesce(t.attempts, 0) AS attempts,
	coalesce(t.observer_id, '00000000-0000-0000-0000-000000000000') AS observer_id, coalesce(o.name, '') AS observer_name`

const taskFrom = ` FROM task t
	JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
	JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
	JOIN person s ON s.centre_id = t.centre_id AND s.person_id = t.set_by
	LEFT JOIN person o ON o.centre_id = t.centre_id AND o.person_id = t.observer_id `

// NewAttempt is what an attempt starts with.
type NewAttempt struct {
	ID          uuid.UUID
	Task        uuid.UUID
	Trainee     uuid.UUID
	Number      int // from 1
	State       decision.State
	Seed        int64             // from which Given was drawn
	Given       map[string]string // each given's value as text with unit, by name
	CarriedFrom uuid.UUID         // the attempt before; zero for a first one
	DueOn       time.Time         // a date of its own; zero for the task's
}

// Task reads one task.
func (s *Store) Task(ctx context.Context, centre int64, id uuid.UUID) (Task, error) {
	return one[Task](s.reading(ctx, centre), "task", `SELECT `+taskColumns+taskFrom+` WHERE t.task_id = @task`, args{"task": id})
}

// SetTask sets a published brief version to a cohort and plans the attempts, in one statement. Of k all but the names and
// the title is read. Hold the cohort first (LockCohort), so that nobody joins
// in between. A draft, or a version that is already set to the cohort, is Conflict.
func (t *Tx) SetTask(ctx context.Context, k Task, attempts []NewAttempt) error {
	rows, err := newAttemptRows(attempts)
	if err != nil {
		return err
	}
	a := rows.args(t.centre)
	a["task"], a["brief"], a["version"], a["cohort"] = k.ID, k.Brief, k.Version, k.Cohort
	a["set_by"], a["set_at"], a["from_on"], a["due_on"] = k.SetBy, k.SetAt, timeOrNull(k.FromOn), timeOrNull(k.DueOn)
	a["attempts"], a["observer"] = k.Attempts, uuidOrNull(k.Observer)
	n, err := t.exec(ctx, "set task", `
		WITH given_out AS (
			INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at, from_on, due_on, attempts, observer_id)
			SELECT @centre, @task, v.brief_id, v.version, @cohort, @set_by, @set_at, @from_on::date, @due_on::date, nullif(@attempts::int, 0), @observer::uuid
			FROM brief_version v WHERE v.brief_id = @brief AND v.version = @version AND v.state = 'published'
			RETURNING task_id
		), planned AS (`+insertAttempts+` WHERE n.task IN (SELECT task_id FROM given_out))
		SELECT FROM given_out`, a)
	if err == nil && n == 0 {
		return fault.Conflict("Only a published version can be set to a cohort. Publish it first.")
	}
	return err
}

// AddAttempts adds attempts to tasks that are set: for a trainee who joined later, or the next after more to do. A number
// that the trainee has at the task already is Conflict.
func (t *Tx) AddAttempts(ctx context.Context, attempts []NewAttempt) error {
	rows, err := newAttemptRows(attempts)
	if err != nil {
		return err
	}
	_, err = t.exec(ctx, "add attempts", insertAttempts, rows.args(t.centre))
	return err
}

const insertAttempts = `
	INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, seed, given, carried_from, due_on)
	SELECT @centre, n.id, n.task, n.trainee, n.number, n.state, n.seed, n.given::jsonb, n.carried_from, n.due_on
	FROM unnest(@ids::uuid[], @tasks::uuid[], @trainees::uuid[], @numbers::int[], @states::text[], @seeds::bigint[], @givens::text[], @carried::uuid[], @dues::date[])
		AS n (id, task, trainee, number, state, seed, given, carried_from, due_on)`

// attemptRows is attempts by column, as UNNEST takes them.
type attemptRows struct {
	ids, tasks, trainees []uuid.UUID
	numbers              []int
	states               []string
	seeds                []int64
	givens               []string
	carried              []*uuid.UUID
	dues                 []*time.Time
}

func newAttemptRows(attempts []NewAttempt) (attemptRows, error) {
	var r attemptRows
	for _, n := range attempts {
		given := n.Given
		if given == nil {
			given = map[string]string{}
		}
		text, err := json.Marshal(given)
		if err != nil {
			return attemptRows{}, fmt.Errorf("write givens: %w", err)
		}
		r.ids, r.tasks, r.trainees = append(r.ids, n.ID), append(r.tasks, n.Task), append(r.trainees, n.Trainee)
		r.numbers, r.states, r.seeds = append(r.numbers, n.Number), append(r.states, string(n.State)), append(r.seeds, n.Seed)
		r.givens, r.carried = append(r.givens, string(text)), append(r.carried, uuidOrNull(n.CarriedFrom))
		r.dues = append(r.dues, timeOrNull(n.DueOn))
	}
	return r, nil
}

func (r attemptRows) args(centre int64) args {
	return args{"centre": centre, "ids": r.ids, "tasks": r.tasks, "trainees": r.trainees, "numbers": r.numbers,
		"states": r.states, "seeds": r.seeds, "givens": r.givens, "carried": r.carried, "dues": r.dues}
}

// TraineeTask is a task as its trainee sees it, with their newest attempt.
type TraineeTask struct {
	Task
	Attempt      uuid.UUID
	OwnDueOn     time.Time // the attempt's own day; zero for the task's
	Number       int
	State        decision.State
	Revision     int
	OpenedAt     time.Time
	HandedOverAt time.Time
	SignedOffAt  time.Time
}

// Due is the day by which the trainee hands over; zero where there is none.
func (t TraineeTask) Due() time.Time {
	if t.OwnDueOn.IsZero() {
		return t.DueOn
	}
	return t.OwnDueOn
}

// TasksOf lists a trainee's tasks, each with the newest attempt: the earliest due first, those without a date last.
func (s *Store) TasksOf(ctx context.Context, centre int64, trainee uuid.UUID) ([]TraineeTask, error) {
	return all[TraineeTask](s.reading(ctx, centre), "tasks", `
		SELECT `+taskColumns+`, a.attempt_id AS attempt, coalesce(a.due_on, '0001-01-01') AS own_due_on, a.number, a.state, a.revision,
			coalesce(a.opened_at, '0001-01-01 00:00Z') AS opened_at, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over_at,
			coalesce(a.signed_off_at, '0001-01-01 00:00Z') AS signed_off_at
		`+taskFrom+`
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id AND a.trainee_id = @trainee
		WHERE a.number = (SELECT max(b.number) FROM attempt b
			WHERE b.centre_id = a.centre_id AND b.task_id = a.task_id AND b.trainee_id = a.trainee_id
				AND (b.state <> 'withdrawn' OR b.number = 1))
		ORDER BY coalesce(a.due_on, t.due_on) NULLS LAST, t.set_at, t.task_id`, args{"trainee": trainee})
}
