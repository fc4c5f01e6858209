package app_test

import (
	"errors"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgconn"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

func TestRegistrationWithTheAwardingOrganisation(t *testing.T) {
	c := newCentre(t)
	ctx, tom := t.Context(), c.trainee.Person
	day := time.Date(2026, 2, 1, 0, 0, 0, 0, time.UTC)
	n := app.NewAwardRegistration{Unit: "H2", Number: "AO-77", RegisteredOn: day}
	id, err := c.AddAwardRegistration(ctx, c.manager, tom, n)
	must(t, err)
	_, err = c.AddAwardRegistration(ctx, c.manager, tom, n)
	wantKind(t, "the same once more", err, fault.KindInvalid)
	for what, bad := range map[string]app.NewAwardRegistration{
		"no such unit": {Unit: "H9", Number: "1", RegisteredOn: day}, "no number": {Number: " ", RegisteredOn: day},
		"no day": {Number: "1"}, "ends before it begins": {Number: "1", RegisteredOn: day, EndsOn: day.AddDate(0, 0, -1)},
	} {
		_, err = c.AddAwardRegistration(ctx, c.manager, tom, bad)
		wantKind(t, what, err, fault.KindInvalid)
	}
	_, err = c.AddAwardRegistration(ctx, c.manager, c.tutor.Person, n)
	wantKind(t, "a tutor", err, fault.KindConflict)
	of, err := c.db.AwardRegistrations(ctx, c.id, []uuid.UUID{tom, c.tutor.Person})
	must(t, err)
	if g := of[tom]; len(of) != 1 || len(g) != 1 || g[0].Number != "AO-77" || !g[0].Holds("H2", day) || g[0].Holds("H3", day) || g[0].Holds("H2", day.AddDate(0, 0, -1)) {
		t.Errorf("registered: %+v", of)
	}
	must(t, c.EndAwardRegistration(ctx, c.manager, tom, id, day.AddDate(0, 6, 0), false))
	wantKind(t, "of somebody else", c.EndAwardRegistration(ctx, c.manager, c.tutor.Person, id, day, false), fault.KindNotFound)
	f, err := c.PersonFile(ctx, c.manager, tom)
	must(t, err)
	if len(f.Awards) != 1 || f.Awards[0].Holds("H2", day.AddDate(0, 6, 1)) || len(f.Cohorts) != 1 || f.Name != "Person tom" {
		t.Errorf("file: %+v", f)
	}
	must(t, c.EndAwardRegistration(ctx, c.manager, tom, id, time.Time{}, true))
	if of, err = c.db.AwardRegistrations(ctx, c.id, []uuid.UUID{tom}); err != nil || len(of) != 0 {
		t.Errorf("taken back, there is %+v (%v)", of, err)
	}
}

// An attempt that was handed over before its trainee was registered is something to ask about.
func TestHandedOverBeforeBeingRegistered(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	at := c.marked(t)
	asks := func() []string { return c.seenBy(t, c.tutor, at).Unregistered }
	if got := asks(); len(got) != 2 || !strings.Contains(got[0], "not registered with the awarding organisation for unit H2") {
		t.Errorf("without a registration: %q", got)
	}
	day := c.now.UTC().Truncate(24 * time.Hour)
	id, err := c.AddAwardRegistration(ctx, c.manager, c.trainee.Person, app.NewAwardRegistration{Number: "AO-1", RegisteredOn: day.AddDate(0, 0, 1)})
	must(t, err)
	if got := asks(); len(got) != 2 || !strings.Contains(got[1], "and is since") {
		t.Errorf("registered the day after: %q", got)
	}
	must(t, c.EndAwardRegistration(ctx, c.manager, c.trainee.Person, id, time.Time{}, true))
	_, err = c.AddAwardRegistration(ctx, c.manager, c.trainee.Person, app.NewAwardRegistration{Unit: "H2", Number: "AO-1", RegisteredOn: day})
	must(t, err)
	if got := asks(); len(got) != 1 || !strings.Contains(got[0], "unit H3") {
		t.Errorf("registered on the day for one unit of two: %q", got)
	}
	if own := c.seenBy(t, c.trainee, at).Unregistered; len(own) != 0 {
		t.Errorf("the trainee reads %q", own)
	}
}

func TestRegistrationsAndAwards(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	first := morning.AddDate(-1, 0, 0).Truncate(24 * time.Hour)
	c.other = c.inTraining(t, c.other)
	award := app.NewRegistration{Kind: account.AssessorAward, Number: "Award 12", From: first}
	must(t, c.AddRegistration(ctx, c.manager, c.other.Person, award))
	wantKind(t, "twice", c.AddRegistration(ctx, c.manager, c.other.Person, award), fault.KindInvalid)
	wantKind(t, "one's own", c.AddRegistration(ctx, c.manager, c.manager.Person, award), fault.KindForbidden)
	wantKind(t, "another kind", c.AddRegistration(ctx, c.manager, c.other.Person, app.NewRegistration{Kind: "boat", Number: "1", From: first}), fault.KindInvalid)
	f, err := c.PersonFile(ctx, c.manager, c.other.Person)
	must(t, err)
	if alone, why := c.Deciding(f.Person); !alone || f.Registrations[0].Ends() || !strings.Contains(why, "award is in date.") {
		t.Errorf("with an award without end: %q, %+v", why, f.Registrations)
	}
	wantKind(t, "before it began", c.EndRegistration(ctx, c.manager, c.other.Person, award.Kind, award.Number, first.AddDate(0, 0, -1)), fault.KindInvalid)
	must(t, c.EndRegistration(ctx, c.manager, c.other.Person, award.Kind, award.Number, first.AddDate(0, 1, 0)))
	f, err = c.PersonFile(ctx, c.manager, c.other.Person)
	must(t, err)
	if alone, why := c.Deciding(f.Person); alone || !strings.Contains(why, "award ended on "+first.AddDate(0, 1, 0).Format("2 January 2006")) {
		t.Errorf("after its last day: alone %v, %q", alone, why)
	}
	if !c.Unqualified(store.Person{Roles: []account.Role{account.QualityAssurer}}) || c.Unqualified(f.Person) {
		t.Error("a quality assurer without an award for it is not noticed, or a tutor is")
	}
}

// declared has the tutor declare a conflict of interest with the trainee.
func (c *centre) declared(t *testing.T) uuid.UUID {
	t.Helper()
	id, err := c.DeclareConflict(t.Context(), c.tutor, c.tutor.Person, c.trainee.Person, "Tom is my nephew.")
	must(t, err)
	return id
}

// marked is an attempt that waits to be decided.
func (c *centre) marked(t *testing.T) uuid.UUID {
	t.Helper()
	id := c.set(t)
	c.do(t, id)
	c.mark(t, id)
	return id
}

func TestConflictOfInterest(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	at := c.marked(t)
	id := c.declared(t)
	_, err := c.DeclareConflict(ctx, c.manager, c.trainee.Person, c.tutor.Person, "Once more.")
	wantKind(t, "the other way round", err, fault.KindConflict)
	_, err = c.DeclareConflict(ctx, c.second, c.tutor.Person, c.other.Person, "I heard so.")
	wantKind(t, "somebody else's", err, fault.KindForbidden)
	_, err = c.DeclareConflict(ctx, c.tutor, c.tutor.Person, c.tutor.Person, "Me.")
	wantKind(t, "with oneself", err, fault.KindInvalid)

	met := decision.Judgement{Criterion: "H2/1.1", Outcome: decision.Met}
	err = c.Decide(ctx, c.tutor, at, c.seenBy(t, c.tutor, at).Revision, met)
	if f, ok := fault.As(err); !ok || f.Kind != fault.KindForbidden || !strings.Contains(f.Message, "conflict of interest") {
		t.Errorf("deciding: %v", err)
	}
	for who, want := range map[*account.Caller]int{&c.tutor: 1, &c.second: 0, &c.manager: 1} {
		if list, err := c.Conflicts(ctx, *who, 1); err != nil || len(list.Rows) != want {
			t.Errorf("%s sees %d (%v), want %d", who.Name, len(list.Rows), err, want)
		}
	}
	wantKind(t, "ending it oneself", c.EndConflict(ctx, c.tutor, id, "It is over."), fault.KindForbidden)
	must(t, c.EndConflict(ctx, c.manager, id, "They live apart."))
	wantKind(t, "ending it twice", c.EndConflict(ctx, c.manager, id, "Again."), fault.KindConflict)
}

// The database refuses too, where the application is gone round.
func TestTheDatabaseKeepsPeopleApart(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	at := c.marked(t)
	id := c.declared(t)
	append1 := func(by account.Caller, kind decision.Kind) error {
		return c.db.Write(ctx, c.id, func(tx *store.Tx) error {
			return tx.AppendRecord(ctx, decision.Record{ID: newID(t), Centre: c.id, Attempt: at, Kind: kind, Subject: "H2/1.1", Outcome: "met",
				By: by.Person, ByName: by.Name, Role: "tutor", At: c.now.Truncate(time.Microsecond)})
		})
	}
	wantKind(t, "the trainee decides", append1(c.trainee, decision.KindCriterion), fault.KindForbidden)
	wantKind(t, "the trainee samples", append1(c.trainee, decision.KindSample), fault.KindForbidden)
	wantKind(t, "the tutor decides", append1(c.tutor, decision.KindCriterion), fault.KindForbidden)
	must(t, append1(c.tutor, decision.KindSafetyStop))
	must(t, append1(c.second, decision.KindCriterion))
	_, err := c.DeclareConflict(ctx, c.manager, c.other.Person, c.second.Person, "They share a firm.")
	must(t, err)
	for _, k := range []decision.Kind{decision.KindSample, decision.KindClear, decision.KindCountersign} {
		wantKind(t, string(k)+" of what somebody in conflict decided", append1(c.other, k), fault.KindForbidden)
	}
	err = c.db.Write(ctx, c.id, func(tx *store.Tx) error { return tx.EndConflict(ctx, id, c.trainee.Person, c.now, "No.") })
	if pg := new(pgconn.PgError); fault.KindOf(err) != fault.KindForbidden && !errors.As(err, &pg) {
		t.Errorf("whom it concerns ends it: %v", err)
	}
}
