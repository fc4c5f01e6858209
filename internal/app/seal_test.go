package app_test

import (
	"bytes"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// line finds an item's first line.
func line(t *testing.T, s app.Sheet, item string) app.SheetLine {
	t.Helper()
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == item && len(it.Lines) > 0 {
				return it.Lines[0]
			}
		}
	}
	t.Fatalf("the sheet has no line of %q", item)
	return app.SheetLine{}
}

// phone is a trainee's phone without signal: what it captured, with its ids and bytes.
type phone struct {
	*centre
	attempt uuid.UUID
	entries []app.NewEntry
	files   []app.NewFile
	bytes   [][]byte
	slow    time.Duration // by how much its clock is behind
}

// captured is a phone with the model answer and two photos on it, nothing of it sent. Holds are released.
func captured(t *testing.T, c *centre, id uuid.UUID) *phone {
	t.Helper()
	p := &phone{centre: c, attempt: id, entries: c.model(t, id)}
	for i := range 2 {
		b := picture(t, i)
		sum := sha256.Sum256(b)
		p.files = append(p.files, app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg", Digest: hex.EncodeToString(sum[:])})
		p.bytes = append(p.bytes, b)
	}
	return p
}

// says is what it says of its clock as it sends something.
func (p *phone) says() app.PhoneClock {
	ms := p.slow.Milliseconds()
	return app.PhoneClock{SentAt: p.now.Add(-p.slow), Believed: &ms}
}

// seal lists everything on it.
func (p *phone) seal(t *testing.T) *app.NewSeal {
	t.Helper()
	s := &app.NewSeal{ID: newID(t), At: p.now.Add(-p.slow), PhoneClock: p.says()}
	for _, e := range p.entries {
		s.Items = append(s.Items, decision.Listed{ID: e.ID, Kind: decision.SealEntry, Digest: decision.EntryDigest(e.Entry)})
	}
	for _, f := range p.files {
		s.Items = append(s.Items, decision.Listed{ID: f.ID, Kind: decision.SealFile, Digest: f.Digest})
	}
	return s
}

func (p *phone) send(t *testing.T, i int) error {
	t.Helper()
	_, err := p.AddFile(t.Context(), p.trainee, p.attempt, p.files[i], bytes.NewReader(p.bytes[i]))
	return err
}

// marks counts how often the marker was asked for.
func (c *centre) marks(t *testing.T) int {
	t.Helper()
	db, err := sql.Open("pgx", c.super)
	must(t, err)
	defer db.Close()
	var n int
	must(t, db.QueryRowContext(t.Context(), `SELECT count(*) FROM river.river_job WHERE kind = 'mark'`).Scan(&n))
	return n
}

func TestSealedOffLine(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	p := captured(t, c, id)
	seal := p.seal(t)
	c.now = c.now.Add(26 * time.Hour) // late signal is not late work
	for range 2 {                     // the answer got lost
		h, err := c.HandOverSealed(ctx, c.trainee, id, p.entries[:3], true, seal)
		must(t, err)
		if h.State != decision.HandedOver || h.Awaited != len(seal.Items)-3 {
			t.Errorf("handed over with %+v, want %d awaited", h, len(seal.Items)-3)
		}
	}
	other := *seal
	other.ID = newID(t)
	_, err := c.HandOverSealed(ctx, c.trainee, id, nil, true, &other)
	wantKind(t, "another list", err, fault.KindConflict)

	c.now = c.now.Add(time.Minute)
	changed := p.entries[4]
	changed.Text += "1"
	wantKind(t, "other contents under a listed id", c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{changed}), fault.KindConflict)
	f := p.files[0]
	f.Digest = ""
	_, err = c.AddFile(ctx, c.trainee, id, f, bytes.NewReader(p.bytes[1]))
	wantKind(t, "other bytes under a listed id", err, fault.KindConflict)

	must(t, c.RecordEntries(ctx, c.trainee, id, p.entries[3:]))
	must(t, p.send(t, 0))
	stray := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "99"}}
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{stray}))
	must(t, c.MarkAttempt(ctx, c.id, id))
	if s, err := c.Sheet(ctx, c.tutor, id); err != nil || s.State != decision.HandedOver || s.Seal.Awaited != 1 || s.Seal.Listed != len(seal.Items) || c.marks(t) != 0 {
		t.Fatalf("with one photo to come the sheet is %s, %+v, with %d jobs (%v); want it to wait", s.State, s.Seal, c.marks(t), err)
	}
	must(t, p.send(t, 1))
	if n := c.marks(t); n != 1 {
		t.Errorf("the last thing asked for %d markings, want 1", n)
	}
	s := c.mark(t, id)
	if s.State != decision.Checked || s.Seal.Awaited != 0 {
		t.Errorf("with everything here the sheet is %s, %+v", s.State, s.Seal)
	}
	if got := line(t, s, "dt"); got.Entry.Text == "99" || !got.Entry.Sealed || len(s.Held) != 1 || s.Held[0].Text != "99" || s.Held[0].Line != "dt" {
		t.Errorf("the line says %+v, held is %+v; want what was sealed, and the other held", got.Entry, s.Held)
	}
	c.takeIn(t, id, stray.ID)
}

