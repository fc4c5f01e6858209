package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"path/filepath"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/httpd"
	"witnessmark/internal/store"
	"witnessmark/internal/ui"
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
			var took [2]time.Duration
			for load := range termLoads {
				for i := range 2 {
					side := (i + load) % 2
					if theirsFirst {
						side = 1 - side
					}
					began := time.Now()
					if err := [2]func(context.Context) error{w.page, w.bare}[side](ctx); err != nil {
						return rounds.Round{}, err
					}
					took[side] += time.Since(began)
				}
			}
			return rounds.Round{Ours: took[0].Seconds() * 1e3 / termLoads, Theirs: took[1].Seconds() * 1e3 / termLoads}, nil
		},
	}
}

// largeCohort is a server with a large cohort, and what its page sends to the database.
type largeCohort struct {
	echo   *echo.Echo
	conn   *pgx.Conn
	calls  []call
	cohort uuid.UUID
}

func fillTerm(ctx context.Context, c *cluster) (*largeCohort, error) {
	if err := c.create(ctx, termed, ""); err != nil {
		return nil, err
	}
	if err := c.as(ctx, termed, func(conn *pgx.Conn) error { return store.Migrate(ctx, conn.Config().ConnString()) }); err != nil {
		return nil, err
	}
	r := &recorder{}
	db, err := store.OpenTraced(ctx, c.pg.URL(store.Role, termed), r)
	if err != nil {
		return nil, err
	}
	w := &largeCohort{cohort: uuid.New()}
	if w.conn, err = pgx.Connect(ctx, c.pg.URL(store.Role, termed)); err != nil {
		return nil, fmt.Errorf("connect as the plain role: %w", err)
	}
	blobs, err := blob.OpenFolder(filepath.Join(c.dir, "evidence-term"))
	if err != nil {
		return nil, err
	}
	tutor, err := w.people(ctx, db)
	if err != nil {
		return nil, err
	}
	if err := c.as(ctx, termed, func(conn *pgx.Conn) error { return w.rows(ctx, conn, tutor) }); err != nil {
		return nil, err
	}
	a := app.New(db, blobs, nil)
	log := slog.New(slog.DiscardHandler)
	w.echo = httpd.New(httpd.Config{Log: log})
	sessions := httpd.NewSessions(db, a, false, log)
	pages, err := ui.New(a, sessions, log, nil)
	if err != nil {
		return nil, err
	}
	pages.Register(w.echo)
	for range 3 { // by then the connection has prepared its statements
		r.start()
		if err := w.page(ctx); err != nil {
			return nil, err
		}
	}
	if w.calls, err = r.stop(); err != nil {
		return nil, err
	}
	return w, w.few()
}

// few refuses a page that sends more statements than it may: those of the last batch, which is the page's own.
func (w *largeCohort) few() error {
	if n := len(w.calls[len(w.calls)-1]); len(w.calls) > 2 || n > termQueries {
		return fmt.Errorf("the page took %d round trips, the last of %d statements; want two, and %d at most", len(w.calls), n, termQueries)
	}
	return nil
}

