package app_test

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// password is everybody's here.
const password = "seven bays and a rig"

// morning is when the tests' clock starts; the tests move it by hand.
var morning = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)

// centre is a small centre on a real database.
type centre struct {
	*app.App
	db      *store.Store
	super   string // the address of its database, as a superuser
	dir     string
	now     time.Time
	id      int64
	manager account.Caller
	tutor   account.Caller // of the cohort, registered for electrical work
	second  account.Caller // a tutor of the cohort without registration
	other   account.Caller // a tutor of another cohort
	trainee account.Caller
	cohort  uuid.UUID
	brief   uuid.UUID
}

func newCentre(t *testing.T) *centre {
	t.Helper()
	urls := storetest.Migrated(t)
	c := &centre{db: storetest.Open(t, urls.App), super: urls.Super, dir: t.TempDir(), now: morning}
	blobs, err := blob.OpenFolder(c.dir)
	if err != nil {
		t.Fatal(err)
	}
	c.App = app.New(c.db, blobs, func() time.Time { return c.now }).WithHashing(app.QuickHashing)
	row, err := c.db.CreateCentre(t.Context(), "NORTH", "North Yard Training", c.now)
	must(t, err)
	c.id = row.ID
	inv, err := c.InviteManager(t.Context(), c.id, app.NewPerson{Name: "Mara Quill", SignInName: "mara"})
	must(t, err)
	c.manager, err = c.AcceptInvitation(t.Context(), inv.Token, password)
	must(t, err)
	c.tutor = c.person(t, "tess", account.Tutor)
	c.second = c.person(t, "ruben", account.Tutor)
	c.other = c.person(t, "olga", account.Tutor)
	c.trainee = c.person(t, "tom", account.Trainee)
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		return tx.SetRegistrations(t.Context(), c.tutor.Person, []account.Registration{storetest.Award(),
			{Kind: "electrical", Number: "E-1", ValidFrom: morning.AddDate(-1, 0, 0), ValidTo: morning.AddDate(1, 0, 0)},
		})
	}))
	c.tutor, err = c.Caller(t.Context(), c.id, c.tutor.Person)
	must(t, err)
	c.cohort, err = c.AddCohort(t.Context(), c.manager, "Monday evening")
	must(t, err)
	for _, m := range []account.Caller{c.tutor, c.second} {
		must(t, c.AddMember(t.Context(), c.manager, c.cohort, m.Person, store.PartTutor))
	}
	must(t, c.AddMember(t.Context(), c.manager, c.cohort, c.trainee.Person, store.PartTrainee))
	c.units(t)
	return c
}

// person adds somebody who has accepted the invitation, and holds an assessor's award where they decide or look at decisions.
func (c *centre) person(t *testing.T, name string, role account.Role) account.Caller {
	t.Helper()
	id, inv, err := c.AddPerson(t.Context(), c.manager, app.NewPerson{Name: "Person " + name, SignInName: name, Roles: []account.Role{role}})
	must(t, err)
	if role == account.Tutor || role == account.QualityAssurer {
		must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error { return tx.AddRegistration(t.Context(), id, storetest.Award()) }))
	}
	p, err := c.AcceptInvitation(t.Context(), inv.Token, password)
	must(t, err)
	return p
}

// units saves the units that the sample brief refers to.
func (c *centre) units(t *testing.T) {
	t.Helper()
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		h2 := store.Unit{Code: "H2", Title: "Heat", Edition: "1", Outcomes: []store.Outcome{{Code: "1", Title: "Measure", Criteria: []store.Criterion{
			{Code: "1.1", Text: "Prepare the work."}, {Code: "1.2", Text: "Measure."}, {Code: "2.1", Text: "Work it out."},
		}}}}
		h3 := store.Unit{Code: "H3", Title: "Electrics", Edition: "1", Outcomes: []store.Outcome{{Code: "1", Title: "Isolate", Criteria: []store.Criterion{
			{Code: "1.10", Text: "Isolate safely."},
		}}}}
		if err := tx.SaveUnit(t.Context(), h2); err != nil {
			return err
		}
		return tx.SaveUnit(t.Context(), h3)
	}))
}

// set publishes the sample brief, sets it to the cohort and gives the trainee's attempt.
func (c *centre) set(t *testing.T) uuid.UUID {
	t.Helper()
	return c.setBrief(t, sample.Brief())
}

