package store_test

import (
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// sending is a file of Ann's that has been announced.
func (b bench) sending(t *testing.T) store.Upload {
	t.Helper()
	offset := int64(3000)
	return store.Upload{
		ID: newID(t), Evidence: newID(t), Attempt: b.annDoes, Item: "before", Name: "rig.jpg", Caption: "Cold", Size: 7, Digest: hexOf("a photo"),
		DeviceAt: monday.Add(-time.Hour), Clock: store.Clock{OffsetMS: &offset, Steady: true},
		Covers: []store.Cover{{X: 0.1, Y: 0.2, W: 0.3, H: 0.4}}, StartedAt: monday, By: b.ann,
	}
}

// start keeps an upload and gives the row as it is kept.
func (b bench) start(t *testing.T, u store.Upload) (kept store.Upload) {
	t.Helper()
	b.write(t, func(tx *store.Tx) (err error) {
		kept, err = tx.StartUpload(t.Context(), u)
		return err
	})
	return kept
}

func (b bench) unfinished(t *testing.T) (n int) {
	t.Helper()
	b.write(t, func(tx *store.Tx) (err error) {
		n, err = tx.UnfinishedUploads(t.Context(), b.ann)
		return err
	})
	return n
}

// There is one upload for each piece of evidence, and the first stays as it is; once the evidence is there it is received.
func TestOneUploadForEachPieceOfEvidence(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	first := b.sending(t)
	if d := cmp.Diff(first, b.start(t, first)); d != "" {
		t.Errorf("kept (-want +got):\n%s", d)
	}
	again := b.sending(t)
	again.Evidence, again.Digest, again.By = first.Evidence, hexOf("another"), b.bob
	if d := cmp.Diff(first, b.start(t, again)); d != "" {
		t.Errorf("announced again (-want +got):\n%s", d)
	}
	if _, err := b.Upload(ctx, b.centre, again.ID); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("the second upload: %v, want NotFound", err)
	}
	b.start(t, b.sending(t))
	if n := b.unfinished(t); n != 2 {
		t.Errorf("%d uploads are unfinished, want 2", n)
	}
	b.write(t, func(tx *store.Tx) error {
		_, err := tx.AddEvidence(ctx, store.Evidence{ID: first.Evidence, Attempt: b.annDoes, Item: "before", Digest: first.Digest, Size: 7,
			MediaType: "image/jpeg", ReceivedAt: monday, By: b.ann})
		return err
	})
	first.Received = first.Digest
	got, err := b.Upload(ctx, b.centre, first.ID)
	if d := cmp.Diff(first, got); err != nil || d != "" {
		t.Errorf("received: %v (-want +got):\n%s", err, d)
	}
	if n := b.unfinished(t); n != 1 {
		t.Errorf("%d uploads are unfinished, want 1", n)
	}
	b.write(t, func(tx *store.Tx) error { return tx.DropUpload(ctx, first.ID) })
	b.write(t, func(tx *store.Tx) error { return tx.DropUpload(ctx, first.ID) })
	if _, err := b.Upload(ctx, b.centre, first.ID); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("after it was dropped: %v, want NotFound", err)
	}
}

// Old uploads are found in every centre, and taken away in one at a time.
func TestOldUploads(t *testing.T) {
	b := newBench(t)
	other := addBench(t, b.Store, b.urls, "-2")
	ctx := t.Context()
	young, old, elsewhere := b.sending(t), b.sending(t), other.sending(t)
	old.StartedAt, elsewhere.StartedAt = monday.Add(-time.Second), monday.Add(-time.Hour)
	b.start(t, young)
	b.start(t, old)
	other.start(t, elsewhere)
	centres := func(before time.Time, want ...int64) {
		t.Helper()
		got, err := b.CentresWithUploadsBefore(ctx, before)
		if err != nil || !slices.Equal(got, want) {
			t.Errorf("centres with uploads before %v: %v, %v; want %v", before, got, err, want)
		}
	}
	centres(monday, b.centre, other.centre)
	centres(monday.Add(-time.Minute), other.centre)
	b.write(t, func(tx *store.Tx) error {
		ids, err := tx.DropUploadsBefore(ctx, monday)
		if len(ids) != 1 || ids[0] != old.ID {
			t.Errorf("dropped %v, want %v", ids, old.ID)
		}
		return err
	})
	centres(monday, other.centre)
	if _, err := b.Upload(ctx, b.centre, young.ID); err != nil {
		t.Error(err)
	}
	if _, err := b.Upload(ctx, b.centre, elsewhere.ID); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("another centre's upload: %v, want NotFound", err)
	}
}
