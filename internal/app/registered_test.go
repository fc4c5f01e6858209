package app

import (
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
)

// A registration is in date on the centre's day: in summer it begins and ends an hour before midnight by UTC, in winter at it.
func TestRegisteredOnTheCentresDay(t *testing.T) {
	held := func(from, to brief.Day) account.Caller {
		return account.Caller{Registrations: []account.Registration{{Kind: "electrical", Number: "1", ValidFrom: date(from), ValidTo: date(to)}}}
	}
	may, january := held("2026-05-01", "2026-05-31"), held("2026-01-01", "2026-01-31")
	at := func(s string) time.Time {
		m, err := time.Parse(time.RFC3339, s)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	for _, c := range []struct {
		who  account.Caller
		at   string
		want bool
	}{
		{may, "2026-04-30T22:59:59Z", false},
		{may, "2026-04-30T23:00:00Z", true},
		{may, "2026-05-31T22:59:59Z", true},
		{may, "2026-05-31T23:00:00Z", false},
		{may, "2026-06-01T00:30:00+02:00", true},
		{january, "2025-12-31T23:59:59Z", false},
		{january, "2026-01-01T00:00:00Z", true},
		{january, "2026-01-31T23:59:59Z", true},
		{january, "2026-02-01T00:00:00Z", false},
	} {
		if got := registered(c.who, &brief.Hold{Entitlement: "electrical"}, dayOf(at(c.at))); got != c.want {
			t.Errorf("at %s: %v, want %v", c.at, got, c.want)
		}
	}
	if !registered(account.Caller{}, &brief.Hold{}, "2026-05-31") {
		t.Error("a hold point that asks for no registration wants one")
	}
}
