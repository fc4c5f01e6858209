package decision

import (
	"encoding/json"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// vectors are worked values that the phone's modules are checked against as well; the file names their source.
type vectors struct {
	Entries []struct {
		marking.Entry
		Digest string
	}
	Lists []struct {
		Items  []Listed
		Digest string
		Number string
	}
	Codes []struct {
		Code, Number, Shown, Salt, Check, Attempt, Stage, Day, List, MAC string
		Rounds                                                           int
	}
}

func readVectors(t *testing.T) (v vectors) {
	t.Helper()
	b, err := os.ReadFile("../../testdata/phone/seal.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(b, &v); err != nil {
		t.Fatal(err)
	}
	if len(v.Entries) == 0 || len(v.Lists) == 0 || len(v.Codes) == 0 {
		t.Fatalf("the vectors are empty: %+v", v)
	}
	return v
}

func TestDigestsOfLists(t *testing.T) {
	v := readVectors(t)
	for _, e := range v.Entries {
		if got := EntryDigest(e.Entry); got != e.Digest {
			t.Errorf("EntryDigest(%+v) = %s, want %s", e.Entry, got, e.Digest)
		}
	}
	for _, l := range v.Lists {
		got := ListDigest(l.Items)
		number, err := EvidenceNumber(got)
		if got != l.Digest || number != l.Number || err != nil {
			t.Errorf("a list of %d: digest %s, number %s, %v; want %s, %s", len(l.Items), got, number, err, l.Digest, l.Number)
		}
		if err := CheckList(l.Items); err != nil {
			t.Errorf("a list of %d is refused: %v", len(l.Items), err)
		}
	}
	if _, err := EvidenceNumber("ab"); err == nil {
		t.Error("half a digest has a number")
	}
}

func TestOrderOf(t *testing.T) {
	released := time.Date(2026, 5, 4, 10, 0, 0, 0, time.UTC)
	at := func(d time.Duration) time.Time { return released.Add(d) }
	day := 24 * time.Hour
	for _, c := range []struct {
		name     string
		captured Moment
		received time.Time
		released time.Time
		want     Order
	}{
		{"not released", Moment{At: at(-time.Hour), Steady: true}, at(time.Hour), time.Time{}, Before},
		{"received before, whatever the clock says", Moment{At: at(day), Steady: true}, at(-time.Second), released, Before},
		{"captured before, received after", Moment{At: at(-time.Second), Steady: true}, at(time.Hour), released, Before},
		{"captured at that moment", Moment{At: released, Steady: true}, at(time.Hour), released, After},
		{"captured after", Moment{At: at(time.Second), Steady: true}, at(time.Hour), released, After},
		{"a clock a day ahead, known", Moment{At: at(day - time.Minute), Offset: -day, Steady: true}, at(time.Hour), released, Before},
		{"a clock a day behind, known", Moment{At: at(time.Minute - day), Offset: day, Steady: true}, at(time.Hour), released, After},
		{"a clock that was set", Moment{At: at(time.Minute), Offset: day}, at(time.Hour), released, NotProved},
		{"no time on the phone", Moment{Steady: true}, at(time.Hour), released, NotProved},
	} {
		if got := OrderOf(c.captured, c.received, c.released); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
	for _, o := range []Order{Before, NotProved, After} {
		if Best("", o) != o || Best(o, Before) != o || Best(After, o) != After {
			t.Errorf("Best does not put %q in its place", o)
		}
	}
}

func TestReleasedAt(t *testing.T) {
	at := time.Date(2026, 5, 4, 10, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		name string
		r    *Record
		want time.Time
	}{
		{"none", nil, time.Time{}},
		{"by the server", &Record{At: at, Outcome: "released", Value: "2020-01-01T00:00:00Z"}, at},
		{"on the spot", &Record{At: at, Outcome: ReleasedOnTheSpot, Value: "2026-05-04T07:30:00.123Z"}, at.Add(-2*time.Hour - 30*time.Minute + 123*time.Millisecond)},
		{"on the spot, no moment", &Record{At: at, Outcome: ReleasedOnTheSpot}, at},
	} {
		if got := ReleasedAt(c.r); !got.Equal(c.want) {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

func TestWhoIsHeld(t *testing.T) {
	noon := time.Date(2026, 5, 4, 12, 0, 0, 0, time.UTC)
	listed, other := uuid.MustParse("00000000-0000-4000-8000-000000000001"), uuid.MustParse("00000000-0000-4000-8000-000000000002")
	digest := strings.Repeat("ab", 32)
	seal := &Seal{Made: Moment{At: noon.Add(-time.Hour), Offset: time.Hour, Steady: true}, ReceivedAt: noon.Add(5 * time.Hour), Items: []Listed{{listed, SealFile, digest}}}
	unsure := *seal
	unsure.Made.Steady = false
	ahead := *seal
	ahead.Made.Offset = 9 * time.Hour // later than it was received
	taken := []Record{{Kind: KindTakeIn, Subject: other.String()}}
	for _, c := range []struct {
		name     string
		seal     *Seal
		id       uuid.UUID
		received time.Time
		closed   time.Time
		records  []Record
		want     bool
	}{
		{"no list", nil, other, noon, time.Time{}, nil, false},
		{"listed, late", seal, listed, noon.AddDate(0, 0, 9), time.Time{}, nil, false},
		{"listed, after the decision", seal, listed, noon.AddDate(0, 0, 9), noon.AddDate(0, 0, 1), nil, true},
		{"not listed, received before the list was made", seal, other, noon.Add(-time.Second), time.Time{}, nil, false},
		{"not listed, received after it was made", seal, other, noon.Add(time.Second), time.Time{}, nil, true},
		{"not listed, taken in", seal, other, noon.AddDate(0, 0, 9), time.Time{}, taken, false},
		{"not listed, the phone's clock unsure", &unsure, other, noon.Add(time.Second), time.Time{}, nil, false},
		{"not listed, the phone's clock unsure, after receipt", &unsure, other, noon.Add(6 * time.Hour), time.Time{}, nil, true},
		{"a list made later than received", &ahead, other, noon.Add(6 * time.Hour), time.Time{}, nil, true},
	} {
		if got := c.seal.Holds(c.id, c.received, c.closed, c.records); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	if got := seal.Awaited(func(uuid.UUID) bool { return false }); len(got) != 1 || got[0].ID != listed {
		t.Errorf("awaited is %+v, want the listed one", got)
	}
	if seal.Awaited(func(uuid.UUID) bool { return true }) != nil {
		t.Error("something is awaited that is here")
	}
	for _, err := range []error{seal.Fulfils(listed, SealEntry, digest), seal.Fulfils(listed, SealFile, strings.Repeat("ac", 32))} {
		if fault.KindOf(err) != fault.KindConflict {
			t.Errorf("other contents under a listed id: %v, want a Conflict", err)
		}
	}
	if seal.Fulfils(listed, SealFile, digest) != nil || seal.Fulfils(other, SealFile, digest) != nil {
		t.Error("what is on the list as it came, or on none, is refused")
	}
}

// A list that is too long, or has a digest in capitals, cannot be what a phone sealed.
func TestCheckList(t *testing.T) {
	id := uuid.MustParse("00000000-0000-4000-8000-000000000001")
	good := Listed{id, SealFile, strings.Repeat("ab", 32)}
	for _, c := range []struct {
		name  string
		items []Listed
	}{
		{"too long", make([]Listed, listMost+1)},
		{"no id", []Listed{{Kind: SealFile, Digest: good.Digest}}},
		{"twice", []Listed{good, good}},
		{"neither", []Listed{{id, "tape", good.Digest}}},
		{"short digest", []Listed{{id, SealFile, "ab"}}},
		{"capitals", []Listed{{id, SealFile, strings.ToUpper(good.Digest)}}},
		{"no digits", []Listed{{id, SealFile, strings.Repeat("zz", 32)}}},
	} {
		if err := CheckList(c.items); fault.KindOf(err) != fault.KindInvalid {
			t.Errorf("%s: got %v, want Invalid", c.name, err)
		}
	}
}
