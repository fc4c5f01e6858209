package store_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/store"
)

// corrections are lines of one slot in the order in which one phone typed them, each sent by a request of its own, so that the
// offsets differ by what each took.
func (b bench) corrections(t *testing.T, item string, n int) []store.Entry {
	t.Helper()
	lines := make([]store.Entry, n)
	for i := range lines {
		lines[i] = b.typed(t, item, fmt.Sprint(50+i))
		offset := int64(i*i*7919) % 60_000
		lines[i].CapturedAt, lines[i].Clock = monday.Add(time.Duration(i)*time.Second), store.Clock{OffsetMS: &offset, Steady: true}
	}
	return lines
}

// latest sends each line by itself, in the order given, and reads what counts.
func (b bench) latest(t *testing.T, lines []store.Entry) []store.Entry {
	t.Helper()
	for _, e := range lines {
		b.write(t, func(tx *store.Tx) error {
			_, err := tx.AddEntries(t.Context(), b.annDoes, []store.Entry{e})
			return err
		})
	}
	j, err := b.JobSheet(t.Context(), b.centre, b.annDoes)
	if err != nil {
		t.Fatal(err)
	}
	if len(j.Entries) != len(lines) {
		t.Errorf("%d entries are there, want all %d", len(j.Entries), len(lines))
	}
	past := b.marked(t)
	if len(past.Entries) != len(lines) || len(past.Latest()) != len(j.Latest()) || past.Latest()[0].ID != j.Latest()[0].ID {
		t.Errorf("marked again it would have %+v, want what counts: %+v", past.Latest(), j.Latest())
	}
	return j.Latest()
}

// marked reads Ann's attempt as a correction of the brief does.
func (b bench) marked(t *testing.T) (p store.PastSheet) {
	t.Helper()
	b.write(t, func(tx *store.Tx) error {
		past, err := tx.PastSheets(t.Context(), []uuid.UUID{b.annDoes})
		if err == nil {
			p = past[0]
		}
		return err
	})
	return p
}

// Whatever the order in which a phone's corrections arrive, the one that was typed last counts; the database says the same of
// each of them as the sheet does.
func TestWhatWasTypedLastCounts(t *testing.T) {
	for seed := range uint64(4) {
		b := newBench(t)
		b.open(t, b.annDoes)
		lines := b.corrections(t, "tf", 6)
		want := lines[5]
		rand.New(rand.NewPCG(seed, 0)).Shuffle(len(lines), func(i, k int) { lines[i], lines[k] = lines[k], lines[i] })
		if got := b.latest(t, lines); len(got) != 1 || got[0].ID != want.ID {
			t.Errorf("seed %d: %+v counts, want %q", seed, got, want.Text)
		}
		super := connect(t, b.urls.Super)
		for i, e := range lines {
			by := func(o store.Entry) bool { return e.Captured().Overtaken(o.Captured()) }
			if got, want := value[bool](t, super, `SELECT `+store.Overtaken+` FROM entry x WHERE entry_id = $1`, e.ID), slices.ContainsFunc(lines[:i], by); got != want {
				t.Errorf("seed %d: the database says of line %d that it was overtaken: %v, want %v", seed, i, got, want)
			}
		}
	}
}

// Without proof the line that came last counts, and two clocks are no proof where they are close.
func TestWithoutProofWhatCameLastCounts(t *testing.T) {
	hour := int64(time.Hour / time.Millisecond)
	for _, c := range []struct {
		name        string
		first, last func(e *store.Entry)
		want        string
	}{
		{"one clock", nil, nil, "first"},
		{"its clock was set meanwhile", nil, func(e *store.Entry) { e.Steady = false }, "last"},
		{"the other's was", func(e *store.Entry) { e.Steady = false }, nil, "last"},
		{"when it was typed is not known", nil, func(e *store.Entry) { e.CapturedAt = time.Time{} }, "last"},
		{"nothing is known of its clock", nil, func(e *store.Entry) { e.Clock = store.Clock{} }, "last"},
		{"two clocks, and the first is far later", func(e *store.Entry) { e.OffsetMS = &hour }, nil, "first"},
		{"two clocks, and the first is far earlier", func(e *store.Entry) { e.CapturedAt, e.OffsetMS = e.CapturedAt.Add(-2*time.Hour), &hour }, nil, "last"},
	} {
		b := newBench(t)
		b.open(t, b.annDoes)
		two := b.corrections(t, "tf", 2)
		slices.Reverse(two)
		for i, change := range []func(*store.Entry){c.first, c.last} {
			if change != nil {
				change(&two[i])
			}
		}
		want := map[string]store.Entry{"first": two[0], "last": two[1]}[c.want]
		if got := b.latest(t, two); len(got) != 1 || got[0].ID != want.ID {
			t.Errorf("%s: %+v counts, want the one that came %s", c.name, got, c.want)
		}
		super := connect(t, b.urls.Super)
		if got := value[bool](t, super, `SELECT `+store.Overtaken+` FROM entry x WHERE entry_id = $1`, two[1].ID); got != (c.want == "first") {
			t.Errorf("%s: the database says that the last was overtaken: %v", c.name, got)
		}
	}
}
