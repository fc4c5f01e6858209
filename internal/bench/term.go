package main

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/brief"
	"witnessmark/internal/store"
)

const (
	termed       = "termed" // the database with a large cohort
	termTrainees = 200
	termTasks    = 30
	termLoads    = 20 // pages in a leg
	termQueries  = 5  // statements that the page may send, besides the one that knows the session
)

// cohortPage compares a cohort's term as a page, from the request to its last byte, with the same statements through pgx alone.
func cohortPage(ctx context.Context, c *cluster) rounds.Comparison {
	ready := sync.OnceValues(func() (*largeCohort, error) { return fillTerm(ctx, c) })
	return rounds.Comparison{
		Bar: rounds.Bar{Name: fmt.Sprintf("cohort: the page of %d trainees and %d tasks", termTrainees, termTasks), Unit: "milliseconds", Ours: "page", Theirs: "bare pgx", Kind: rounds.AtMost, Limit: 3},
		Measure: func(theirsFirst bool) (rounds.Round, error) {
			w, err := ready()
			if err != nil {
				return rounds.Round{}, err
			}
			return turns(termLoads, theirsFirst, func() error { return w.page(ctx, w.path, token(0), termLeast) }, func() error { return sendBare(ctx, w.conn, w.calls) })
		},
	}
}

// termLeast is a byte count that no page has which lost its trainees.
const termLeast = 50 * termTrainees

// largeCohort is a server with a large cohort, and what its page sends to the database.
type largeCohort struct {
	*served
	path  string
	calls []call
}

func fillTerm(ctx context.Context, c *cluster) (*largeCohort, error) {
	s, err := c.serve(ctx, termed)
	if err != nil {
		return nil, err
	}
	cohort := uuid.New()
	w := &largeCohort{served: s, path: "/cohorts/" + cohort.String() + "/term"}
	tutor, err := w.people(ctx, cohort)
	if err != nil {
		return nil, err
	}
	if err := w.rows(ctx, tutor, cohort); err != nil {
		return nil, err
	}
	if w.calls, _, err = w.learn(ctx, w.path, token(0), termLeast, termQueries); err == nil && len(w.calls) > 2 {
		err = fmt.Errorf("the page took %d round trips; want two", len(w.calls))
	}
	return w, err
}

// people adds the tutor with a session, the trainees and their cohort.
func (w *largeCohort) people(ctx context.Context, cohort uuid.UUID) (account.Caller, error) {
	row, err := w.db.CreateCentre(ctx, "BENCH", "Centre for measuring", time.Now())
	if err != nil {
		return account.Caller{}, err
	}
	tutor := account.Caller{Centre: row.ID, Person: uuid.New()}
	err = w.db.Write(ctx, row.ID, func(t *store.Tx) error {
		if err := t.AddCohort(ctx, cohort, "Everybody", time.Now()); err != nil {
			return err
		}
		for i := range termTrainees + 1 {
			p, part := store.Person{ID: tutor.Person, Name: "Tutor", SignInName: "tutor", Roles: []account.Role{account.Tutor}, Registrations: awards, CreatedAt: time.Now()}, store.PartTutor
			if i > 0 {
				p.ID, p.Name, p.SignInName, p.Roles, part = uuid.New(), fmt.Sprintf("Trainee %03d of Everybody", i), fmt.Sprint("trainee-", i), []account.Role{account.Trainee}, store.PartTrainee
			}
			if err := errors.Join(t.AddPerson(ctx, p), t.AddMember(ctx, cohort, p.ID, part)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return tutor, err
	}
	return tutor, w.signIn(ctx, tutor.Centre, tutor.Person, uuid.Nil, token(0))
}

// rows adds the tasks and the attempts, of which a tenth is a second one, in every state.
func (w *largeCohort) rows(ctx context.Context, tutor account.Caller, cohort uuid.UUID) error {
	return w.fill(ctx, map[string]any{"centre": tutor.Centre, "tutor": tutor.Person, "cohort": cohort, "digest": brief.Digest([]byte(source)), "tasks": termTasks},
		`INSERT INTO brief (centre_id, brief_id, key, created_at) SELECT @centre::bigint, md5('brief' || k)::uuid, 'brief-' || k, now() FROM generate_series(1, @tasks::int) k`,
		`INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at)
			SELECT @centre::bigint, md5('brief' || k)::uuid, 1, '', 'Bay ' || k || ': put it right and prove it', @digest, '{H2}', 'published', @tutor::uuid, now(), md5('x')::uuid, now() FROM generate_series(1, @tasks::int) k`,
		`INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at, due_on)
			SELECT @centre::bigint, md5('task' || k)::uuid, md5('brief' || k)::uuid, 1, @cohort::uuid, @tutor::uuid, now() - (40 - k) * interval '1 day', now() + (k - 15) * interval '1 day' FROM generate_series(1, @tasks::int) k`,
		`INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, revision, seed, given, opened_at)
			SELECT @centre::bigint, gen_random_uuid(), t.task_id, m.person_id, n, CASE WHEN n = 2 THEN 'planned' WHEN g % 10 = 0 THEN 'more_to_do'
				ELSE (ARRAY['planned', 'open', 'handed_over', 'checked', 'decided', 'signed_off', 'signed_off'])[1 + g % 7] END, 1, 1, '{}', now()
			FROM (SELECT t.task_id, row_number() OVER (ORDER BY t.set_at) AS k FROM task t) t, (SELECT m.person_id, row_number() OVER (ORDER BY m.person_id) AS i FROM cohort_member m WHERE m.part = 'trainee') m,
				LATERAL (SELECT (t.k * 7 + m.i * 3) % 70 AS g) g, generate_series(1, 2) n
			WHERE n = 1 OR g % 10 = 0`)
}
