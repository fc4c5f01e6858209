package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// Part is what a member is to a cohort.
type Part string

// The parts.
const (
	PartTrainee Part = "trainee"
	PartTutor   Part = "tutor"
)

// Cohort is a group of trainees that works on the same tasks, with counts for a list.
type Cohort struct {
	ID        uuid.UUID `db:"cohort_id"`
	Name      string
	CreatedAt time.Time
	Trainees  int
	Tasks     int
	Waiting   int // attempts that wait for a tutor: handed over, checked or decided
}

// Member is a person in a cohort.
type Member struct {
	Cohort     uuid.UUID `db:"cohort_id"`
	Person     uuid.UUID `db:"person_id"`
	Part       Part
	Name       string
	SignInName string
	Email      string
	LeftOn     time.Time // a date: a trainee's last day in the cohort, where they were withdrawn from it; zero where not
}

// Left says whether a trainee was withdrawn from the cohort.
func (m Member) Left() bool { return !m.LeftOn.IsZero() }

const cohortColumns = `c.cohort_id, c.name, c.created_at,
	(SELECT count(*) FROM cohort_member m WHERE m.centre_id = c.centre_id AND m.cohort_id = c.cohort_id AND m.part = 'trainee'
		AND NOT ` + memberLeft + `) AS trainees,
	(SELECT count(*) FROM task t WHERE t.centre_id = c.centre_id AND t.cohort_id = c.cohort_id) AS tasks,
	(SELECT count(*) FROM attempt a JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	 WHERE t.centre_id = c.centre_id AND t.cohort_id = c.cohort_id AND a.state IN ('handed_over', 'checked', 'decided')) AS waiting`

const memberColumns = `m.cohort_id, m.person_id, m.part, p.name, p.sign_in_name, p.email,
	coalesce((SELECT w.left_on FROM withdrawal w WHERE w.centre_id = m.centre_id AND w.trainee_id = m.person_id AND w.cohort_id = m.cohort_id
		AND w.back_at IS NULL AND m.part = 'trainee'), '0001-01-01') AS left_on`

// memberLeft says of a member m, a trainee, that they were withdrawn from the cohort.
const memberLeft = `EXISTS (SELECT FROM withdrawal w WHERE w.centre_id = m.centre_id AND w.trainee_id = m.person_id AND w.cohort_id = m.cohort_id AND w.back_at IS NULL)`

const memberFrom = ` FROM cohort_member m JOIN person p ON p.centre_id = m.centre_id AND p.person_id = m.person_id `

// Cohorts lists the centre's cohorts by name.
func (s *Store) Cohorts(ctx context.Context, centre int64) ([]Cohort, error) {
	return all[Cohort](s.reading(ctx, centre), "cohorts", `SELECT `+cohortColumns+` FROM cohort c ORDER BY c.name, c.cohort_id`, args{})
}

// CohortsOf lists the cohorts in which the person has the part, by name.
func (s *Store) CohortsOf(ctx context.Context, centre int64, person uuid.UUID, part Part) ([]Cohort, error) {
	return all[Cohort](s.reading(ctx, centre), "cohorts", `
		SELECT `+cohortColumns+` FROM cohort c
		JOIN cohort_member me ON me.centre_id = c.centre_id AND me.cohort_id = c.cohort_id AND me.person_id = @person AND me.part = @part
		ORDER BY c.name, c.cohort_id`, args{"person": person, "part": string(part)})
}

// Cohort reads one cohort with its members: tutors first, each part by name.
func (s *Store) Cohort(ctx context.Context, centre int64, id uuid.UUID) (Cohort, []Member, error) {
	r := s.reading(ctx, centre)
	var cohorts []Cohort
	var members []Member
	queueCohort(r, &cohorts, &members, id)
	c, err := first(cohorts, "cohort", r.send("cohort"))
	return c, members, err
}

func queueCohort(r *reader, cohorts *[]Cohort, members *[]Member, id uuid.UUID) {
	queue(r, cohorts, `SELECT `+cohortColumns+` FROM cohort c WHERE c.cohort_id = @cohort`, args{"cohort": id})
	queue(r, members, `SELECT `+memberColumns+memberFrom+` WHERE m.cohort_id = @cohort ORDER BY m.part DESC, p.name, p.person_id`, args{"cohort": id})
}

// TutorsOf lists the tutors of every cohort that the trainee is in.
func (s *Store) TutorsOf(ctx context.Context, centre int64, trainee uuid.UUID) ([]uuid.UUID, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT DISTINCT t.person_id FROM cohort_member m
		JOIN cohort_member t ON t.centre_id = m.centre_id AND t.cohort_id = m.cohort_id AND t.part = 'tutor'
		WHERE m.person_id = @trainee AND m.part = 'trainee' ORDER BY t.person_id`, args{"trainee": trainee})
	return ids, r.send("tutors")
}

// AddCohort adds an empty cohort. A name that another cohort of the centre has is Invalid.
func (t *Tx) AddCohort(ctx context.Context, id uuid.UUID, name string, at time.Time) error {
	_, err := t.exec(ctx, "add cohort", `INSERT INTO cohort (centre_id, cohort_id, name, created_at) VALUES (@centre, @cohort, @name, @at)`,
		args{"centre": t.centre, "cohort": id, "name": name, "at": at})
	return err
}

// AddMember puts the person into the cohort; once more has no effect. Whoever has the other part there is refused.
func (t *Tx) AddMember(ctx context.Context, cohort, person uuid.UUID, part Part) error {
	_, err := t.exec(ctx, "add member", `
		INSERT INTO cohort_member (centre_id, cohort_id, person_id, part) VALUES (@centre, @cohort, @person, @part)
		ON CONFLICT (centre_id, cohort_id, person_id, part) DO NOTHING`,
		args{"centre": t.centre, "cohort": cohort, "person": person, "part": string(part)})
	return err
}

// RemoveMember takes the person out of the cohort; their attempts stay.
func (t *Tx) RemoveMember(ctx context.Context, cohort, person uuid.UUID, part Part) error {
	_, err := t.exec(ctx, "remove member", `DELETE FROM cohort_member WHERE cohort_id = @cohort AND person_id = @person AND part = @part`,
		args{"cohort": cohort, "person": person, "part": string(part)})
	return err
}

// LockCohort holds the cohort against another change and gives its members, tutors first: what a task is set to.
func (t *Tx) LockCohort(ctx context.Context, id uuid.UUID) ([]Member, error) {
	if err := t.mustFind(ctx, "cohort", "lock cohort", `SELECT FROM cohort WHERE cohort_id = @cohort FOR UPDATE`, args{"cohort": id}); err != nil {
		return nil, err
	}
	return all[Member](t.reading(ctx), "members", `
		SELECT `+memberColumns+memberFrom+` WHERE m.cohort_id = @cohort ORDER BY m.part DESC, p.name, p.person_id`, args{"cohort": id})
}
