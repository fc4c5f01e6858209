package app_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// setOf is the newest set as the manager sees it.
func (c *centre) setOf(t *testing.T) app.PortfolioSet {
	t.Helper()
	sets, err := c.PortfolioSets(t.Context(), c.manager)
	must(t, err)
	if len(sets) == 0 {
		t.Fatal("there is no set")
	}
	return sets[0]
}

// A cohort's portfolios tell how far they have come from what is in the database alone, and what is stopped is never built.
func TestCohortsPortfolios(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	_, err := c.RequestPortfolios(ctx, c.manager, c.cohort, "H2")
	wantKind(t, "with nothing set", err, fault.KindConflict)
	c.set(t)
	_, err = c.RequestPortfolios(ctx, c.trainee, c.cohort, "H2")
	wantKind(t, "by a trainee", err, fault.KindForbidden)
	_, err = c.RequestPortfolios(ctx, c.other, c.cohort, "H2")
	wantKind(t, "by another cohort's tutor", err, fault.KindNotFound)
	_, err = c.RequestPortfolios(ctx, c.tutor, c.cohort, "H9")
	wantKind(t, "for no unit", err, fault.KindNotFound)
	id, err := c.RequestPortfolios(ctx, c.tutor, c.cohort, "H2")
	must(t, err)

	s := c.setOf(t)
	if s.ID != id || s.Total == 0 || s.Left() != s.Total || s.Unit != "H2" {
		t.Fatalf("asked for: %+v", s)
	}
	all, err := c.Portfolios(ctx, c.manager)
	must(t, err)
	if len(all) != s.Total {
		t.Fatalf("%d portfolios of a set of %d", len(all), s.Total)
	}
	must(t, c.BuildPortfolio(ctx, c.id, all[0].ID))
	if s = c.setOf(t); s.Ready != 1 || s.Left() != s.Total-1 {
		t.Errorf("one is built: %+v", s)
	}
	others, err := c.PortfolioSets(ctx, c.other)
	must(t, err)
	if len(others) != 0 {
		t.Errorf("another cohort's tutor sees %d", len(others))
	}

	c.now = c.now.Add(time.Minute)
	again, err := c.RequestPortfolios(ctx, c.manager, c.cohort, "H2")
	must(t, err)
	wantKind(t, "stopped by another cohort's tutor", c.StopPortfolios(ctx, c.other, again), fault.KindNotFound)
	must(t, c.StopPortfolios(ctx, c.tutor, again))
	wantKind(t, "stopped twice", c.StopPortfolios(ctx, c.tutor, again), fault.KindConflict)
	wantKind(t, "one that is not there", c.StopPortfolios(ctx, c.tutor, uuid.New()), fault.KindNotFound)
	all, err = c.Portfolios(ctx, c.manager)
	must(t, err)
	stopped := 0
	for _, p := range all {
		if p.State == store.PortfolioStopped {
			stopped++
			must(t, c.BuildPortfolio(ctx, c.id, p.ID)) // its job comes all the same
			_, err := c.OpenPortfolio(ctx, c.manager, p.ID)
			wantKind(t, "a stopped one", err, fault.KindConflict)
		}
	}
	if s = c.setOf(t); s.Stopped != s.Total || stopped != s.Total || s.Left() != 0 || s.StoppedByName == "" {
		t.Errorf("stopped: %+v", s)
	}
}
