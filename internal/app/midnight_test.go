package app_test

import (
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// registeredFor gives the tutor one electrical registration and no other.
func (c *centre) registeredFor(t *testing.T, from, to time.Time) {
	t.Helper()
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		return tx.SetRegistrations(t.Context(), c.tutor.Person, []account.Registration{{Kind: "electrical", Number: "E-2", ValidFrom: from, ValidTo: to}})
	}))
	var err error
	c.tutor, err = c.Caller(t.Context(), c.id, c.tutor.Person)
	must(t, err)
}

// midnightUTC is the start of a day by UTC, as dates are kept.
func midnightUTC(month time.Month, of int) time.Time {
	return time.Date(2026, month, of, 0, 0, 0, 0, time.UTC)
}

// Around midnight in summer a hold point is released by whoever is registered on the day that the centre's clock shows.
func TestReleaseAroundMidnight(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.registeredFor(t, midnightUTC(time.June, 1), midnightUTC(time.June, 30))
	for _, x := range []struct {
		at   time.Time
		want fault.Kind // Conflict: registered, and nothing is proved yet
	}{
		{midnightUTC(time.June, 1).Add(-61 * time.Minute), fault.KindForbidden},
		{midnightUTC(time.June, 1).Add(-59 * time.Minute), fault.KindConflict},
		{midnightUTC(time.July, 1).Add(-61 * time.Minute), fault.KindConflict},
		{midnightUTC(time.July, 1).Add(-59 * time.Minute), fault.KindForbidden},
	} {
		c.now = x.at
		wantKind(t, "released at "+x.at.Format(time.RFC3339), c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), x.want)
	}
}

// A release on the spot counts by the same day, on whichever side of midnight by UTC it was given.
func TestSpotReleaseAroundMidnight(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	c.now = midnightUTC(time.June, 1).Add(-50 * time.Minute) // ten past midnight in London
	c.registeredFor(t, midnightUTC(time.June, 1), midnightUTC(time.June, 30))
	s := onTheSpot(t, c, id)
	s.sends(t)
	s.releases(t, c.tutor)
	if v := s.claims(t); v.State != decision.SpotConfirmed {
		t.Errorf("given at %v it stands as %+v", s.at, v)
	}
}
