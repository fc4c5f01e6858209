package store_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// draft saves a draft over the digest given.
func (b bench) draft(t *testing.T, id uuid.UUID, source, over string, by uuid.UUID) {
	t.Helper()
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.SaveDraft(t.Context(), store.BriefDraft{Brief: id, Source: source, Title: "T", Digest: hexOf(source), By: by, At: monday, Over: over})
		return err
	})
}

// Everybody who ever changed a version is kept, and none of them publishes it, whoever asks the database.
func TestNobodyPublishesWhatTheyWrote(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	b.draft(t, b.brief, "second", b.digest, b.tutor)
	b.draft(t, b.brief, "third", hexOf("second"), b.ann)
	b.draft(t, b.brief, "fourth", hexOf("third"), b.tutor) // so that Ann neither began it nor changed it last
	v, err := b.BriefVersion(ctx, b.centre, b.brief, 2)
	if err != nil || v.WrittenBy != b.tutor || len(v.Writers) != 2 || !v.Wrote(b.tutor) || !v.Wrote(b.ann) || v.Wrote(b.bob) {
		t.Fatalf("got %+v, %v; begun by Tess, changed by Ann and by Tess again", v, err)
	}
	app := connect(t, b.urls.App)
	run(t, app, `SELECT set_config('app.centre_id', '1', false)`)
	run(t, app, `UPDATE brief_version SET writers = '{}' WHERE state = 'draft'`) // nobody is taken off the list
	for person, want := range map[uuid.UUID]fault.Kind{b.tutor: fault.KindForbidden, b.ann: fault.KindForbidden} {
		err := b.Write(ctx, b.centre, func(tx *store.Tx) error { return tx.PublishBrief(ctx, b.brief, 2, hexOf("fourth"), person, monday) })
		if fault.KindOf(err) != want {
			t.Errorf("published by somebody who wrote it: %v", err)
		}
	}
	b.write(t, func(tx *store.Tx) error { return tx.PublishBrief(ctx, b.brief, 2, hexOf("fourth"), b.bob, monday) })
}

// What is said of a draft goes with it when it is thrown away; the brief goes too where that was its only version.
func TestDraftIsThrownAway(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	say := func(id uuid.UUID, version int, words string, at time.Time) {
		b.write(t, func(tx *store.Tx) error {
			return tx.SayOfBrief(ctx, store.BriefCheck{ID: newID(t), Brief: id, Version: version, Digest: hexOf("x"), Kind: store.CheckAsked, Words: words, By: b.tutor, At: at})
		})
	}
	b.draft(t, b.brief, "second", b.digest, b.tutor)
	say(b.brief, 2, "first", monday)
	say(b.brief, 2, "then", monday.Add(time.Hour))
	said, err := b.BriefChecks(ctx, b.centre, b.brief, 2)
	if err != nil || len(said) != 2 || said[0].Words != "then" || said[0].ByName != "Tess Tutor" {
		t.Fatalf("said: %+v, %v", said, err)
	}
	discard := func(id uuid.UUID, version int) error {
		return b.Write(ctx, b.centre, func(tx *store.Tx) error { return tx.DiscardDraft(ctx, id, version) })
	}
	if err := discard(b.brief, 2); err != nil {
		t.Fatal(err)
	}
	if said, err = b.BriefChecks(ctx, b.centre, b.brief, 2); err != nil || len(said) != 0 {
		t.Errorf("said of a draft that is gone: %+v, %v", said, err)
	}
	if err := discard(b.brief, 1); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("throwing a published version away: %v, want Conflict", err)
	}
	if _, err := b.BriefVersion(ctx, b.centre, b.brief, 1); err != nil {
		t.Errorf("the published version: %v", err)
	}
	fresh := newID(t)
	b.write(t, func(tx *store.Tx) error { return tx.AddBrief(ctx, fresh, "fresh", monday) })
	b.draft(t, fresh, "x", "", b.tutor)
	if err := discard(fresh, 1); err != nil {
		t.Fatal(err)
	}
	b.write(t, func(tx *store.Tx) error { return tx.AddBrief(ctx, newID(t), "fresh", monday) }) // its key is free again
}
