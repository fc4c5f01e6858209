package app_test

import (
	"context"
	"fmt"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// counter counts what is sent to the database.
type counter struct{ statements, trips atomic.Int64 }

func (c *counter) TraceQueryStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryStartData) context.Context {
	c.statements.Add(1)
	c.trips.Add(1)
	return ctx
}
func (c *counter) TraceQueryEnd(context.Context, *pgx.Conn, pgx.TraceQueryEndData) {}
func (c *counter) TraceBatchStart(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchStartData) context.Context {
	c.trips.Add(1)
	return ctx
}
func (c *counter) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {
	c.statements.Add(1)
}
func (c *counter) TraceBatchEnd(context.Context, *pgx.Conn, pgx.TraceBatchEndData) {}

// A term of 200 trainees and 30 tasks takes as many statements as an empty one, five at most, in one round trip, the setting of the
// centre among them.
func TestATermTakesFiveStatements(t *testing.T) {
	c := newCentre(t)
	super, err := pgx.Connect(t.Context(), c.super)
	must(t, err)
	defer super.Close(context.Background())
	var n counter
	db, err := store.OpenTraced(t.Context(), appAddress(t, c), &n)
	must(t, err)
	defer db.Close()
	blobs, err := blob.OpenFolder(t.TempDir())
	must(t, err)
	a := app.New(db, blobs, func() time.Time { return c.now })
	count := func(tutor account.Caller) (app.Term, int64) {
		t.Helper()
		_, err := a.Term(t.Context(), tutor, c.cohort) // the first prepares the statements
		must(t, err)
		n.statements.Store(0)
		n.trips.Store(0)
		term, err := a.Term(t.Context(), tutor, c.cohort)
		must(t, err)
		if got := n.trips.Load(); got != 1 {
			t.Errorf("%d round trips, want one", got)
		}
		return term, n.statements.Load()
	}
	_, empty := count(c.tutor)
	c.set(t)
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO person SELECT (jsonb_populate_record(p, jsonb_build_object('person_id', md5('p' || n)::uuid, 'name', 'Trainee ' || n, 'sign_in_name', 't' || n))).* FROM person p, generate_series(1, 199) n WHERE p.sign_in_name = 'tom'`,
		`INSERT INTO cohort_member (centre_id, cohort_id, person_id, part) SELECT m.centre_id, m.cohort_id, md5('p' || n)::uuid, 'trainee' FROM cohort_member m, generate_series(1, 199) n WHERE m.part = 'trainee'`,
		`INSERT INTO brief SELECT (jsonb_populate_record(b, jsonb_build_object('brief_id', md5('b' || n)::uuid, 'key', 'brief-' || n))).* FROM brief b, generate_series(1, 29) n`,
		`INSERT INTO brief_version SELECT (jsonb_populate_record(v, jsonb_build_object('brief_id', md5('b' || n)::uuid))).* FROM brief_version v, generate_series(1, 29) n`,
		`INSERT INTO task SELECT (jsonb_populate_record(t, jsonb_build_object('task_id', md5('t' || n)::uuid, 'brief_id', md5('b' || n)::uuid))).* FROM task t, generate_series(1, 29) n`,
		`INSERT INTO attempt SELECT (jsonb_populate_record(a, jsonb_build_object('attempt_id', gen_random_uuid(), 'task_id', t.task_id, 'trainee_id', m.person_id))).* FROM attempt a, task t, cohort_member m
			WHERE m.part = 'trainee' AND (t.task_id, m.person_id) <> (a.task_id, a.trainee_id)`,
	} {
		if _, err := super.Exec(t.Context(), sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
	term, full := count(c.tutor)
	if full != empty || full > 5 {
		t.Errorf("an empty term takes %d statements, a full one %d; want the same, five at most", empty, full)
	}
	if len(term.Rows) != 200 || len(term.Tasks) != 30 || len(term.Rows[0].Not) != 30 || term.Tasks[29].No != 200 {
		t.Errorf("%d rows, %d tasks, the first has %d not started", len(term.Rows), len(term.Tasks), len(term.Rows[0].Not))
	}
	_, err = a.Term(t.Context(), c.other, c.cohort)
	wantKind(t, "a tutor of another cohort", err, fault.KindNotFound)
	_, err = a.Term(t.Context(), c.trainee, c.cohort)
	wantKind(t, "a trainee", err, fault.KindForbidden)
}

// appAddress is the test's database as the plain role.
func appAddress(t *testing.T, c *centre) string {
	t.Helper()
	cfg, err := pgx.ParseConfig(c.super)
	must(t, err)
	return fmt.Sprintf("postgres://%s@/%s?host=%s&port=%d&sslmode=disable", store.Role, cfg.Database, cfg.Host, cfg.Port)
}

// A trainee's criteria, what is missing, and who needs the tutor, from the first day to the last.
func TestWhatIsShownAndWhoIsNeeded(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.set(t)
	needs := func() []string {
		t.Helper()
		list, err := c.Needs(ctx, c.tutor)
		must(t, err)
		var why []string
		for _, n := range list {
			why = append(why, n.Why...)
		}
		return why
	}
	if why := needs(); len(why) != 0 {
		t.Errorf("on the first day: %q", why)
	}
	c.now = morning.AddDate(0, 0, 8)
	if why := fmt.Sprint(needs()); why != "[Nothing started since 4 May.]" {
		t.Errorf("after a week: %s", why)
	}
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	entries := c.model(t, id)
	must(t, c.RecordEntries(ctx, c.trainee, id, entries))
	c.photos(t, id)
	must(t, c.SafetyStop(ctx, c.trainee, id, "Water by the socket."))
	if why := fmt.Sprint(needs()); why != "[Stopped for safety.]" {
		t.Errorf("stopped: %s", why)
	}
	must(t, c.ClearStop(ctx, c.tutor, id, "Dried."))
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	must(t, c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen."))
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	s := c.mark(t, id)
	if why := needs(); len(why) != 0 {
		t.Errorf("handed over: %q", why)
	}
	must(t, c.Decide(ctx, c.tutor, id, s.Revision, decision.Judgement{Criterion: "H2/2.1", Outcome: decision.NotYetMet, Reason: "sufficient", Words: "Show more."}))
	p, err := c.Progress(ctx, c.tutor, c.cohort, c.trainee.Person)
	must(t, err)
	var met, open int
	for _, u := range p.Units {
		met += u.Met
		for _, cr := range u.Criteria {
			if !cr.Met() {
				open++
			}
		}
	}
	if met != 0 || open != 4 {
		t.Errorf("%d met and %d missing, want none and 4", met, open)
	}
	_, err = c.Progress(ctx, c.other, c.cohort, c.trainee.Person)
	wantKind(t, "a tutor of another cohort", err, fault.KindNotFound)
	_, err = c.Progress(ctx, c.tutor, c.cohort, uuid.New())
	wantKind(t, "somebody else", err, fault.KindNotFound)
}
