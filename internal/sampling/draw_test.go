package sampling

import (
	"encoding/binary"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// items are n attempts in several strata, the last of them a rare one.
func items(n int) []Item {
	out := make([]Item, n)
	for i := range out {
		out[i] = Item{Attempt: id(1000 + i), Stratum: Stratum{Assessor: id(i % 3), Units: "H1", Method: "observed", Site: "at the centre"}, Risk: 1 + i%4}
	}
	out[n-1].Stratum.Site = "on site"
	return out
}

func id(n int) (u uuid.UUID) {
	binary.BigEndian.PutUint64(u[8:], uint64(n))
	return u
}

func list(t *testing.T, items []Item) List {
	t.Helper()
	l, err := NewList(items)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestDrawIsTheSameAgain(t *testing.T) {
	l := list(t, items(96))
	turned := items(96)
	slices.Reverse(turned)
	again := list(t, turned)
	if string(l.Bytes()) != string(again.Bytes()) || l.Digest() != again.Digest() {
		t.Error("the same attempts in another order make another list")
	}
	seed := strings.Repeat("0f", 16)
	first := l.Draw(24, seed, l.Digest())
	if got := again.Draw(24, seed, again.Digest()); !slices.Equal(got, first) {
		t.Errorf("got %v, then %v", first, got)
	}
	if got := l.Draw(24, strings.Repeat("1f", 16), l.Digest()); slices.Equal(got, first) {
		t.Error("another seed draws the same")
	}
	if got := l.Draw(24, seed, strings.Repeat("0", 64)); slices.Equal(got, first) {
		t.Error("another list's digest draws the same")
	}
	// What was drawn once is drawn for ever: kept from the first run of this program, so that no change goes unseen.
	if want := []int{2, 3, 5, 8, 19, 25, 26, 31, 35, 37, 38, 39, 41, 43, 50, 55, 61, 63, 71, 75, 80, 82, 90, 95}; !slices.Equal(first, want) {
		t.Errorf("got %v, want %v", first, want)
	}
}

func TestDrawTakesOneOfEveryStratum(t *testing.T) {
	l := list(t, items(60))
	if n := len(l.Strata()); n != 4 {
		t.Fatalf("%d strata, want 4", n)
	}
	for seed := range 50 {
		for _, size := range []int{1, 4, 10, 60, 100} {
			places := l.Draw(size, string(rune('a'+seed)), l.Digest())
			if want := min(max(size, 4), 60); len(places) != want {
				t.Fatalf("size %d: %d drawn, want %d", size, len(places), want)
			}
			has := map[Stratum]bool{}
			for i, p := range places {
				has[l.Items()[p].Stratum] = true
				if i > 0 && places[i-1] >= p {
					t.Fatalf("%v is not in order", places)
				}
			}
			if len(has) != 4 {
				t.Errorf("size %d: %d strata drawn from", size, len(has))
			}
		}
	}
}

// Of two attempts in one stratum the one with three times the risk is drawn first three times out of four.
func TestDrawGoesByRisk(t *testing.T) {
	of := Stratum{Units: "H1"}
	l := list(t, []Item{{id(1), of, 1}, {id(2), of, 3}})
	const times = 20_000
	hits := 0
	for i := range times {
		if l.Draw(1, string(binary.BigEndian.AppendUint32(nil, uint32(i))), "")[0] == 1 {
			hits++
		}
	}
	if share := float64(hits) / times; math.Abs(share-0.75) > 0.015 { // five standard errors
		t.Errorf("drawn first in %.3f, want 0.75", share)
	}
}

func TestListRefuses(t *testing.T) {
	if _, err := NewList(nil); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("a list of nothing: %v", err)
	}
	twice := items(3)
	twice[1].Attempt = twice[0].Attempt
	if _, err := NewList(twice); err == nil {
		t.Error("an attempt twice is taken")
	}
	risk := items(3)
	risk[2].Risk = 0
	if _, err := NewList(risk); err == nil {
		t.Error("a risk of nothing is taken")
	}
}

func TestWeights(t *testing.T) {
	w := UsualWeights()
	if err := w.Check(); err != nil {
		t.Error(err)
	}
	if got := w.Risk([]Factor{SafetyWork, NewBrief}); got != 5 {
		t.Errorf("risk %d, want 1 + 2 + 2", got)
	}
	for _, bad := range []Weights{{SafetyWork: -1}, {SafetyWork: 10}, {"hair": 1}} {
		if bad.Check() == nil {
			t.Errorf("%v is taken", bad)
		}
	}
	for _, f := range Factors() {
		if f.Words() == string(f) || w[f] == 0 {
			t.Errorf("%s has no words, or no weight", f)
		}
	}
}

func BenchmarkDraw(b *testing.B) {
	for b.Loop() {
		l, err := NewList(items(96))
		if err != nil {
			b.Fatal(err)
		}
		_ = l.Draw(24, "seed", l.Digest())
		_ = Before(96, 24)
	}
}

func BenchmarkExactly(b *testing.B) {
	for b.Loop() {
		_ = Exactly(96, 10, 24, 0)
	}
}
