package app_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// arranged is a visit to unit H2 over a week, with nothing on its list, and what its link opens.
func (c *centre) arranged(t *testing.T) (id uuid.UUID, token string) {
	t.Helper()
	id, inv, err := c.ArrangeVisit(t.Context(), c.manager, app.NewVisit{Name: "Vera Outside", Unit: "H2", Words: "The spring visit.", EndsOn: c.now.AddDate(0, 0, 6)})
	must(t, err)
	return id, inv.Token
}

// visiting is the verifier after the button was pressed.
func (c *centre) visiting(t *testing.T, token string) account.Caller {
	t.Helper()
	who, err := c.OpenVisit(t.Context(), token)
	must(t, err)
	return who
}

func TestAVisitFromLinkToRecord(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	id, token := c.arranged(t)

	// A mail scanner follows the link, as often as it likes.
	for range 3 {
		v, err := c.VisitInvited(ctx, token)
		must(t, err)
		if v.Listed != 0 || v.Reach != 1 || v.Views != 0 || !v.OpenedAt.IsZero() {
			t.Fatalf("looked at through its link: %+v", v)
		}
	}
	vera := c.visiting(t, token)
	if vera.Visit != id || len(vera.Roles) != 1 {
		t.Fatalf("the caller is %+v", vera)
	}

	// Not on the list: as if it were not there. Elsewhere: nothing is there.
	_, err := c.VisitSheet(ctx, vera, attempt)
	wantKind(t, "an attempt that is not on the list", err, fault.KindNotFound)
	_, err = c.Sheet(ctx, vera, attempt)
	wantKind(t, "the same on its usual page", err, fault.KindNotFound)
	_, err = c.People(ctx, vera)
	wantKind(t, "people", err, fault.KindNotFound)

	must(t, c.DrawForVisit(ctx, vera, 1))
	wantKind(t, "a draw of nothing", c.DrawForVisit(ctx, vera, 1), fault.KindConflict)
	s, err := c.VisitSheet(ctx, vera, attempt)
	must(t, err)
	if s.Trainee != "Person tom" || s.Engine == "" || s.BriefDigest == "" || s.PublishedBy != "Person ruben" || len(s.Records) == 0 || s.Judge || len(s.Asks) > 0 {
		t.Errorf("the one page: %s, engine %q, brief %q published by %q, %d records, judges %v, asks %d", s.Trainee, s.Engine, s.BriefDigest, s.PublishedBy, len(s.Records), s.Judge, len(s.Asks))
	}
	for _, cr := range s.Criteria {
		if cr.Decision == nil || cr.Decision.ByName == "" || cr.Decision.At.IsZero() {
			t.Errorf("%s: no decision with who and when", cr.Ref)
		}
	}
	file := s.Stages[0].Items[0].Files[0].ID
	f, err := c.VisitFile(ctx, vera, file, false)
	must(t, err)
	must(t, f.Content.Close())

	must(t, c.NoteOnVisit(ctx, vera, attempt, store.VisitNotConfirmed, "The second reading is missing."))
	must(t, c.ActOnVisit(ctx, vera, store.Action{Attempt: attempt, Words: "Show it again.", Owner: c.tutor.Person, Due: c.now.AddDate(0, 0, 14)}))
	wantKind(t, "an action for a trainee", c.ActOnVisit(ctx, vera, store.Action{Words: "Do it.", Owner: c.trainee.Person, Due: c.now.AddDate(0, 0, 14)}), fault.KindInvalid)
	wantKind(t, "a note without words", c.NoteOnVisit(ctx, vera, uuid.Nil, store.VisitRemark, " "), fault.KindInvalid)

	r, err := c.VisitReport(ctx, c.manager, id)
	must(t, err)
	var looked []string
	for _, w := range r.Looked {
		looked = append(looked, string(w.What))
	}
	if got := strings.Join(looked, " "); got != "file attempt opened" {
		t.Errorf("looked at, the last first: %q", got)
	}
	if len(r.Notes) != 1 || len(r.Actions) != 1 || len(r.Draws) != 1 || r.Draws[0].Listed != 1 {
		t.Errorf("%d notes, %d actions, draws %+v", len(r.Notes), len(r.Actions), r.Draws)
	}
}

