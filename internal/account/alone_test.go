package account

import (
	"strings"
	"testing"
	"time"
)

// Who decides alone, and the sentence that says why, follow from the award on the day.
func TestWhoDecidesAlone(t *testing.T) {
	day := func(s string) time.Time {
		at, err := time.Parse(time.DateOnly, s)
		if err != nil {
			t.Fatal(err)
		}
		return at
	}
	award := func(from, to string) Registration {
		return Registration{Kind: AssessorAward, Number: "1", ValidFrom: day(from), ValidTo: day(to)}
	}
	gas := Registration{Kind: "gas", Number: "1", ValidFrom: day("2020-01-01"), ValidTo: Endless()}
	today := day("2026-05-04")
	for _, c := range []struct {
		held   []Registration
		before Before
		alone  bool
		why    string
	}{
		{nil, Before{}, false, "Theirs wait for a countersignature. No assessor’s award is entered."},
		{[]Registration{gas}, Before{}, false, "Theirs wait for a countersignature. No assessor’s award is entered."},
		{[]Registration{award("2020-01-01", "2026-05-04")}, Before{}, true, "Theirs stand by themselves. An assessor’s award is in date, to 4 May 2026."},
		{[]Registration{award("2026-05-04", "9999-12-31")}, Before{}, true, "Theirs stand by themselves. An assessor’s award is in date."},
		{[]Registration{award("2020-01-01", "2024-02-29"), award("2025-01-01", "2026-05-03")}, Before{}, false, "The assessor’s award ended on 3 May 2026."},
		{[]Registration{award("2020-01-01", "2024-02-29"), award("2026-05-05", "9999-12-31")}, Before{}, false, "The assessor’s award is in date only from 5 May 2026."},
		{nil, Before{Alone: true, Until: today}, true, "Theirs stand by themselves until 4 May 2026, as they did before the award counted. No assessor’s award is entered. Without one"},
		{nil, Before{Alone: true, Until: day("2026-05-03")}, false, "Theirs wait for a countersignature. No assessor’s award is entered."},
		{[]Registration{award("2020-01-01", "9999-12-31")}, Before{Until: today}, false, "Theirs wait for a countersignature until 4 May 2026, as they did before the award counted. An assessor’s award is in date."},
	} {
		who := Caller{Registrations: c.held, Before: c.before}
		if alone, why := who.DecidesAlone(today), who.WhyAlone("Theirs", today); alone != c.alone || !strings.Contains(why, c.why) {
			t.Errorf("%+v, %+v: %v, %q; want %v, %q", c.held, c.before, alone, why, c.alone, c.why)
		}
	}
}
