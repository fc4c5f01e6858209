package brief_test

import (
	"slices"
	"testing"

	"witnessmark/internal/brief/sample"
)

// A figure rests on the readings of its own formula and of the figures before it; a choice on those of its conditions, or of its size.
func TestRestsOn(t *testing.T) {
	b := sample.Brief()
	for key, want := range map[string][]string{
		"dt": {"tf", "tr"}, "heat": {"qv", "tf", "tr"}, "share": {"qv", "tf", "tr"}, "lift": nil, "enough": {"qv", "tf", "tr"}, "tube": {"qv"}, "qv": nil, "why": nil,
	} {
		it, _, ok := b.Item(key)
		if !ok {
			t.Fatalf("there is no item %q", key)
		}
		var got []string
		for _, r := range b.RestsOn(it) {
			got = append(got, r.Key)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s rests on %q, want %q", key, got, want)
		}
	}
	dt, _, _ := b.Item("dt")
	heat, _, _ := b.Item("heat")
	dt.Figure.Formula, heat.Figure.Formula = "heat − tr", "dt − tf"
	if got := b.RestsOn(dt); len(got) != 2 {
		t.Errorf("figures that need one another rest on %d readings, want 2", len(got))
	}
}
