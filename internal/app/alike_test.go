package app_test

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// twoAlike is two attempts of one cohort with the same photos and readings, handed over and marked.
func (c *centre) twoAlike(t *testing.T) (toms, unas uuid.UUID, una account.Caller) {
	t.Helper()
	ctx := t.Context()
	una = c.person(t, "una", account.Trainee)
	must(t, c.AddMember(ctx, c.manager, c.cohort, una.Person, store.PartTrainee))
	toms = c.set(t)
	c.do(t, toms)
	tom := c.trainee
	c.trainee = una
	tasks, err := c.MyTasks(ctx, una)
	must(t, err)
	unas = tasks[0].Attempt
	c.do(t, unas)
	c.trainee = tom
	for _, id := range []uuid.UUID{toms, unas} {
		j, err := c.db.JobSheet(ctx, c.id, id)
		must(t, err)
		for _, e := range j.Evidence {
			must(t, c.MakePreview(ctx, c.id, e.ID))
			must(t, c.ComparePicture(ctx, c.id, e.ID))
			must(t, c.ComparePicture(ctx, c.id, e.ID)) // twice has the same effect
		}
	}
	return toms, unas, una
}

// asksWith counts the questions that hold the words.
func (c *centre) asksWith(t *testing.T, id uuid.UUID, words string) int {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	return len(slices.DeleteFunc(slices.Clone(s.Asks), func(a app.Ask) bool { return !strings.Contains(a.Text, words) }))
}

// A pair is listed for whoever may see both, is asked about until somebody has looked, and is never for the trainees' eyes.
func TestLookAtTheseTwo(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	toms, unas, una := c.twoAlike(t)
	l, err := c.AlikeRows(ctx, c.tutor, 1)
	must(t, err)
	if len(l.Rows) == 0 || !l.Rows[0].Exact {
		t.Fatalf("rows are %+v", l.Rows)
	}
	asked := c.asksWith(t, unas, "the same picture")
	one, other := l.Rows[0].One, l.Rows[0].Other
	if others, err := c.AlikeRows(ctx, c.other, 1); err != nil || len(others.Rows) != 0 {
		t.Errorf("a tutor of another cohort is shown %+v, %v", others.Rows, err)
	}
	if _, err := c.AlikePair(ctx, c.other, one, other); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("a tutor of another cohort: %v", err)
	}
	for _, who := range []account.Caller{c.trainee, una, c.manager} {
		if _, err := c.AlikePair(ctx, who, one, other); fault.KindOf(err) != fault.KindForbidden {
			t.Errorf("%s: %v", who.Name, err)
		}
	}
	p, err := c.AlikePair(ctx, c.tutor, other, one)
	must(t, err)
	if !p.Exact || p.Found == nil || p.Found.Correlation != 1 || !p.MayLook {
		t.Errorf("the pair is %+v", p)
	}
	for _, k := range []app.Look{{Outcome: "guilty", ID: uuid.New(), Words: "x"}, {Outcome: app.AlikeTalked, ID: uuid.New(), Words: "  "}, {Outcome: app.AlikeTalked, Words: "x"}} {
		if err := c.LookAtPair(ctx, c.tutor, one, other, k); fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("%+v: %v", k, err)
		}
	}
	must(t, c.LookAtPair(ctx, c.tutor, other, one, app.Look{ID: uuid.New(), Outcome: app.AlikeTalked, Words: "Una took it for both."}))
	if now := c.asksWith(t, unas, "the same picture"); now != asked-1 {
		t.Errorf("%d questions about photos, want one less than %d", now, asked)
	}
	if c.asksWith(t, unas, "who took the readings") != 1 {
		t.Error("nothing is asked about the readings")
	}
	r, err := c.AlikeReadings(ctx, c.tutor, unas, toms)
	must(t, err)
	if !r.MayLook || len(r.Rows) < 3 || slices.ContainsFunc(r.Rows, func(x app.AlikeReading) bool { return !x.Same }) {
		t.Errorf("readings are %+v", r)
	}
	must(t, c.LookAtReadings(ctx, c.tutor, unas, toms, app.Look{ID: uuid.New(), Outcome: app.AlikeSame, Words: "One gauge, read together."}))
	if c.asksWith(t, unas, "who took the readings") != 0 || c.asksWith(t, toms, "who took the readings") != 0 {
		t.Error("asked about readings that somebody has looked at")
	}
	// Round the program: nobody says what they found of their own work.
	conn, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer conn.Close(ctx)
	_, err = conn.Exec(ctx, `INSERT INTO alike_look (centre_id, look_id, attempt_id, other_id, thing, outcome, words, by_id, at)
		VALUES ($1, $2, least($3::uuid, $4::uuid), greatest($3::uuid, $4::uuid), 'readings', 'same', 'Fine.', $5, now())`, c.id, uuid.New(), unas, toms, una.Person)
	if err == nil || !strings.Contains(err.Error(), "own work") {
		t.Errorf("the database takes a trainee's word on their own work: %v", err)
	}
}

