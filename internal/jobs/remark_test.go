package jobs_test

import (
	"context"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/store"
)

// clones is how many attempts there are beside the trainee's own: several chunks of the work.
const clones = 1_000

// correct publishes a second version of the sample brief, whose share comes out twice as large, and asks for it to be applied.
func (c *centre) correct(t *testing.T) uuid.UUID {
	t.Helper()
	ctx := t.Context()
	v, err := c.db.LatestBriefByKey(ctx, c.id, sample.Brief().Key)
	must(t, err)
	b := sample.Brief()
	it, _, _ := b.Item("share")
	it.Figure.Formula = "2 × pr / heat"
	for i := range b.Model {
		if b.Model[i].Item == "share" {
			b.Model[i].Text = "0.57"
		}
	}
	src, err := brief.Print(b)
	must(t, err)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), v.Digest)
	must(t, err)
	must(t, c.AskForCheck(ctx, c.tutor, id, version, brief.Digest(src), ""))
	must(t, c.PublishBrief(ctx, c.assurer, id, version, brief.Digest(src)))
	remark, err := c.AskRemark(ctx, c.tutor, app.AskRemark{Brief: id, From: 1, To: version, Words: "The pump runs at both ends."})
	must(t, err)
	return remark
}

// clone puts copies of the marked attempt beside it.
func (c *centre) clone(t *testing.T) {
	t.Helper()
	for _, sql := range []string{
		`SET session_replication_role = replica`,
		`INSERT INTO attempt SELECT (jsonb_populate_record(a, jsonb_build_object('attempt_id', md5(n::text)::uuid, 'number', n + 1))).* FROM attempt a, generate_series(1, $1) n`,
		`INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result)
			SELECT k.centre_id, md5(n::text)::uuid, md5(n::text)::uuid, k.at, k.engine, k.brief_digest, k.result FROM marking k, generate_series(1, $1) n`,
		`INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, received_at, by_id, clock_steady)
			SELECT e.centre_id, md5(n || e.entry_id::text)::uuid, md5(n::text)::uuid, e.item, e.part, e.phase, e.text, e.unit, e.working, e.note, e.received_at, e.by_id, e.clock_steady
			FROM entry e, generate_series(1, $1) n`,
		`SET session_replication_role = DEFAULT`,
	} {
		args := []any{clones}
		if sql[0] == 'S' {
			args = nil
		}
		_, err := c.super.Exec(t.Context(), sql, args...)
		must(t, err)
	}
}

// A worker is killed in the middle of marking a thousand attempts again; another goes on where it was, and nothing is marked
// twice or left out.
func TestACorrectionWhoseWorkerWasKilledGoesOn(t *testing.T) {
	c := newCentre(t)
	c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.handOver(t)
	c.work(t)
	c.clone(t)
	id := c.correct(t)
	other, err := pgx.Connect(t.Context(), c.urls.Super)
	must(t, err)
	defer other.Close(context.Background())
	tx, err := other.Begin(t.Context()) // somebody else holds the last row, and its chunk waits for it
	must(t, err)
	_, err = tx.Exec(t.Context(), `INSERT INTO remark_result SELECT centre_id, $1, max(attempt_id::text)::uuid, 1, now(), 'same', 0, 0, '[]', '{}', '', NULL FROM attempt GROUP BY 1`, id)
	must(t, err)
	kill := c.spawn(t)
	c.until(t, "all other chunks are done", `SELECT count(*) >= $1 - 250 FROM remark_result`, clones+1)
	c.until(t, "the last chunk waits", `SELECT EXISTS (SELECT FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock')`)
	kill()
	must(t, tx.Rollback(t.Context()))
	w, err := c.RemarkReport(t.Context(), c.tutor, id, 1)
	must(t, err)
	if w.State != store.RemarkMarking || w.Total != clones+1 || w.Done == 0 || w.Done >= w.Total {
		t.Fatalf("half-way it is %s with %d of %d done", w.State, w.Done, w.Total)
	}
	first := one[time.Time](t, c, `SELECT max(at) FROM remark_result`)
	c.dead(t, "remark")
	c.passes(t, 5*time.Minute)
	c.work(t)
	half := w.Done
	w, err = c.RemarkReport(t.Context(), c.tutor, id, 1)
	must(t, err)
	if w.State != store.RemarkMarked || w.Done != clones+1 || w.Total != clones+1 {
		t.Errorf("in the end it is %s with %d of %d done", w.State, w.Done, w.Total)
	}
	if kept := one[int](t, c, `SELECT count(*) FROM remark_result WHERE at <= $1`, first); kept != half {
		t.Errorf("%d rows of the first worker are left of %d", kept, half)
	}
	if n := one[int](t, c, `SELECT count(*) FROM remark_result WHERE shift = 'down' AND result IS NOT NULL`); n != clones+1 {
		t.Errorf("%d attempts lose, want all %d", n, clones+1)
	}
}

// Stopped by a person it does nothing more until it is told to go on; then it ends, takes effect, and old results stay.
func TestACorrectionStopsGoesOnAndTakesEffect(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.handOver(t)
	c.work(t)
	c.clone(t)
	id := c.correct(t)
	must(t, c.StopRemark(ctx, c.tutor, id))
	c.work(t)
	if n := one[int](t, c, `SELECT count(*) FROM remark_result`); n != 0 {
		t.Errorf("stopped before it began it marked %d", n)
	}
	must(t, c.GoOnRemark(ctx, c.tutor, id))
	c.work(t)
	if n := one[int](t, c, `SELECT count(*) FROM marking`); n != clones+1 {
		t.Errorf("before it takes effect there are %d results, want %d", n, clones+1)
	}
	must(t, c.TakeRemark(ctx, c.assurer, id))
	c.work(t)
	w, err := c.RemarkReport(ctx, c.tutor, id, 1)
	must(t, err)
	if w.State != store.RemarkTaken || w.Took != clones+1 || w.Taking != 0 {
		t.Errorf("it is %s, took effect on %d and has %d to go", w.State, w.Took, w.Taking)
	}
	if n := one[int](t, c, `SELECT count(*) FROM marking`); n != 2*(clones+1) {
		t.Errorf("there are %d results, want an old and a new one of each", n)
	}
	if n := one[int](t, c, `SELECT count(*) FROM record WHERE kind = 'corrected' AND by_name = 'Person una' AND role = 'internal_quality_assurer' AND outcome = '2' AND value = '1'`); n != clones+1 {
		t.Errorf("%d records say so, want one of each attempt", n)
	}
	s, err := c.Sheet(ctx, c.tutor, c.attempt)
	must(t, err)
	if s.Version != 2 {
		t.Errorf("the attempt is held against version %d, want 2", s.Version)
	}
}