func TestAVisitEnds(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	id, token := c.arranged(t)
	vera := c.visiting(t, token)
	must(t, c.ChooseForVisit(ctx, vera, []uuid.UUID{attempt}))

	// Another link takes the first one's place.
	inv, err := c.RelinkVisit(ctx, c.manager, id)
	must(t, err)
	_, err = c.OpenVisit(ctx, token)
	wantKind(t, "the link before", err, fault.KindNotFound)
	vera = c.visiting(t, inv.Token)

	// A second before the last day's midnight in London it is open, at it no more.
	start := c.now
	c.now = time.Date(2026, 5, 10, 22, 59, 59, 0, time.UTC) // summer time
	_, err = c.VisitSheet(ctx, vera, attempt)
	must(t, err)
	c.now = c.now.Add(time.Second)
	_, err = c.VisitSheet(ctx, vera, attempt)
	wantKind(t, "after its time", err, fault.KindForbidden)
	if err != nil && !strings.Contains(err.Error(), "10 May 2026") {
		t.Errorf("it says %q, want the day", err)
	}
	_, err = c.OpenVisit(ctx, inv.Token)
	wantKind(t, "the link after its time", err, fault.KindForbidden)
	c.now = start

	must(t, c.EndVisit(ctx, c.manager, id))
	_, err = c.MyVisit(ctx, vera, 0)
	wantKind(t, "after the centre ended it", err, fault.KindForbidden)
	wantKind(t, "a note then", c.NoteOnVisit(ctx, vera, attempt, store.VisitConfirmed, ""), fault.KindForbidden)
	wantKind(t, "ended twice", c.EndVisit(ctx, c.manager, id), fault.KindConflict)
}

// Every byte of a link counts, and a link for something else opens no visit.
func TestAVisitsLinkIsExact(t *testing.T) {
	c := newCentre(t)
	c.sentBack(t, "H2/1.2")
	_, token := c.arranged(t)
	for i := range token {
		b := []byte(token)
		b[i] ^= 1
		_, err := c.OpenVisit(t.Context(), string(b))
		wantKind(t, fmt.Sprintf("byte %d flipped", i), err, fault.KindNotFound)
	}
	inv, err := c.InviteAgain(t.Context(), c.manager, c.tutor.Person)
	must(t, err)
	_, err = c.OpenVisit(t.Context(), inv.Token)
	wantKind(t, "an invitation", err, fault.KindNotFound)
	_, err = c.Invited(t.Context(), token)
	wantKind(t, "a visit's link as an invitation", err, fault.KindNotFound)
}

// A portfolio of somebody who is not on the list is not there.
func TestAVisitReadsItsOwnPortfolios(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	pid, err := c.RequestPortfolio(ctx, c.manager, c.trainee.Person, "H2")
	must(t, err)
	must(t, c.BuildPortfolio(ctx, c.id, pid))
	_, token := c.arranged(t)
	vera := c.visiting(t, token)
	_, err = c.VisitPortfolio(ctx, vera, pid)
	wantKind(t, "before its trainee is on the list", err, fault.KindNotFound)
	must(t, c.ChooseForVisit(ctx, vera, []uuid.UUID{attempt}))
	p, err := c.VisitPortfolio(ctx, vera, pid)
	must(t, err)
	must(t, p.Content.Close())
	_, err = c.OpenPortfolio(ctx, vera, pid)
	wantKind(t, "by its usual address", err, fault.KindNotFound)
	wantKind(t, "an attempt out of reach", c.ChooseForVisit(ctx, vera, []uuid.UUID{newID(t)}), fault.KindNotFound)
}

