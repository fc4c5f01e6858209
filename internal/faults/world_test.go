//go:build linux

package faults_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// trainees is how many write at once.
const trainees = 4

// theBrief asks for one of each kind of thing that can be lost. Task and limits are invented.
const theBrief = `brief: 1
key: ledger
title: Write much
about: Read two temperatures, over and over.
criteria:
  - unit: H2
    codes: ["1.1"]
stages:
  - key: all
    title: All of it
    items:
      - {key: before, title: The rig, criteria: ["1.1"], photo: {visible: [the rig]}}
      - {key: tf, title: Flow, criteria: ["1.1"], reading: {is: flow temperature, unit: °C}}
      - {key: tr, title: Return, criteria: ["1.1"], reading: {is: return temperature, unit: °C}}
      - {key: dt, title: Difference, criteria: ["1.1"], figure: {ask: temperature difference, unit: K, formula: tf − tr, tolerance: {absolute: 0.1 K}, working: true}}
      - {key: why, title: Words, criteria: ["1.1"], answer: {ask: Say what you did.}}
      - {key: risk, title: Risk, criteria: ["1.1"], confirm: {text: I have seen the risk assessment.}}
model-answer:
  - {item: tf, text: "70"}
  - {item: tr, text: "50"}
  - {item: dt, text: "20", working: "70 − 50 = 20"}
`

// world is a centre in the running installation with people who write.
type world struct {
	*installation
	ledger  *ledger
	manager *client
	tutor   *client
	brief   string
	work    []*trainee
}

// furnish makes a centre. What the API cannot make yet, or makes with slow passwords only, is put into the database
// directly; nothing is killed before it stands.
func furnish(t *testing.T, i *installation) *world {
	t.Helper()
	ctx := t.Context()
	db, err := store.Open(ctx, i.database(t).URL(store.Role, "postgres"))
	must(t, err)
	defer db.Close()
	blobs, err := blob.OpenFolder(i.evidence())
	must(t, err)
	a := app.New(db, blobs, nil)
	centre, err := db.CreateCentre(ctx, "NORTH", "North Yard Training", time.Now().UTC())
	must(t, err)
	must(t, db.Write(ctx, centre.ID, func(tx *store.Tx) error {
		o := store.Outcome{Code: "1", Title: "Measure", Criteria: []store.Criterion{{Code: "1.1", Text: "Measure."}}}
		return tx.SaveUnit(ctx, store.Unit{Code: "H2", Title: "Heat", Edition: "1", Outcomes: []store.Outcome{o}})
	}))
	w := &world{installation: i, ledger: newLedger()}
	w.manager = w.signedIn(t, db, a, centre.ID, "mara", account.Manager)
	w.tutor = w.signedIn(t, db, a, centre.ID, "tess", account.Tutor)
	for n := range trainees {
		w.work = append(w.work, newTrainee(w, w.signedIn(t, db, a, centre.ID, fmt.Sprintf("trainee-%d", n), account.Trainee), n))
	}
	var saved struct{ Brief string }
	must(t, json.Unmarshal(w.tutor.ok(t, http.MethodPost, "/api/briefs", body{"source": theBrief}), &saved))
	w.brief = saved.Brief
	var version struct {
		BriefVersion struct{ Digest string } `json:"brief_version"`
		Problems     []struct{ Detail string }
	}
	at := "/api/briefs/" + w.brief + "/versions/1"
	must(t, json.Unmarshal(w.tutor.ok(t, http.MethodGet, at, nil), &version))
	if len(version.Problems) > 0 {
		t.Fatalf("the brief has problems: %+v", version.Problems)
	}
	w.tutor.ok(t, http.MethodPost, at+"/ask", body{"digest": version.BriefVersion.Digest})
	second := w.signedIn(t, db, a, centre.ID, "ruben", account.Tutor)
	second.ok(t, http.MethodPost, at+"/publish", body{"digest": version.BriefVersion.Digest})
	return w
}

// signedIn adds a person, and signs them in by their invitation.
func (w *world) signedIn(t *testing.T, db *store.Store, a *app.App, centre int64, name string, role account.Role) *client {
	t.Helper()
	ctx := t.Context()
	p := store.Person{ID: uuid.New(), Name: "Person " + name, SignInName: name, Roles: []account.Role{role}, CreatedAt: time.Now().UTC(),
		Registrations: []account.Registration{storetest.Award()}}
	must(t, db.Write(ctx, centre, func(tx *store.Tx) error { return tx.AddPerson(ctx, p) }))
	inv, err := a.InviteBySignInName(ctx, name)
	must(t, err)
	c := &client{addr: w.addr, person: p.ID.String()}
	c.ok(t, http.MethodPost, "/api/invitations/"+inv.Token, body{"password": "seven bays and a rig"})
	return c
}

// setTasks plans n attempts for each trainee. A cohort is set a brief once, so it is a new cohort each time.
func (w *world) setTasks(t *testing.T, n int) {
	t.Helper()
	for range n {
		cohort := "/api/cohorts/" + w.manager.create(t, "/api/cohorts", body{"name": "Cohort " + uuid.NewString()})
		w.manager.ok(t, http.MethodPost, cohort+"/members", body{"person": w.tutor.person, "part": "tutor"})
		for _, tr := range w.work {
			w.manager.ok(t, http.MethodPost, cohort+"/members", body{"person": tr.person, "part": "trainee"})
		}
		w.tutor.create(t, cohort+"/tasks", body{"brief": w.brief, "version": 1})
	}
	for _, tr := range w.work {
		var tasks struct {
			Tasks []struct{ Attempt, State string }
		}
		must(t, json.Unmarshal(tr.ok(t, http.MethodGet, "/api/tasks", nil), &tasks))
		tr.planned = nil
		for _, k := range tasks.Tasks {
			if k.State == "planned" {
				tr.planned = append(tr.planned, k.Attempt)
			}
		}
	}
}

// settle lets time pass for the jobs that were cut off or failed, so that they are run again now, and waits until none is
// left.
func (w *world) settle(t *testing.T) *pgx.Conn {
	t.Helper()
	super, err := pgx.Connect(t.Context(), w.super(t))
	must(t, err)
	t.Cleanup(func() { _ = super.Close(context.Background()) })
	for _, sql := range []string{
		// A killed program stays the queue's leader for some fifteen seconds, and only the leader runs jobs again.
		`UPDATE river.river_leader SET elected_at = elected_at - interval '1 hour', expires_at = expires_at - interval '1 hour'`,
		`UPDATE river.river_job SET attempted_at = attempted_at - interval '1 hour' WHERE state = 'running'`,
	} {
		_, err := super.Exec(t.Context(), sql)
		must(t, err)
	}
	for began := time.Now(); ; time.Sleep(100 * time.Millisecond) {
		var left int
		must(t, super.QueryRow(t.Context(), `SELECT count(*) FROM river.river_job WHERE finalized_at IS NULL`).Scan(&left))
		if left == 0 {
			return super
		}
		if time.Since(began) > patience {
			t.Fatalf("%d jobs are left over\n%s", left, w.tail(t))
		}
		_, err := super.Exec(t.Context(), `UPDATE river.river_job SET state = 'available', scheduled_at = now() WHERE state = 'retryable'`)
		must(t, err)
	}
}
