package app_test

import (
	"bytes"
	"database/sql"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
)

func TestOnlyThePeopleNamedSeeAnInquiry(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "iris", account.QualityAssurer)
	attempt := c.set(t)
	_, err := c.OpenInquiry(ctx, c.tutor, c.trainee.Person, "Two sheets alike.")
	wantKind(t, "a tutor opening one", err, fault.KindForbidden)
	_, err = c.OpenInquiry(ctx, c.manager, c.trainee.Person, " ")
	wantKind(t, "without words", err, fault.KindInvalid)
	_, err = c.OpenInquiry(ctx, c.manager, c.manager.Person, "Myself.")
	wantKind(t, "on oneself", err, fault.KindForbidden)
	_, err = c.OpenInquiry(ctx, c.manager, uuid.New(), "Nobody.")
	wantKind(t, "on nobody", err, fault.KindNotFound)
	id, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
	must(t, err)

	for name, who := range map[string]account.Caller{"an assurer": assurer, "the tutor": c.tutor} {
		_, err := c.Inquiry(ctx, who, id)
		wantKind(t, name+" who is not named", err, fault.KindNotFound)
		wantKind(t, name+" noting", c.NoteInquiry(ctx, who, id, "Seen."), fault.KindNotFound)
		wantKind(t, name+" freezing", c.Suspend(ctx, who, id, attempt), fault.KindNotFound)
		wantKind(t, name+" closing", c.CloseInquiry(ctx, who, id, store.NothingFound, "Nothing."), fault.KindNotFound)
		if list, err := c.Inquiries(ctx, who, 1); err != nil || len(list) != 0 {
			t.Errorf("%s sees %d inquiries (%v)", name, len(list), err)
		}
	}
	wantKind(t, "naming whom it concerns", c.NameInInquiry(ctx, c.manager, id, c.trainee.Person), fault.KindInvalid)
	must(t, c.NameInInquiry(ctx, c.manager, id, c.tutor.Person))
	wantKind(t, "naming them twice", c.NameInInquiry(ctx, c.manager, id, c.tutor.Person), fault.KindConflict)
	must(t, c.NoteInquiry(ctx, c.tutor, id, "They worked side by side that evening."))
	wantKind(t, "a tutor who is named, freezing", c.Suspend(ctx, c.tutor, id, attempt), fault.KindForbidden)
	f, err := c.Inquiry(ctx, c.tutor, id)
	must(t, err)
	if len(f.Notes) != 1 || len(f.Named) != 2 || f.MayAct || len(f.People) > 0 {
		t.Errorf("the tutor sees %+v", f)
	}
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	_, err = db.ExecContext(ctx, `INSERT INTO inquiry_person (centre_id, inquiry_id, person_id, concerns, named_by, named_at) VALUES ($1, $2, $3, $3, $4, now())`,
		c.id, id, c.trainee.Person, c.manager.Person)
	if err == nil || !strings.Contains(err.Error(), "inquiry_person_apart") {
		t.Errorf("the database names whom it concerns: %v", err)
	}
	must(t, c.CloseInquiry(ctx, c.manager, id, store.NothingFound, "They had shared a rig, and said so."))
	wantKind(t, "noting after it was closed", c.NoteInquiry(ctx, c.tutor, id, "Late."), fault.KindConflict)
}

func TestASuspendedAttemptIsFrozen(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.set(t)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	file, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
	must(t, err)
	wantKind(t, "freezing what is not theirs", c.Suspend(ctx, c.manager, file, uuid.New()), fault.KindNotFound)
	must(t, c.Suspend(ctx, c.manager, file, id))
	wantKind(t, "freezing it twice", c.Suspend(ctx, c.manager, file, id), fault.KindConflict)
	wantKind(t, "handing over", c.HandOver(ctx, c.trainee, id, nil, true), fault.KindConflict)
	wantKind(t, "releasing", c.ReleaseHold(ctx, c.tutor, id, "wire", "Seen."), fault.KindConflict)
	wantKind(t, "observing", c.Observe(ctx, c.tutor, id, decision.Observation{Subject: "wire", Outcome: decision.Seen}), fault.KindConflict)
	wantKind(t, "stopping it for safety", c.SafetyStop(ctx, c.tutor, id, "Water."), fault.KindConflict)
	wantKind(t, "closing the inquiry with it frozen", c.CloseInquiry(ctx, c.manager, file, store.NothingFound, "Nothing."), fault.KindConflict)

	// What a phone still sends is kept, and held back.
	c.now = c.now.Add(60e9)
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "why", Text: "It was cold."}, CapturedAt: c.now}}))
	_, err = c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}, bytes.NewReader(picture(t, 1)))
	must(t, err)
	s := c.seenBy(t, c.tutor, id)
	if len(s.Held) != 2 || s.State != decision.Suspended {
		t.Fatalf("%d things held of an attempt that is %s", len(s.Held), s.State)
	}

	// Nor does the database write to it.
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	_, err = db.ExecContext(ctx, `INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		VALUES ($1, gen_random_uuid(), $2, 'observation', 'wire', 'seen', '', '', '', '{}', $3, '', '', now(), '')`, c.id, id, c.tutor.Person)
	if err == nil || !strings.Contains(err.Error(), "is suspended") {
		t.Errorf("the database writes a record to a frozen attempt: %v", err)
	}
	_, err = db.ExecContext(ctx, `UPDATE attempt SET due_on = now() WHERE attempt_id = $1`, id)
	if err == nil || !strings.Contains(err.Error(), "is suspended") {
		t.Errorf("the database changes a frozen attempt: %v", err)
	}

	c.now = c.now.Add(60e9)
	must(t, c.LiftSuspension(ctx, c.manager, file, id, "They had said so."))
	s = c.seenBy(t, c.tutor, id)
	if s.State != decision.Open || len(s.Held) != 2 {
		t.Fatalf("lifted, it is %s with %d things held", s.State, len(s.Held))
	}
	must(t, c.TakeIn(ctx, c.tutor, id, s.Held[0].ID, "It is theirs."))
	if s = c.seenBy(t, c.tutor, id); len(s.Held) != 1 {
		t.Errorf("%d things held after one was taken in", len(s.Held))
	}
	wantKind(t, "lifting it twice", c.LiftSuspension(ctx, c.manager, file, id, ""), fault.KindNotFound)
	must(t, c.CloseInquiry(ctx, c.manager, file, store.MinorFound, "They shared a rig, and say so from now on."))
}