// takeIn takes what is held into the set.
func (c *centre) takeIn(t *testing.T, id, thing uuid.UUID) {
	t.Helper()
	ctx := t.Context()
	wantKind(t, "taking in as the trainee", c.TakeIn(ctx, c.trainee, id, thing, "Mine."), fault.KindForbidden)
	wantKind(t, "taking in without a reason", c.TakeIn(ctx, c.tutor, id, thing, "  "), fault.KindInvalid)
	wantKind(t, "taking in what is not held", c.TakeIn(ctx, c.tutor, id, newID(t), "Why not."), fault.KindNotFound)
	before := c.marks(t)
	must(t, c.TakeIn(ctx, c.tutor, id, thing, "The phone was changed half-way."))
	wantKind(t, "taking in twice", c.TakeIn(ctx, c.tutor, id, thing, "Again."), fault.KindNotFound)
	if n := c.marks(t); n != before+1 {
		t.Errorf("taking in asked for %d markings, want 1", n-before)
	}
	s := c.mark(t, id)
	if got := line(t, s, "dt"); got.Entry.Text != "99" || got.Entry.Sealed || len(s.Held) != 0 {
		t.Errorf("taken in, the line says %+v and %+v is held", got.Entry, s.Held)
	}
}

func TestGoingOnWithout(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	p := captured(t, c, id)
	_, err := c.HandOverSealed(ctx, c.trainee, id, p.entries, true, p.seal(t))
	must(t, err)
	wantKind(t, "going on without as the trainee", c.GoOnWithout(ctx, c.trainee, id, "x"), fault.KindForbidden)
	wantKind(t, "going on without a reason", c.GoOnWithout(ctx, c.tutor, id, ""), fault.KindInvalid)
	must(t, c.GoOnWithout(ctx, c.tutor, id, "The phone fell into the header tank."))
	wantKind(t, "going on twice", c.GoOnWithout(ctx, c.tutor, id, "x"), fault.KindConflict)
	s := c.mark(t, id)
	if s.State != decision.Checked || s.Seal.Awaited != 2 || s.Seal.Without == nil || s.Seal.Without.Value != "2" {
		t.Errorf("gone on without, the sheet is %s, %+v", s.State, s.Seal)
	}
	if n := c.marks(t); n != 1 {
		t.Errorf("%d markings were asked for, want 1", n)
	}
	c.now = c.now.Add(time.Hour)
	must(t, p.send(t, 0)) // it was mended
	if s = c.mark(t, id); len(s.Held) != 0 || len(s.Stages[0].Items[0].Files) != 1 || s.Seal.Awaited != 1 || c.marks(t) != 2 {
		t.Errorf("what came late is not in the set: %+v, %+v held", s.Seal, s.Held)
	}
	for _, k := range s.Criteria {
		s = c.decide(t, id, k.Ref, decision.NotYetMet)
	}
	must(t, c.AskForMore(ctx, c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
	c.now = c.now.Add(time.Hour)
	must(t, p.send(t, 1))
	if s, err = c.Sheet(ctx, c.tutor, id); err != nil || len(s.Held) != 1 || s.Held[0].File == nil || len(s.Stages[0].Items[0].Files) != 1 {
		t.Errorf("what came after the decision is %+v (%v), want it held", s.Held, err)
	}
	wantKind(t, "taking in after the decision", c.TakeIn(ctx, c.tutor, id, p.files[1].ID, "x"), fault.KindConflict)
}

// What had been received before the list was made belongs to the set, although another device sent it.
func TestListOfAnotherDevice(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	p := captured(t, c, id)
	must(t, c.RecordEntries(ctx, c.trainee, id, p.entries[:1]))
	c.now = c.now.Add(time.Hour)
	p.slow = 25 * time.Hour // a day wrong, and known
	all := p.entries
	p.entries = all[1:]
	seal := p.seal(t)
	c.now = c.now.Add(time.Hour)
	late := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "99"}}
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{late})) // after the list was made, before it came
	seal.PhoneClock = p.says()
	_, err := c.HandOverSealed(ctx, c.trainee, id, all[1:], true, seal)
	must(t, err)
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if len(s.Held) != 1 || s.Held[0].ID != late.ID {
		t.Errorf("held is %+v, want what came after the list was made and nothing else", s.Held)
	}
	if l := line(t, s, all[0].Item); l.Entry == nil || l.Entry.Sealed {
		t.Errorf("what came before from elsewhere stands as %+v, want it in the set and not on the list", l.Entry)
	}
}

