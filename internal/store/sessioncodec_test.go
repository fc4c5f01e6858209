package store_test

import (
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/google/go-cmp/cmp"

	"witnessmark/internal/store"
)

func TestSessionCodecThereAndBack(t *testing.T) {
	var codec scs.Codec = store.SessionCodec{}
	until := time.Date(2026, 3, 2, 20, 15, 0, 123456789, time.UTC)
	for _, values := range []map[string]any{
		{},
		{store.SessionCentre: int64(1<<53 + 1), store.SessionPerson: "0190"},
		{store.SessionCentre: int64(1), store.SessionPerson: "0190", store.SessionNotice: "Saved: “Bay 7”."},
	} {
		data, err := codec.Encode(until, values)
		if err != nil {
			t.Fatal(err)
		}
		deadline, got, err := codec.Decode(data)
		if d := cmp.Diff(values, got); err != nil || d != "" || !deadline.Equal(until) {
			t.Errorf("until %v, %v (-want +got):\n%s", deadline, err, d)
		}
	}
}

func TestSessionCodecRefusesWhatHasNoPlace(t *testing.T) {
	for _, values := range []map[string]any{{"other": "x"}, {store.SessionCentre: 1}, {store.SessionPerson: int64(1)}} {
		if data, err := (store.SessionCodec{}).Encode(time.Now(), values); err == nil {
			t.Errorf("%v became %s, want trouble", values, data)
		}
	}
}

// A session in the library's own form, which this program once kept, signs out rather than fails.
func TestSessionCodecOfAnotherForm(t *testing.T) {
	old, err := scs.GobCodec{}.Encode(time.Now(), map[string]any{store.SessionCentre: int64(1), store.SessionPerson: "0190"})
	if err != nil {
		t.Fatal(err)
	}
	for _, data := range [][]byte{old, nil, []byte(`{"centre":"1"}`)} {
		if _, values, err := (store.SessionCodec{}).Decode(data); err != nil || len(values) != 0 {
			t.Errorf("%q: %v, %v; want nobody", data, values, err)
		}
	}
}