// people adds the tutor with a session, the trainees and their cohort.
func (w *largeCohort) people(ctx context.Context, db *store.Store) (account.Caller, error) {
	row, err := db.CreateCentre(ctx, "BENCH", "Centre for measuring", time.Now())
	if err != nil {
		return account.Caller{}, err
	}
	tutor := account.Caller{Centre: row.ID, Person: uuid.New()}
	err = db.Write(ctx, row.ID, func(t *store.Tx) error {
		if err := t.AddCohort(ctx, w.cohort, "Everybody", time.Now()); err != nil {
			return err
		}
		for i := range termTrainees + 1 {
			p, part := store.Person{ID: tutor.Person, Name: "Tutor", SignInName: "tutor", Roles: []account.Role{account.Tutor}, CreatedAt: time.Now()}, store.PartTutor
			if i > 0 {
				p.ID, p.Name, p.SignInName, p.Roles, part = uuid.New(), fmt.Sprintf("Trainee %03d of Everybody", i), fmt.Sprint("trainee-", i), []account.Role{account.Trainee}, store.PartTrainee
			}
			if err := errors.Join(t.AddPerson(ctx, p), t.AddMember(ctx, w.cohort, p.ID, part)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return tutor, err
	}
	until := time.Now().Add(12 * time.Hour)
	data, err := store.SessionCodec{}.Encode(until, map[string]any{store.SessionCentre: row.ID, store.SessionPerson: tutor.Person.String()})
	if err != nil {
		return tutor, fmt.Errorf("write a session: %w", err)
	}
	return tutor, db.Sessions().CommitCtx(ctx, token(0), data, until)
}

// rows adds the tasks and the attempts, of which a tenth is a second one, in every state.
func (w *largeCohort) rows(ctx context.Context, conn *pgx.Conn, tutor account.Caller) error {
	digest := brief.Digest([]byte(source))
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO brief (centre_id, brief_id, key, created_at) SELECT $1, md5('brief' || k)::uuid, 'brief-' || k, now() FROM generate_series(1, $5::int) k WHERE $2::uuid IS NOT NULL AND $3::uuid IS NOT NULL AND $4::text IS NOT NULL`,
		`INSERT INTO brief_version (centre_id, brief_id, version, source, title, digest, units, state, written_by, written_at, published_by, published_at)
			SELECT $1, md5('brief' || k)::uuid, 1, '', 'Bay ' || k || ': put it right and prove it', $4, '{H2}', 'published', $2, now(), md5('x')::uuid, now() FROM generate_series(1, $5::int) k WHERE $3::uuid IS NOT NULL`,
		`INSERT INTO task (centre_id, task_id, brief_id, version, cohort_id, set_by, set_at, due_on)
			SELECT $1, md5('task' || k)::uuid, md5('brief' || k)::uuid, 1, $3, $2, now() - (40 - k) * interval '1 day', now() + (k - 15) * interval '1 day' FROM generate_series(1, $5::int) k WHERE $4::text IS NOT NULL`,
		`INSERT INTO attempt (centre_id, attempt_id, task_id, trainee_id, number, state, revision, seed, given, opened_at)
			SELECT $1, gen_random_uuid(), t.task_id, m.person_id, n, CASE WHEN n = 2 THEN 'planned' WHEN g % 10 = 0 THEN 'more_to_do'
				ELSE (ARRAY['planned', 'open', 'handed_over', 'checked', 'decided', 'signed_off', 'signed_off'])[1 + g % 7] END, 1, 1, '{}', now()
			FROM (SELECT t.task_id, row_number() OVER (ORDER BY t.set_at) AS k FROM task t) t, (SELECT m.person_id, row_number() OVER (ORDER BY m.person_id) AS i FROM cohort_member m WHERE m.part = 'trainee') m,
				LATERAL (SELECT (t.k * 7 + m.i * 3) % 70 AS g) g, generate_series(1, 2) n
			WHERE (n = 1 OR g % 10 = 0) AND $2::uuid IS NOT NULL AND $3::uuid IS NOT NULL AND $4::text IS NOT NULL AND $5::int > 0`,
		`ANALYZE`,
	} {
		var args []any
		if sql[0] == 'I' {
			args = []any{tutor.Centre, tutor.Person, w.cohort, digest, termTasks}
		}
		if _, err := conn.Exec(ctx, sql, args...); err != nil {
			return fmt.Errorf("fill in a large cohort: %w", err)
		}
	}
	return nil
}

// page asks for the page and takes all of it.
func (w *largeCohort) page(ctx context.Context) error {
	r := httptest.NewRequestWithContext(ctx, http.MethodGet, "/cohorts/"+w.cohort.String()+"/term", nil)
	r.AddCookie(&http.Cookie{Name: "wm", Value: token(0)})
	a := httptest.NewRecorder()
	w.echo.ServeHTTP(a, r)
	if a.Code != http.StatusOK || a.Body.Len() < 50*termTrainees {
		return fmt.Errorf("the page answered %d with %d bytes: %.300s", a.Code, a.Body.Len(), a.Body)
	}
	return nil
}

// bare sends the same statements, in the same round trips, and takes every row as it comes.
func (w *largeCohort) bare(ctx context.Context) error {
	for _, c := range w.calls {
		b := &pgx.Batch{}
		for _, s := range c {
			b.Queue(s.sql, s.args...).Query(func(rows pgx.Rows) error {
				for rows.Next() {
					if _, err := rows.Values(); err != nil {
						return err
					}
				}
				return rows.Err()
			})
		}
		if err := w.conn.SendBatch(ctx, b).Close(); err != nil {
			return fmt.Errorf("send the page's statements: %w", err)
		}
	}
	return nil
}