// The database holds the line where the program does not ask: see the migration's triggers.
func TestTheDatabaseKeepsVerifiersOutside(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	_, _, err := c.ArrangeVisit(ctx, c.manager, app.NewVisit{Verifier: c.second.Person, Unit: "H2", Words: "A friendly look.", EndsOn: c.now})
	wantKind(t, "a tutor as the verifier", err, fault.KindForbidden)
	id, token := c.arranged(t)
	vera := c.visiting(t, token)
	db, err := pgx.Connect(ctx, c.super)
	must(t, err)
	defer db.Close(ctx)
	for _, x := range []struct {
		name, sql string
		args      []any
	}{
		{"a decision by the verifier", `INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
			VALUES ($1, $2, $3, 'criterion_decision', 'H2/1.1', 'met', '', '', '', '{}', $4, 'Vera', 'tutor', now(), '')`, []any{c.id, newID(t), attempt, vera.Person}},
		{"a note by somebody else", `INSERT INTO visit_note (centre_id, visit_id, note_id, finding, words, by_id, at) VALUES ($1, $2, $3, 'remark', 'Fine.', $4, $5)`,
			[]any{c.id, id, newID(t), c.manager.Person, c.now}},
		{"a note after its time", `INSERT INTO visit_note (centre_id, visit_id, note_id, finding, words, by_id, at) VALUES ($1, $2, $3, 'remark', 'Fine.', $4, $5)`,
			[]any{c.id, id, newID(t), vera.Person, c.now.AddDate(0, 1, 0)}},
		{"a note on what is not on the list", `INSERT INTO visit_note (centre_id, visit_id, note_id, attempt_id, finding, words, by_id, at) VALUES ($1, $2, $3, $4, 'confirmed', '', $5, $6)`,
			[]any{c.id, id, newID(t), attempt, vera.Person, c.now}},
		{"a visit of two months", `INSERT INTO visit (centre_id, visit_id, verifier_id, link_id, unit_code, words, arranged_by, arranged_at, ends_at)
			SELECT centre_id, $2, verifier_id, link_id, unit_code, words, arranged_by, arranged_at, arranged_at + interval '61 days' FROM visit WHERE visit_id = $1`, []any{id, newID(t)}},
		{"a view taken back", `DELETE FROM visit_view WHERE visit_id = $1`, []any{id}},
	} {
		if _, err := db.Exec(ctx, x.sql, x.args...); err == nil {
			t.Errorf("%s went in", x.name)
		}
	}
}

// What can still be chosen names trainees too, so that to look at it is kept as every look is.
func TestLookingForMoreIsKept(t *testing.T) {
	c := newCentre(t)
	c.sentBack(t, "H2/1.2")
	id, token := c.arranged(t)
	vera := c.visiting(t, token)
	before, err := c.VisitReport(t.Context(), c.manager, id)
	must(t, err)
	r, err := c.VisitReach(t.Context(), vera, 0)
	must(t, err)
	after, err := c.VisitReport(t.Context(), c.manager, id)
	must(t, err)
	if len(r.Attempts) == 0 || len(after.Looked) != len(before.Looked)+1 {
		t.Errorf("%d looks before, %d after %d attempts were shown", len(before.Looked), len(after.Looked), len(r.Attempts))
	}
}

// Of more notes than a page shows the newest are there, in the order in which they were made.
func TestTheNewestNotesOfAVisit(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	c.sentBack(t, "H2/1.2")
	id, token := c.arranged(t)
	vera := c.visiting(t, token)
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		for i := range store.VisitsMost + 1 {
			n := store.VisitNote{ID: newID(t), Finding: store.VisitRemark, Words: fmt.Sprint(i), By: vera.Person, At: c.now.Add(time.Duration(i) * time.Second)}
			if err := tx.AddVisitNote(ctx, id, n); err != nil {
				return err
			}
		}
		return nil
	}))
	notes, err := c.db.VisitNotes(ctx, c.id, id)
	must(t, err)
	if len(notes) != store.VisitsMost || notes[0].Words != "1" || notes[len(notes)-1].Words != fmt.Sprint(store.VisitsMost) {
		t.Errorf("%d notes, from %q to %q", len(notes), notes[0].Words, notes[len(notes)-1].Words)
	}
}
