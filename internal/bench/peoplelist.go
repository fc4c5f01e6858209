package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/blob"
	"witnessmark/internal/store"
)

const (
	listed       = "listed" // the database that lists of people are taken into
	listedPeople = 5000
)

// peopleList compares taking in a list of people, read and checked, with bare statements: a COPY into a temporary table, and an
// INSERT … SELECT for each table, under the same policies. Each leg goes into a centre of its own.
func peopleList(ctx context.Context, c *cluster) rounds.Comparison {
	ready := sync.OnceValues(func() (*listWorld, error) { return openListed(ctx, c) })
	return rounds.Comparison{
		Bar: rounds.Bar{Name: fmt.Sprintf("list: %d people checked and taken in", listedPeople), Unit: "people per second", Ours: "list", Theirs: "bare COPY", Kind: rounds.AtLeast, Limit: 0.60},
		Measure: func(theirsFirst bool) (rounds.Round, error) {
			w, err := ready()
			if err != nil {
				return rounds.Round{}, err
			}
			var took [2]time.Duration
			for i := range 2 {
				side := i
				if theirsFirst {
					side = 1 - i
				}
				if took[side], err = [2]func(context.Context) (time.Duration, error){w.take, w.copyBare}[side](ctx); err != nil {
					return rounds.Round{}, err
				}
			}
			return rounds.Round{Ours: listedPeople / took[0].Seconds(), Theirs: listedPeople / took[1].Seconds()}, nil
		},
	}
}

// listWorld is a database without people, and both ways into it.
type listWorld struct {
	db   *store.Store
	app  *app.App
	conn *pgx.Conn
	legs int
}

func openListed(ctx context.Context, c *cluster) (*listWorld, error) {
	if err := c.create(ctx, listed, ""); err != nil {
		return nil, err
	}
	if err := c.as(ctx, listed, func(conn *pgx.Conn) error { return store.Migrate(ctx, conn.Config().ConnString()) }); err != nil {
		return nil, err
	}
	db, err := store.Open(ctx, c.pg.URL(store.Role, listed))
	if err != nil {
		return nil, err
	}
	blobs, err := blob.OpenFolder(filepath.Join(c.dir, "evidence-list"))
	if err != nil {
		return nil, err
	}
	w := &listWorld{db: db, app: app.New(db, blobs, nil)}
	if w.conn, err = pgx.Connect(ctx, c.pg.URL(store.Role, listed)); err != nil {
		return nil, fmt.Errorf("connect as the plain role: %w", err)
	}
	return w, nil
}

// fresh is the manager of a centre of this leg alone.
func (w *listWorld) fresh(ctx context.Context) (account.Caller, error) {
	w.legs++
	k, err := w.db.CreateCentre(ctx, fmt.Sprintf("LIST%d", w.legs), "A centre", time.Now().UTC())
	if err != nil {
		return account.Caller{}, err
	}
	who := account.Caller{Centre: k.ID, Person: uuid.New(), Name: "Manager", Roles: []account.Role{account.Manager}}
	return who, w.db.Write(ctx, k.ID, func(t *store.Tx) error {
		return t.AddPerson(ctx, store.Person{ID: who.Person, Name: who.Name, SignInName: fmt.Sprintf("manager.%d", w.legs), Roles: who.Roles, CreatedAt: time.Now().UTC()})
	})
}

// take has the application take a list in; that it was looked at before is not counted.
func (w *listWorld) take(ctx context.Context) (time.Duration, error) {
	who, err := w.fresh(ctx)
	if err != nil {
		return 0, err
	}
	var b strings.Builder
	b.WriteString("Name,Sign-in name,E-mail,Cohort,Registration number,Registered on\n")
	for i := range listedPeople {
		fmt.Fprintf(&b, "Trainee %[1]d,t%[2]d.%[1]d,t%[1]d@example.org,Cohort %[3]d,AO-%[1]d,2026-01-05\n", i, w.legs, i%200)
	}
	list := []byte(b.String())
	plan, err := w.app.CheckPeople(ctx, who, list)
	if err != nil {
		return 0, err
	}
	began := time.Now()
	if plan, err = w.app.ImportPeople(ctx, who, list, plan.Digest); err != nil {
		return 0, err
	}
	if plan.People != listedPeople || plan.Members != listedPeople || plan.Registrations != listedPeople {
		return 0, fmt.Errorf("the list brought %+v", plan.TakenIn)
	}
	return time.Since(began), nil
}

// copyBare puts the same rows in by hand.
func (w *listWorld) copyBare(ctx context.Context) (took time.Duration, err error) {
	who, err := w.fresh(ctx)
	if err != nil {
		return 0, err
	}
	began := time.Now()
	tx, err := w.conn.Begin(ctx)
	if err != nil {
		return 0, fmt.Errorf("begin: %w", err)
	}
	defer func() { _ = tx.Rollback(context.WithoutCancel(ctx)) }()
	run := func(sql string, a ...any) {
		if err == nil {
			_, err = tx.Exec(ctx, sql, a...)
		}
	}
	run(`SELECT set_config('app.centre_id', $1, true)`, fmt.Sprint(who.Centre))
	run(`CREATE TEMPORARY TABLE bare (person_id uuid, name text, sign_in_name text, email text, cohort text, number text, registered_on date) ON COMMIT DROP`)
	if err == nil {
		_, err = tx.CopyFrom(ctx, pgx.Identifier{"bare"}, []string{"person_id", "name", "sign_in_name", "email", "cohort", "number", "registered_on"},
			pgx.CopyFromSlice(listedPeople, func(i int) ([]any, error) {
				return []any{[16]byte(uuid.New()), fmt.Sprintf("Trainee %d", i), fmt.Sprintf("t%d.%d", w.legs, i), fmt.Sprintf("t%d@example.org", i), fmt.Sprintf("Cohort %d", i%200),
					fmt.Sprintf("AO-%d", i), time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC)}, nil
			}))
	}
	run(`INSERT INTO person (centre_id, person_id, name, sign_in_name, email, created_at) SELECT $1, person_id, name, sign_in_name, email, now() FROM bare`, who.Centre)
	run(`INSERT INTO cohort (centre_id, cohort_id, name, created_at) SELECT $1, gen_random_uuid(), cohort, now() FROM (SELECT DISTINCT cohort FROM bare) b`, who.Centre)
	run(`INSERT INTO person_role (centre_id, person_id, role) SELECT $1, person_id, 'trainee' FROM bare`, who.Centre)
	run(`INSERT INTO cohort_member (centre_id, cohort_id, person_id, part) SELECT $1, c.cohort_id, b.person_id, 'trainee' FROM bare b JOIN cohort c ON c.name = b.cohort`, who.Centre)
	run(`INSERT INTO award_registration (centre_id, registration_id, person_id, unit_code, number, registered_on, entered_by, entered_at)
		SELECT $1, gen_random_uuid(), person_id, '', number, registered_on, $2, now() FROM bare`, who.Centre, [16]byte(who.Person))
	if err == nil {
		err = tx.Commit(ctx)
	}
	if err != nil {
		return 0, fmt.Errorf("put people in by hand: %w", err)
	}
	return time.Since(began), nil
}
