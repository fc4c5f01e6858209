package store_test

import (
	"slices"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/store"
)

func TestNextWaiting(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	next := func(after uuid.UUID) store.NextUp {
		n, _, err := b.NextWaiting(ctx, b.centre, b.tutor, after)
		if err != nil {
			t.Fatal(err)
		}
		return n
	}
	if n := next(uuid.Nil); n != (store.NextUp{}) {
		t.Errorf("with nothing handed over %+v is next", n)
	}
	for _, id := range []uuid.UUID{b.annDoes, b.bobDoes} {
		b.open(t, id)
	}
	super := connect(t, b.urls.Super)
	for i, id := range []uuid.UUID{b.annDoes, b.bobDoes} {
		if _, err := super.Exec(ctx, `UPDATE attempt SET state = 'checked', handed_over_at = $2 WHERE attempt_id = $1`, id, monday.AddDate(0, 0, i)); err != nil {
			t.Fatal(err)
		}
	}
	if n := next(uuid.Nil); n.Attempt != b.annDoes || n.TraineeName != "Ann Apprentice" || n.Waiting != 2 {
		t.Errorf("the longest wait is %+v", n)
	}
	if n := next(b.annDoes); n.Attempt != b.bobDoes {
		t.Errorf("after Ann's comes %+v", n)
	}
	if n := next(b.bobDoes); n.Attempt != b.annDoes {
		t.Errorf("after the last comes %+v", n)
	}
	if _, err := super.Exec(ctx, `UPDATE attempt SET state = 'signed_off' WHERE attempt_id = $1`, b.annDoes); err != nil {
		t.Fatal(err)
	}
	if n := next(b.annDoes); n.Attempt != b.bobDoes || n.Waiting != 1 {
		t.Errorf("after one that is done comes %+v", n)
	}
	if n := next(b.bobDoes); n != (store.NextUp{}) {
		t.Errorf("after the only one comes %+v", n)
	}
}

func TestStockRemarks(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	for _, want := range [][]string{{"Show the label.", "safe: Isolate first."}, {"Only this."}, nil} {
		if err := b.Write(ctx, b.centre, func(tx *store.Tx) error { return tx.KeepStockRemarks(ctx, b.tutor, want) }); err != nil {
			t.Fatal(err)
		}
		if got, err := b.StockRemarks(ctx, b.centre, b.tutor); err != nil || !slices.Equal(got, want) {
			t.Errorf("kept %q, got %q, %v", want, got, err)
		}
	}
	if got, err := b.StockRemarks(ctx, b.centre, b.ann); err != nil || len(got) != 0 {
		t.Errorf("somebody else has %q, %v", got, err)
	}
}
