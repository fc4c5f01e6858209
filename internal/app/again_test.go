package app_test

import (
	"bytes"
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// TestWhatIsSentAgainChangedIsNotAcknowledged sends something else under an id that is taken, as a form does that a
// browser's way back has brought up again with its old ids: either it is kept, or its sender is told that it is not.
func TestWhatIsSentAgainChangedIsNotAcknowledged(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	line := app.NewEntry{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}
	must(t, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{line}))
	changed, noted, moved := line, line, line
	changed.Text, noted.Note, moved.Item = "19.5", "With the second meter.", "share"
	for name, e := range map[string]app.NewEntry{"another text": changed, "another note": noted, "another place": moved} {
		wantKind(t, name, c.RecordEntries(ctx, c.trainee, id, []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "17"}}, e}), fault.KindConflict)
	}
	f := app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}
	first, err := c.AddFile(ctx, c.trainee, id, f, bytes.NewReader(picture(t, 1)))
	must(t, err)
	_, err = c.AddFile(ctx, c.trainee, id, f, bytes.NewReader(picture(t, 2)))
	wantKind(t, "another picture under the same id", err, fault.KindConflict)
	other := f
	other.Item = "sheet"
	_, err = c.AddFile(ctx, c.trainee, id, other, bytes.NewReader(picture(t, 1)))
	wantKind(t, "the same picture for another item", err, fault.KindConflict)
	c.now = c.now.AddDate(0, 0, 1)
	again, err := c.AddFile(ctx, c.trainee, id, f, bytes.NewReader(picture(t, 1)))
	must(t, err)
	if !again.ReceivedAt.Equal(first.ReceivedAt) || again.Digest != first.Digest {
		t.Errorf("sent again it was received at %v, want %v as before", again.ReceivedAt, first.ReceivedAt)
	}
	if s, err := c.Sheet(ctx, c.trainee, id); err != nil || len(s.Stages[0].Items[0].Files) != 1 {
		t.Errorf("the item has %d files (%v), want one", len(s.Stages[0].Items[0].Files), err)
	}
}

// TestWhatWasKeptIsAcknowledgedAfterHandingOver sends again what was kept, when the answer got lost and the attempt was
// handed over meanwhile. What was not kept does not go with the hand-over: it is held for the tutor.
func TestWhatWasKeptIsAcknowledgedAfterHandingOver(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	ctx := t.Context()
	must(t, c.OpenAttempt(ctx, c.trainee, id, true, true))
	entries, f := c.model(t, id), app.NewFile{ID: newID(t), Item: "before"}
	must(t, c.RecordEntries(ctx, c.trainee, id, entries))
	for _, file := range []app.NewFile{f, {ID: newID(t), Item: "before"}} {
		_, err := c.AddFile(ctx, c.trainee, id, file, bytes.NewReader(picture(t, 1)))
		must(t, err)
	}
	last := []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}}
	for range 2 {
		must(t, c.HandOver(ctx, c.trainee, id, last, true))
	}
	must(t, c.RecordEntries(ctx, c.trainee, id, entries))
	_, err := c.AddFile(ctx, c.trainee, id, f, bytes.NewReader(picture(t, 1)))
	must(t, err)
	late := []app.NewEntry{last[0], {ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "19"}}}
	wantKind(t, "handing over again with something new", c.HandOver(ctx, c.trainee, id, late, true), fault.KindConflict)
	must(t, c.RecordEntries(ctx, c.trainee, id, late))
	_, err = c.AddFile(ctx, c.trainee, id, app.NewFile{ID: newID(t), Item: "before"}, bytes.NewReader(picture(t, 1)))
	must(t, err)
	s, err := c.Sheet(ctx, c.tutor, id)
	must(t, err)
	if got := line(t, s, "dt"); got.Entry == nil || got.Entry.Text != "18.5" || len(s.Held) != 2 {
		t.Errorf("the sheet says %+v and holds %+v; want what was handed over, and two things held", got.Entry, s.Held)
	}
}