// What a trainee says was done together is not asked about, at the stage where they say it.
func TestSharedWorkIsNotAsked(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	una := c.person(t, "una", account.Trainee)
	must(t, c.AddMember(ctx, c.manager, c.cohort, una.Person, store.PartTrainee))
	toms := c.set(t)
	c.do(t, toms)
	c.trainee = una
	tasks, err := c.MyTasks(ctx, una)
	must(t, err)
	unas := tasks[0].Attempt
	must(t, c.OpenAttempt(ctx, una, unas, true, true))
	s, err := c.Sheet(ctx, una, unas)
	must(t, err)
	for _, st := range s.Stages {
		must(t, c.RecordEntries(ctx, una, unas, []app.NewEntry{{ID: uuid.New(), Entry: marking.Entry{Item: "helped/" + st.Key, Text: "Together with Tom, on one rig."}}}))
	}
	must(t, c.RecordEntries(ctx, una, unas, c.model(t, unas)))
	c.photos(t, unas)
	for _, id := range []uuid.UUID{toms, unas} {
		j, err := c.db.JobSheet(ctx, c.id, id)
		must(t, err)
		for _, e := range j.Evidence {
			must(t, c.MakePreview(ctx, c.id, e.ID))
			must(t, c.ComparePicture(ctx, c.id, e.ID))
		}
	}
	must(t, c.HandOver(ctx, una, unas, nil, true))
	c.mark(t, unas)
	for _, words := range []string{"the same picture", "who took the readings"} {
		if n := c.asksWith(t, unas, words); n != 0 {
			t.Errorf("%d questions with %q about work that was said to be shared", n, words)
		}
	}
	if l, err := c.AlikeRows(ctx, c.tutor, 1); err != nil || len(l.Rows) != 0 {
		t.Errorf("listed are %+v, %v", l.Rows, err)
	}
}

// A centre's own numbers count at once for what was found.
func TestAlikeSetting(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	for _, k := range []app.AlikeSetting{{Pattern: 11, Edges: 4, Correlation: 0.9, Words: "x"}, {Pattern: 6, Edges: 9, Correlation: 0.9, Words: "x"}, {Pattern: 6, Edges: 4, Correlation: 1.1, Words: "x"}, {Pattern: 6, Edges: 4, Correlation: 0.9}} {
		if err := c.SetAlike(ctx, c.manager, k); fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("%+v: %v", k, err)
		}
	}
	if err := c.SetAlike(ctx, c.tutor, app.AlikeSetting{Pattern: 6, Edges: 4, Correlation: 0.9, Words: "x"}); fault.KindOf(err) != fault.KindForbidden {
		t.Errorf("a tutor sets it: %v", err)
	}
	must(t, c.SetAlike(ctx, c.manager, app.AlikeSetting{Pattern: 8, Edges: 5, Correlation: 0.9, Words: "Bay 7 is dark."}))
	l, err := c.AlikeRows(ctx, c.tutor, 1)
	must(t, err)
	if l.Setting.Pattern != 8 || l.Setting.Correlation != 0.9 || l.Setting.ByName != c.manager.Name {
		t.Errorf("the setting is %+v", l.Setting)
	}
}