func TestListsThatAreRefused(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	p := captured(t, c, id)
	must(t, c.RecordEntries(ctx, c.trainee, id, p.entries))
	for name, change := range map[string]func(*app.NewSeal){
		"without an id":   func(s *app.NewSeal) { s.ID = uuid.Nil },
		"without a time":  func(s *app.NewSeal) { s.At = time.Time{} },
		"one thing twice": func(s *app.NewSeal) { s.Items = append(s.Items, s.Items[0]) },
		"another kind":    func(s *app.NewSeal) { s.Items[0].Kind = "tape" },
		"no digest":       func(s *app.NewSeal) { s.Items[0].Digest = "ab" },
		"capital digest":  func(s *app.NewSeal) { s.Items[0].Digest = strings.ToUpper(s.Items[0].Digest) },
	} {
		s := p.seal(t)
		change(s)
		_, err := c.HandOverSealed(ctx, c.trainee, id, nil, true, s)
		wantKind(t, name, err, fault.KindInvalid)
	}
	s := p.seal(t)
	s.Items[0].Digest = s.Items[1].Digest
	_, err := c.HandOverSealed(ctx, c.trainee, id, nil, true, s)
	wantKind(t, "a list that names other contents for what is here", err, fault.KindConflict)
	s = p.seal(t)
	s.Items = s.Items[:len(p.entries)] // without the photos
	_, err = c.HandOverSealed(ctx, c.trainee, id, nil, true, s)
	wantKind(t, "everything here and photos missing", err, fault.KindInvalid)
	_, err = c.HandOverSealed(ctx, c.trainee, id, nil, false, p.seal(t))
	wantKind(t, "not one's own work", err, fault.KindInvalid)
	if s, err := c.Sheet(ctx, c.trainee, id); err != nil || s.State != decision.Open || s.Seal != nil {
		t.Errorf("after refusals the attempt is %s, %+v (%v)", s.State, s.Seal, err)
	}
}
