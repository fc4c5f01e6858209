package jobs_test

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/jobs"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

// patience bounds every wait: it is no claim about speed, only the end of a test that would otherwise hang.
const patience = 2 * time.Minute

// centre is a small centre on a real database, with one open attempt.
type centre struct {
	*app.App
	db      *store.Store
	urls    storetest.Database
	super   *pgx.Conn // past row-level security, to look at what is kept and to let time pass
	dir     string    // the evidence folder
	id      int64
	manager account.Caller
	tutor   account.Caller
	assurer account.Caller
	trainee account.Caller
	attempt uuid.UUID
}

func newCentre(t *testing.T) *centre {
	t.Helper()
	ctx := t.Context()
	c := &centre{urls: storetest.Migrated(t), dir: t.TempDir()}
	c.db = storetest.Open(t, c.urls.App)
	var err error
	c.super, err = pgx.Connect(ctx, c.urls.Super)
	must(t, err)
	t.Cleanup(func() { must(t, c.super.Close(context.Background())) })
	blobs, err := blob.OpenFolder(c.dir)
	must(t, err)
	c.App = app.New(c.db, blobs, nil).WithHashing(app.QuickHashing)
	row, err := c.db.CreateCentre(ctx, "NORTH", "North Yard Training", time.Now().UTC())
	must(t, err)
	c.id = row.ID
	for name, role := range map[string]account.Role{"mara": account.Manager, "tess": account.Tutor, "una": account.QualityAssurer, "tom": account.Trainee} {
		c.add(t, name, role)
	}
	c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, c.attempt, true, true))
	return c
}

// add puts a person into the database. Nobody signs in here, so nobody needs a password.
func (c *centre) add(t *testing.T, name string, role account.Role) {
	t.Helper()
	ctx := t.Context()
	p := store.Person{ID: newID(t), Name: "Person " + name, SignInName: name, Roles: []account.Role{role}, Registrations: []account.Registration{storetest.Award()}}
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error { return tx.AddPerson(ctx, p) }))
	who, err := c.Caller(ctx, c.id, p.ID)
	must(t, err)
	switch role {
	case account.Manager:
		c.manager = who
	case account.Tutor:
		c.tutor = who
	case account.QualityAssurer:
		c.assurer = who
	default:
		c.trainee = who
	}
}

// set publishes the sample brief and sets it to a cohort of the tutor and the trainee.
func (c *centre) set(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		for code, criteria := range map[string][]string{"H2": {"1.1", "1.2", "2.1"}, "H3": {"1.10"}} {
			o := store.Outcome{Code: "1", Title: "Do it"}
			for _, k := range criteria {
				o.Criteria = append(o.Criteria, store.Criterion{Code: k, Text: "Do " + k + "."})
			}
			if err := tx.SaveUnit(ctx, store.Unit{Code: code, Title: "Unit " + code, Edition: "1", Outcomes: []store.Outcome{o}}); err != nil {
				return err
			}
		}
		return nil
	}))
	cohort, err := c.AddCohort(ctx, c.manager, "Monday evening")
	must(t, err)
	must(t, c.AddMember(ctx, c.manager, cohort, c.tutor.Person, store.PartTutor))
	must(t, c.AddMember(ctx, c.manager, cohort, c.trainee.Person, store.PartTrainee))
	src, err := brief.Print(sample.Brief())
	must(t, err)
	id, version, err := c.SaveBrief(ctx, c.tutor, string(src), "")
	must(t, err)
	must(t, c.AskForCheck(ctx, c.tutor, id, version, brief.Digest(src), ""))
	must(t, c.PublishBrief(ctx, c.assurer, id, version, brief.Digest(src)))
	_, err = c.SetBrief(ctx, c.tutor, app.SetBrief{Brief: id, Version: version, Cohort: cohort})
	must(t, err)
	tasks, err := c.MyTasks(ctx, c.trainee)
	must(t, err)
	c.attempt = tasks[0].Attempt
}

// photo adds a photo to the open attempt and gives its row.
func (c *centre) photo(t *testing.T, data []byte) store.Evidence {
	t.Helper()
	e, err := c.AddFile(t.Context(), c.trainee, c.attempt, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(data))
	must(t, err)
	return e
}

