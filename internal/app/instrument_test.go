package app_test

import (
	"bytes"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// ohmmeter is the kind that the sample brief names for its continuity reading.
const ohmmeter = "low-resistance ohmmeter"

// inHand takes an ohmmeter in hand.
func (c *centre) inHand(t *testing.T, id uuid.UUID, serial string, due brief.Day) uuid.UUID {
	t.Helper()
	in := decision.Instrument{ID: newID(t), Kind: ohmmeter, Serial: serial, Due: due}
	must(t, c.ChooseInstrument(t.Context(), c.trainee, id, app.NewInstrument{Instrument: in, ChosenAt: c.now}))
	return in.ID
}

// readWith records the continuity reading.
func (c *centre) readWith(t *testing.T, id, instrument uuid.UUID, at time.Time) {
	t.Helper()
	must(t, c.RecordEntries(t.Context(), c.trainee, id, []app.NewEntry{
		{ID: newID(t), Entry: marking.Entry{Item: "continuity", Text: "0.12"}, Instrument: instrument, CapturedAt: at},
	}))
}

// itemOf finds an item on a sheet as somebody sees it.
func (c *centre) itemOf(t *testing.T, id uuid.UUID, key string) app.SheetItem {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == key {
				return it
			}
		}
	}
	t.Fatalf("no item %s on the sheet", key)
	return app.SheetItem{}
}

// ohmmeters are the ohmmeters of an attempt, the one in hand with those before it.
func (c *centre) ohmmeters(t *testing.T, id uuid.UUID) app.SheetInstrument {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	for _, st := range s.Stages {
		for _, in := range st.Instruments {
			if in.Kind == ohmmeter {
				return in
			}
		}
	}
	t.Fatal("no stage needs an ohmmeter")
	return app.SheetInstrument{}
}

func TestInstrumentInHand(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	first := c.inHand(t, id, "OM-1", "2026-05-04") // today
	c.readWith(t, id, first, c.now)
	with := c.itemOf(t, id, "continuity").Lines[0].Entry.With
	if with.ID != first || with.Serial != "OM-1" || with.Kind != ohmmeter || with.OutOfDate {
		t.Errorf("read with %+v, want OM-1, in date on its last day", with)
	}
	c.now = c.now.AddDate(0, 0, 1)
	if c.itemOf(t, id, "continuity").Lines[0].Entry.With.OutOfDate {
		t.Error("a reading of yesterday was taken out of date by the calendar: the day of the reading counts")
	}
	c.readWith(t, id, first, c.now)
	if !c.itemOf(t, id, "continuity").Lines[0].Entry.With.OutOfDate {
		t.Error("a reading on the day after its calibration ran out is not flagged")
	}
	second := c.inHand(t, id, "OM-2", "")
	if in := c.ohmmeters(t, id); in.ID != second || len(in.Before) != 1 || in.Before[0].ID != first {
		t.Errorf("in hand is %+v, want the second after the first", in)
	}
	if got := c.itemOf(t, id, "continuity").Lines[0]; got.Entry.With.ID != first || len(got.Earlier) != 1 {
		t.Errorf("what was read with the first is now read with %+v", got.Entry.With)
	}
}

