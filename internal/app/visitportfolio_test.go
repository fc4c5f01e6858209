package app_test

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// The portfolios of everybody on a visit's list are asked for at once, are counted as they become ready, and the verifier reads them.
func TestPortfoliosForAVisit(t *testing.T) {
	c := newCentre(t)
	ctx, attempt := t.Context(), c.sentBack(t, "H2/1.2")
	id, token := c.arranged(t)
	vera := c.visiting(t, token)
	_, err := c.RequestVisitPortfolios(ctx, c.manager, id)
	wantKind(t, "with nothing on the list", err, fault.KindConflict)
	must(t, c.ChooseForVisit(ctx, vera, []uuid.UUID{attempt}))
	_, err = c.RequestVisitPortfolios(ctx, c.tutor, id)
	wantKind(t, "by a tutor", err, fault.KindForbidden)
	_, err = c.RequestVisitPortfolios(ctx, vera, id)
	wantKind(t, "by the verifier", err, fault.KindNotFound)
	_, err = c.RequestVisitPortfolios(ctx, c.manager, uuid.New())
	wantKind(t, "for no visit", err, fault.KindNotFound)

	set, err := c.RequestVisitPortfolios(ctx, c.manager, id)
	must(t, err)
	_, err = c.RequestVisitPortfolios(ctx, c.manager, id)
	wantKind(t, "while they are being built", err, fault.KindConflict)
	stands := func(ready, stopped int) {
		t.Helper()
		r, err := c.VisitReport(ctx, c.manager, id)
		must(t, err)
		if len(r.Sets) != 1 || r.Sets[0].Total != 1 || r.Sets[0].Ready != ready || r.Sets[0].Stopped != stopped || r.Sets[0].VerifierName != "Vera Outside" {
			t.Fatalf("%+v, want %d ready and %d stopped", r.Sets, ready, stopped)
		}
	}
	stands(0, 0)
	if s := c.setOf(t); s.ID != set || s.Visit != id || s.Cohort != uuid.Nil {
		t.Errorf("among all: %+v", s)
	}
	if others, err := c.PortfolioSets(ctx, c.tutor); err != nil || len(others) != 0 {
		t.Errorf("a tutor sees %+v (%v)", others, err)
	}
	all, err := c.Portfolios(ctx, c.manager)
	must(t, err)
	if len(all) != 1 || all[0].Trainee != c.trainee.Person || all[0].Unit != "H2" {
		t.Fatalf("asked for %+v", all)
	}
	must(t, c.BuildPortfolio(ctx, c.id, all[0].ID))
	stands(1, 0)
	mine, err := c.MyVisit(ctx, vera, 0)
	must(t, err)
	if len(mine.Portfolios) != 1 {
		t.Fatalf("the verifier finds %+v", mine.Portfolios)
	}
	p, err := c.VisitPortfolio(ctx, vera, mine.Portfolios[0].ID)
	must(t, err)
	must(t, p.Content.Close())

	c.now = c.now.Add(time.Minute)
	again, err := c.RequestVisitPortfolios(ctx, c.manager, id)
	must(t, err)
	wantKind(t, "stopped by a tutor", c.StopPortfolios(ctx, c.tutor, again), fault.KindForbidden)
	must(t, c.StopPortfolios(ctx, c.manager, again))
	stands(0, 1)
	must(t, c.EndVisit(ctx, c.manager, id))
	_, err = c.RequestVisitPortfolios(ctx, c.manager, id)
	wantKind(t, "after the visit", err, fault.KindConflict)
}