// published is a brief, published, to be set to the cohort.
func (c *centre) published(t *testing.T, b *brief.Brief) app.SetBrief {
	t.Helper()
	src, err := brief.Print(b)
	must(t, err)
	id, version, err := c.SaveBrief(t.Context(), c.tutor, string(src), "")
	must(t, err)
	must(t, c.AskForCheck(t.Context(), c.tutor, id, version, brief.Digest(src), ""))
	must(t, c.PublishBrief(t.Context(), c.second, id, version, brief.Digest(src)))
	return app.SetBrief{Brief: id, Version: version, Cohort: c.cohort}
}

// setBrief does what set does with a brief.
func (c *centre) setBrief(t *testing.T, b *brief.Brief) uuid.UUID {
	t.Helper()
	s := c.published(t, b)
	c.brief = s.Brief
	_, err := c.SetBrief(t.Context(), c.tutor, s)
	must(t, err)
	tasks, err := c.MyTasks(t.Context(), c.trainee)
	must(t, err)
	if len(tasks) != 1 {
		t.Fatalf("the trainee has %d tasks, want 1", len(tasks))
	}
	return tasks[0].Attempt
}

// do fills an open attempt with the model answer and two photos, holds released, and hands it over.
func (c *centre) do(t *testing.T, id uuid.UUID) {
	t.Helper()
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	c.typed(t, id, c.model(t, id))
	c.photos(t, id)
	c.now = c.now.Add(time.Hour)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
}

// typed types lines as somebody at the rig does, on a phone whose clock is right: up to the hold point, which the tutor then checks and
// releases, and the rest after that.
func (c *centre) typed(t *testing.T, id uuid.UUID, entries []app.NewEntry) {
	t.Helper()
	ctx := t.Context()
	before, after := c.aroundHold(entries)
	must(t, c.RecordEntries(ctx, c.trainee, id, before))
	must(t, c.EnterCheckReading(ctx, c.tutor, id, app.CheckReading{Item: "continuity"}, password))
	must(t, c.ReleaseHold(ctx, c.tutor, id, "wire", "Covers on, tested dead."))
	must(t, c.RecordEntries(ctx, c.trainee, id, after))
}

// aroundHold parts lines into those of the stage before the hold point and those that are typed now, after its release.
func (c *centre) aroundHold(entries []app.NewEntry) (before, after []app.NewEntry) {
	b := sample.Brief()
	for _, e := range entries {
		if _, st, _ := b.Item(e.Item); st.Key == b.Stages[0].Key {
			before = append(before, e)
			continue
		}
		e.CapturedAt, e.PhoneClock = c.now, app.PhoneClock{SentAt: c.now, Believed: new(int64)}
		after = append(after, e)
	}
	return before, after
}

// photos adds the two that the sample brief asks for.
func (c *centre) photos(t *testing.T, id uuid.UUID) {
	t.Helper()
	for i := range 2 {
		_, err := c.AddFile(t.Context(), c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(picture(t, i)))
		must(t, err)
	}
}

// model is the model answer, worked with the trainee's own given values.
func (c *centre) model(t *testing.T, id uuid.UUID) []app.NewEntry {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	b := sample.Brief()
	compiled, problems := brief.Compile(b, app.Functions())
	must(t, problems.Err())
	var out []app.NewEntry
	for _, e := range marking.ModelSheet(compiled).Entries {
		e.At = time.Time{} // the phone's clock tells it
		out = append(out, app.NewEntry{ID: newID(t), Entry: e, CapturedAt: c.now.Add(-time.Minute)})
	}
	for i := range out {
		// The allowance rests on the drawn load, so the model's figure is not this trainee's.
		if out[i].Item == "lift" {
			out[i].Text = "25"
		}
		if out[i].Item == "enough" {
			out[i].Text = "it gives the load"
		}
	}
	for _, st := range b.Stages {
		for _, it := range st.Items {
			if it.Answer != nil {
				out = append(out, app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: it.Key, Text: "The pump was dead; I replaced it."}})
			}
		}
	}
	_ = s
	return out
}

// mark does the marker's job by hand, as the queue would.
func (c *centre) mark(t *testing.T, id uuid.UUID) app.Sheet {
	t.Helper()
	must(t, c.MarkAttempt(t.Context(), c.id, id))
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	return s
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

// wantKind fails unless err is a fault of the kind.
func wantKind(t *testing.T, what string, err error, want fault.Kind) {
	t.Helper()
	if got := fault.KindOf(err); got != want || err == nil {
		t.Errorf("%s: got %v (kind %d), want kind %d", what, err, got, want)
	}
}
