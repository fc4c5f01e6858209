package app_test

import (
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

// Anybody of the centre stops what is unsafe, whether they may see the work or not, and learns no more than that it is stopped.
func TestAnybodyStopsWhatIsUnsafe(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	peer, tech, assurer := c.person(t, "petra", account.Trainee), c.person(t, "lew", account.Technician), c.person(t, "iris", account.QualityAssurer)
	far, err := c.db.CreateCentre(ctx, "FAR", "Far Yard", c.now)
	must(t, err)
	inv, err := c.InviteManager(ctx, far.ID, app.NewPerson{Name: "Far Away", SignInName: "far"})
	must(t, err)
	stranger, err := c.AcceptInvitation(ctx, inv.Token, password)
	must(t, err)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	for _, who := range []account.Caller{tech, c.other, peer, assurer, c.manager, c.second, c.trainee} {
		must(t, c.SafetyStop(ctx, who, id, ""))
		s, err := c.Sheet(ctx, c.tutor, id)
		must(t, err)
		if stops := decision.Stops(s.Records); s.State != decision.SafetyStopped || len(stops) != 1 || stops[0].ByName != who.Name || stops[0].Role != string(who.Roles[0]) {
			t.Errorf("stopped by %s, it is %s by %+v", who.Name, s.State, stops)
		}
		wantKind(t, who.Name+" stopping again without a word", c.SafetyStop(ctx, who, id, ""), fault.KindConflict)
		must(t, c.ClearStop(ctx, c.tutor, id, "Dried."))
	}
	wantKind(t, "another centre's manager", c.SafetyStop(ctx, stranger, id, "Water."), fault.KindNotFound)
	wantKind(t, "a verifier", c.SafetyStop(ctx, c.person(t, "vera", account.ExternalVerifier), id, "Water."), fault.KindForbidden)
	for _, who := range []account.Caller{tech, c.other, peer} {
		_, err := c.Sheet(ctx, who, id)
		wantKind(t, who.Name+" reading it", err, fault.KindNotFound)
	}
	must(t, c.RecordEntries(ctx, c.trainee, id, c.model(t, id)))
	c.photos(t, id)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	for _, who := range []account.Caller{tech, c.other, peer} {
		if err := c.SafetyStop(ctx, who, id, "Water."); fault.KindOf(err) != fault.KindConflict || err.Error() != "No work is under way there, so there is nothing to stop." {
			t.Errorf("%s is told of what was handed over: %v", who.Name, err)
		}
	}
}

// Who is at work is listed for whoever has to stop it: for trainees their own cohorts alone.
func TestWhoIsAtWork(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	tech, stray := c.person(t, "lew", account.Technician), c.person(t, "sam", account.Trainee)
	list := func(who account.Caller, find string) []app.AtWork {
		t.Helper()
		rows, all, err := c.AtWork(ctx, who, find)
		must(t, err)
		if all != len(rows) {
			t.Errorf("%s has %d rows of %d", who.Name, len(rows), all)
		}
		return rows
	}
	if rows := list(tech, ""); len(rows) != 0 {
		t.Errorf("before anybody began: %+v", rows)
	}
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	c.now = c.now.Add(time.Hour)
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}}))
	for _, who := range []account.Caller{tech, c.other, c.manager, c.trainee} {
		rows := list(who, "TOM  monday")
		if len(rows) != 1 || rows[0].Attempt != id || rows[0].TraineeName != c.trainee.Name || rows[0].CohortName != "Monday evening" || rows[0].Title == "" || !rows[0].LastAt.Equal(c.now) {
			t.Errorf("%s sees %+v", who.Name, rows)
		}
	}
	if rows := list(stray, ""); len(rows) != 0 {
		t.Errorf("a trainee of another cohort sees %+v", rows)
	}
	if rows := list(tech, "olga"); len(rows) != 0 {
		t.Errorf("of another name there are %+v", rows)
	}
	must(t, c.AddMember(ctx, c.manager, c.cohort, stray.Person, store.PartTrainee))
	must(t, c.SafetyStop(ctx, stray, id, ""))
	if rows := list(stray, ""); len(rows) != 1 || rows[0].State != decision.SafetyStopped {
		t.Errorf("stopped, a trainee beside them sees %+v", rows)
	}
	_, _, err := c.AtWork(ctx, c.person(t, "vera", account.ExternalVerifier), "")
	wantKind(t, "a verifier", err, fault.KindForbidden)
}
