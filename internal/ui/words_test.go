package ui

import (
	"slices"
	"testing"
)

func TestTitlesStandInTheOrderThatPeopleCount(t *testing.T) {
	want := []string{"Bay 6: isolate", "Bay 7: change", "Bay 7: wire", "Bay 010: store", "Bay 11: main", "Bench 3", "Bench 3: check"}
	got := slices.Clone(want)
	slices.Reverse(got)
	if slices.SortFunc(got, naturally); !slices.Equal(got, want) {
		t.Errorf("got %q", got)
	}
}

func TestThingsWithCommasOfTheirOwnAreJoinedBySemicolons(t *testing.T) {
	for want, things := range map[string][]string{
		"":                           nil,
		"white":                      {"white"},
		"white, grey and orange":     {"white", "grey", "orange"},
		"the spur and its fuse; tag": {"the spur and its fuse", "tag"},
		"the flue, whole; the case":  {"the flue, whole", "the case"},
	} {
		if got := join(things); got != want {
			t.Errorf("%q: got %q, want %q", things, got, want)
		}
	}
}