func TestInstrumentsThatAreNotTaken(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	good := func() decision.Instrument {
		return decision.Instrument{ID: newID(t), Kind: ohmmeter, Serial: "OM-1", Due: "2027-01-31"}
	}
	wantKind(t, "before the work has begun", c.ChooseInstrument(ctx, c.trainee, id, app.NewInstrument{Instrument: good()}), fault.KindConflict)
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	for name, change := range map[string]func(*decision.Instrument){
		"a kind that the brief does not name": func(i *decision.Instrument) { i.Kind = "theodolite" },
		"no id":                               func(i *decision.Instrument) { i.ID = uuid.Nil },
		"no serial":                           func(i *decision.Instrument) { i.Serial = "  " },
		"a serial with a NUL":                 func(i *decision.Instrument) { i.Serial = "a\x00b" },
		"no date":                             func(i *decision.Instrument) { i.Due = "31 January" },
	} {
		in := good()
		change(&in)
		wantKind(t, name, c.ChooseInstrument(ctx, c.trainee, id, app.NewInstrument{Instrument: in}), fault.KindInvalid)
	}
	wantKind(t, "by a tutor", c.ChooseInstrument(ctx, c.tutor, id, app.NewInstrument{Instrument: good()}), fault.KindForbidden)
	wantKind(t, "by somebody who does not see it", c.ChooseInstrument(ctx, c.other, id, app.NewInstrument{Instrument: good()}), fault.KindNotFound)
	in := good()
	for range 2 { // a queue sends again what it heard nothing of
		must(t, c.ChooseInstrument(ctx, c.trainee, id, app.NewInstrument{Instrument: in}))
	}
	in.Serial = "OM-2"
	wantKind(t, "another one under the same id", c.ChooseInstrument(ctx, c.trainee, id, app.NewInstrument{Instrument: in}), fault.KindConflict)
}

func TestInstrumentOfALateSignal(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	c.inHand(t, id, "OM-1", "")
	if in := c.ohmmeters(t, id); in.Serial != "OM-1" {
		t.Errorf("what came after handing over is %+v, want OM-1", in)
	}
}

func TestPhotosThatStandForNoItem(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	in := c.inHand(t, id, "OM-1", "")
	add := func(item string) error {
		_, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: item, Name: "p.jpg"}, bytes.NewReader(picture(t, 7)))
		return err
	}
	must(t, add(decision.LabelItem(in)))
	must(t, add("continuity")) // of the paper sheet that it was first written on
	for _, item := range []string{"instrument/none", "instrument/", "nowhere", "helped/wire"} {
		wantKind(t, "a file for "+item, add(item), fault.KindInvalid)
	}
	it := c.itemOf(t, id, "continuity")
	if len(it.Files) != 1 || it.Done {
		t.Errorf("with a photo of its sheet alone the reading is done: %v, with %d files", it.Done, len(it.Files))
	}
	s, err := c.Sheet(ctx, c.trainee, id)
	must(t, err)
	if labels := c.ohmmeters(t, id).Labels; len(labels) != 1 {
		t.Errorf("%d photos of the label, want 1", len(labels))
	}
	missing := false
	for _, m := range s.Missing {
		missing = missing || m.Item == "continuity"
	}
	if !missing {
		t.Error("a photo of the sheet was taken for the reading")
	}
}

// A photo of a paper sheet that was captured before the release says nothing about when the reading was taken.
func TestPaperDoesNotBlock(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	_, err := c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "tf", Name: "p.jpg"}, bytes.NewReader(picture(t, 7)))
	must(t, err)
	c.typed(t, id, c.model(t, id))
	c.photos(t, id)
	must(t, c.HandOver(ctx, c.trainee, id, nil, true))
	for _, cr := range c.mark(t, id).Criteria {
		if len(cr.Blocked) > 0 {
			t.Errorf("criterion %s is blocked: %q", cr.Ref, cr.Blocked)
		}
	}
}

func TestWhoHelped(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	say := func(e marking.Entry) error {
		return c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: e}})
	}
	must(t, say(marking.Entry{Item: "helped/wire", Text: "Jo held the lamp."}))
	must(t, say(marking.Entry{Item: "helped/wire", Text: "Jo held the lamp and the ladder."}))
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if h := s.Stages[1].Helped; h.Entry == nil || h.Entry.Text != "Jo held the lamp and the ladder." || len(h.Earlier) != 1 {
		t.Errorf("who helped is %+v, want the second sentence over the first", h)
	}
	for name, e := range map[string]marking.Entry{
		"a stage that the brief does not have": {Item: "helped/roof", Text: "Jo"},
		"a part":                               {Item: "helped/wire", Part: "1", Text: "Jo"},
		"a unit":                               {Item: "helped/wire", Text: "Jo", Unit: "W"},
		"working":                              {Item: "helped/wire", Text: "Jo", Working: "1 + 1"},
	} {
		wantKind(t, name, say(e), fault.KindInvalid)
	}
}
