package decision

import (
	"testing"
	"time"

	"witnessmark/internal/fault"
)

func TestMoreIsReadAsItWasWritten(t *testing.T) {
	for name, m := range map[string]More{
		"plain":                     {"Clean joints.", "The working.", "Show it."},
		"several paragraphs":        {"Clean joints.\r\n\r\nA steady meter.", "The working.\nThe valve.", "Show it."},
		"a heading among the words": {"Clean.\n\nWhat is missing\nnothing\n\nWhat to do", "The working.", "Show it.\n\nWhat was good"},
	} {
		got, ok := ReadMore(m.Words())
		if !ok {
			t.Errorf("%s: %q cannot be read", name, m.Words())
		}
		if again, ok := ReadMore(got.Words()); !ok || again != got {
			t.Errorf("%s: read again it is %+v, want %+v", name, again, got)
		}
		if got.Missing == "" || got.ToDo == "" || got.Good == "" {
			t.Errorf("%s: got %+v, want all three", name, got)
		}
	}
	if m, ok := ReadMore("Show the working."); ok {
		t.Errorf("words of another kind are read as %+v", m)
	}
}

func TestMoreAsksForAllOfIt(t *testing.T) {
	day := time.Date(2026, 5, 11, 0, 0, 0, 0, time.UTC)
	whole := More{"Clean joints.", "The working.", "Show it."}
	for name, c := range map[string]struct {
		m    More
		by   time.Time
		want fault.Kind
	}{
		"all of it":          {whole, day, 0},
		"nothing good":       {More{" ", whole.Missing, whole.ToDo}, day, fault.KindInvalid},
		"nothing missing":    {More{whole.Good, "", whole.ToDo}, day, fault.KindInvalid},
		"nothing to do":      {More{whole.Good, whole.Missing, "\n"}, day, fault.KindInvalid},
		"no day":             {whole, time.Time{}, fault.KindInvalid},
		"a day that is past": {whole, day.AddDate(0, 0, -1), fault.KindInvalid},
	} {
		if err := c.m.Check(c.by, "2026-05-11"); fault.KindOf(err) != c.want {
			t.Errorf("%s: got %v, want kind %d", name, err, c.want)
		}
	}
}