// handOver fills the attempt and hands it over, which asks for it to be marked.
func (c *centre) handOver(t *testing.T) {
	t.Helper()
	compiled, problems := brief.Compile(sample.Brief(), app.Functions())
	must(t, problems.Err())
	entries := []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "why", Text: "The pump was dead; I replaced it."}}}
	for _, e := range marking.ModelSheet(compiled).Entries {
		entries = append(entries, app.NewEntry{ID: newID(t), Entry: e})
	}
	must(t, c.HandOver(t.Context(), c.trainee, c.attempt, entries, true))
}

// request asks for the trainee's portfolio.
func (c *centre) request(t *testing.T) uuid.UUID {
	t.Helper()
	id, err := c.RequestPortfolio(t.Context(), c.manager, c.trainee.Person, "H2")
	must(t, err)
	return id
}

// work runs the real runner until the queue has nothing more to do, and stops it.
func (c *centre) work(t *testing.T) {
	t.Helper()
	stop := c.start(t)
	c.until(t, "nothing is left in the queue", `SELECT count(*) = 0 FROM river.river_job WHERE finalized_at IS NULL`)
	stop()
}

// start starts the real runner; the function it gives stops it.
func (c *centre) start(t *testing.T) (stop func()) {
	t.Helper()
	runner, err := jobs.New(c.db, c.App, slog.New(slog.DiscardHandler))
	must(t, err)
	must(t, runner.Start(t.Context()))
	stopped := false
	stop = func() {
		if !stopped {
			stopped = true
			must(t, runner.Stop(context.Background()))
		}
	}
	t.Cleanup(stop)
	return stop
}

// until waits for a query to say true.
func (c *centre) until(t *testing.T, what, sql string, args ...any) {
	t.Helper()
	for began := time.Now(); !one[bool](t, c, sql, args...); time.Sleep(20 * time.Millisecond) {
		if time.Since(began) > patience {
			t.Fatalf("waited for nothing: %s\nthe queue: %s", what, one[string](t, c, queue))
		}
	}
}

// queue is every job in a line each.
const queue = `SELECT coalesce(string_agg(concat_ws(' ', id, kind, state, attempt, errors::text), E'\n' ORDER BY id), '') FROM river.river_job`

// passes lets time pass for the queue: everything in it moves back.
func (c *centre) passes(t *testing.T, by time.Duration) {
	t.Helper()
	for _, sql := range []string{
		`UPDATE river.river_job SET attempted_at = attempted_at - $1::interval, scheduled_at = scheduled_at - $1::interval`,
		`UPDATE river.river_leader SET elected_at = elected_at - $1::interval, expires_at = expires_at - $1::interval`,
	} {
		_, err := c.super.Exec(t.Context(), sql, by)
		must(t, err)
	}
}

// again puts every job that was done back into the queue: the process died before it could note that it was done.
func (c *centre) again(t *testing.T) {
	t.Helper()
	_, err := c.super.Exec(t.Context(), `UPDATE river.river_job SET state = 'available', finalized_at = NULL, scheduled_at = now()`)
	must(t, err)
}

// one is the single value of a query, past row-level security.
func one[T any](t *testing.T, c *centre, sql string, args ...any) T {
	t.Helper()
	var v T
	if err := c.super.QueryRow(t.Context(), sql, args...).Scan(&v); err != nil {
		t.Fatalf("%s: %v", sql, err)
	}
	return v
}

// state is the attempt's, as its tutor sees it.
func (c *centre) state(t *testing.T) decision.State {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, c.attempt)
	must(t, err)
	return s.State
}

// file is where a blob lies.
func (c *centre) file(digest string) string {
	return filepath.Join(c.dir, digest[:2], digest[2:4], digest)
}

// kept lists the names of the kept files that begin with head.
func (c *centre) kept(t *testing.T, head string) []string {
	t.Helper()
	var names []string
	must(t, filepath.WalkDir(c.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() || strings.Contains(path, "incoming") {
			return err
		}
		data, err := os.ReadFile(path)
		if bytes.HasPrefix(data, []byte(head)) {
			names = append(names, d.Name())
		}
		return err
	}))
	return names
}

// picture is a small JPEG; each n looks different.
func picture(t *testing.T, n int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for x := range 64 {
		for y := range 48 {
			img.Set(x, y, color.RGBA{uint8(x * 4), uint8(y * 5), uint8(n * 40), 255})
		}
	}
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

func newID(t *testing.T) uuid.UUID {
	t.Helper()
	id, err := uuid.NewV7()
	must(t, err)
	return id
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
