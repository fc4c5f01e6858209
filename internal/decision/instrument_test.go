package decision

import (
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
)

func TestOutOfDate(t *testing.T) {
	for _, c := range []struct {
		name    string
		due, on brief.Day
		want    bool
	}{
		{"before the date", "2026-05-03", "2026-05-02", false},
		{"on the date itself", "2026-05-03", "2026-05-03", false},
		{"the day after", "2026-05-03", "2026-05-04", true},
		{"a year after, an earlier month", "2026-05-03", "2027-01-02", true},
		{"no date on the label", "", "2027-01-02", false},
	} {
		if got := (Instrument{Due: c.due}).OutOfDate(c.on); got != c.want {
			t.Errorf("%s: out of date %v, want %v", c.name, got, c.want)
		}
	}
}

func TestItemsThatNoBriefHas(t *testing.T) {
	id := uuid.MustParse("6f1c2a3e-0b1d-4c5e-8f70-0123456789ab")
	for _, c := range []struct {
		item string
		ok   bool
	}{
		{LabelItem(id), true},
		{"instrument/6F1C2A3E-0B1D-4C5E-8F70-0123456789AB", false}, // one spelling, so that photos of one label are found together
		{"instrument/", false},
		{"instrument/manometer", false},
		{"tf", false},
		{"", false},
	} {
		if got, ok := LabelOf(c.item); ok != c.ok || ok && got != id {
			t.Errorf("LabelOf(%q) = %v, %v, want %v", c.item, got, ok, c.ok)
		}
	}
	if stage, ok := HelpAt(HelpItem("wire")); stage != "wire" || !ok {
		t.Errorf("HelpAt(HelpItem) = %q, %v", stage, ok)
	}
	if _, ok := HelpAt("wire"); ok {
		t.Error("an item of a brief was taken for the line about help")
	}
}