func TestSuspensionKeepsWhereItWas(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.signedOff(t)
	file, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
	must(t, err)
	must(t, c.Suspend(ctx, c.manager, file, id))
	for who, sees := range map[string]account.Caller{"the trainee": c.trainee, "the tutor": c.tutor} {
		r := decision.Latest(c.seenBy(t, sees, id).Records, decision.KindSuspend, "")
		if r == nil || strings.Contains(strings.ToLower(r.Words), "inquir") {
			t.Errorf("%s reads of the suspension: %+v", who, r)
		}
	}
	must(t, c.MarkAttempt(ctx, c.id, id)) // a job that comes late does nothing
	must(t, c.LiftSuspension(ctx, c.manager, file, id, ""))
	if s := c.seenBy(t, c.tutor, id); s.State != decision.SignedOff {
		t.Errorf("lifted, it is %s", s.State)
	}
	must(t, c.CloseInquiry(ctx, c.manager, file, store.NothingFound, "They had said so."))
	wantKind(t, "freezing for an inquiry that is closed", c.Suspend(ctx, c.manager, file, id), fault.KindConflict)
	if s := c.seenBy(t, c.tutor, id); s.State != decision.SignedOff {
		t.Errorf("refused, it is %s", s.State)
	}
}

// What was claimed, or archived since, can be frozen too, and goes back to where it was.
func TestClaimedWorkIsFrozenToo(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.signedOff(t)
	file, err := c.OpenInquiry(ctx, c.manager, c.trainee.Person, "Two sheets alike.")
	must(t, err)
	for _, state := range []decision.State{decision.Claimed, decision.Archived} {
		must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
			at, err := tx.LockAttempt(ctx, id)
			if err != nil {
				return err
			}
			at.State = state
			_, err = tx.SaveAttempt(ctx, at)
			return err
		}))
		f, err := c.Inquiry(ctx, c.manager, file)
		must(t, err)
		if !slices.ContainsFunc(append(f.Others, f.Attempts...), func(a store.InquiryAttempt) bool { return a.Attempt == id && a.State == state }) {
			t.Errorf("%s, it is not offered: %+v", state, f.Others)
		}
		must(t, c.Suspend(ctx, c.manager, file, id))
		must(t, c.LiftSuspension(ctx, c.manager, file, id, ""))
		if s := c.seenBy(t, c.manager, id); s.State != state {
			t.Errorf("lifted, it is %s, want %s", s.State, state)
		}
	}
}

func TestSettingAside(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.signedOff(t)
	assurer := c.person(t, "iris", account.QualityAssurer)
	rev := func() int { return c.seenBy(t, c.tutor, id).Revision }
	wantKind(t, "the tutor", c.SetAside(ctx, c.tutor, id, rev(), "Wrong.", false), fault.KindForbidden)
	wantKind(t, "without words", c.SetAside(ctx, assurer, id, rev(), " ", false), fault.KindInvalid)
	wantKind(t, "a stale page", c.SetAside(ctx, assurer, id, rev()-1, "Before registration.", false), fault.KindConflict)
	wantKind(t, "the trainee", c.SetAside(ctx, c.trainee, id, rev(), "Mine.", false), fault.KindForbidden)
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	_, err = db.ExecContext(ctx, `INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
		VALUES ($1, gen_random_uuid(), $2, 'set_aside', '', '', '', '', '', '{}', $3, '', '', now(), '')`, c.id, id, c.tutor.Person)
	if err == nil || !strings.Contains(err.Error(), "had part in") {
		t.Errorf("the database lets whoever decided it set it aside: %v", err)
	}
	must(t, c.SetAside(ctx, assurer, id, rev(), "It was done before the trainee was registered.", true))
	if s := c.seenBy(t, c.tutor, id); s.State != decision.SetAside {
		t.Errorf("it is %s", s.State)
	}
	n := c.newest(t)
	if n.ID == id || n.Number != 2 || n.State != decision.Planned {
		t.Errorf("in its place: attempt %d, %s", n.Number, n.State)
	}
	for _, k := range n.Criteria {
		if k.Decision != nil {
			t.Errorf("%s is carried over from what was set aside", k.Ref)
		}
	}
	wantKind(t, "twice", c.SetAside(ctx, assurer, id, rev(), "Again.", false), fault.KindConflict)
}
