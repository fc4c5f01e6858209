package app

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// PortfolioSet is the portfolios of a cohort or of a visit's list for a unit, with how far they have come.
type PortfolioSet = store.PortfolioSet

// RequestPortfolios asks for the portfolio of each trainee of a cohort who was set something for the unit. They are built in the
// background, several at once.
func (a *App) RequestPortfolios(ctx context.Context, c account.Caller, cohort uuid.UUID, unit string) (uuid.UUID, error) {
	if err := a.mayBuildFor(ctx, c, cohort); err != nil {
		return uuid.Nil, err
	}
	if _, err := a.db.UnitOn(ctx, c.Centre, unit, date(a.today())); err != nil {
		return uuid.Nil, err
	}
	trainees, err := a.db.SetTrainees(ctx, c.Centre, cohort, unit)
	if err != nil {
		return uuid.Nil, err
	}
	if len(trainees) == 0 {
		return uuid.Nil, fault.Conflict("Nothing has been set to anybody of this cohort for unit %s, so there is nothing to put together.", unit)
	}
	set, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return set, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		return addPortfolioSet(ctx, t, store.PortfolioSet{ID: set, Cohort: cohort, Unit: unit, RequestedBy: c.Person, RequestedAt: a.now()}, trainees)
	})
}

// addPortfolioSet keeps a set with a portfolio for each trainee, and has each built.
func addPortfolioSet(ctx context.Context, t *store.Tx, s store.PortfolioSet, trainees []uuid.UUID) error {
	portfolios := make([]uuid.UUID, len(trainees))
	for i := range portfolios {
		id, err := newID()
		if err != nil {
			return err
		}
		portfolios[i] = id
	}
	if err := t.AddPortfolioSet(ctx, s, portfolios, trainees); err != nil {
		return err
	}
	for _, id := range portfolios {
		if err := t.EnqueuePortfolio(ctx, id); err != nil {
			return err
		}
	}
	return nil
}

// RequestVisitPortfolios asks for the portfolio of everybody on a visit's list for the visit's unit, so that the verifier finds them.
// Conflict where the visit is over, its list is empty, or they are being built already.
func (a *App) RequestVisitPortfolios(ctx context.Context, c account.Caller, visit uuid.UUID) (uuid.UUID, error) {
	if err := mayBuildForVisit(c); err != nil {
		return uuid.Nil, err
	}
	set, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return set, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		v, err := t.LockVisit(ctx, visit)
		if err != nil {
			return err
		}
		before, err := t.VisitSet(ctx, visit)
		if err != nil {
			return err
		}
		trainees, err := t.VisitTrainees(ctx, visit)
		switch {
		case err != nil:
			return err
		case !v.Runs(a.now()):
			return fault.Conflict("This visit is over. Ask for single portfolios on the page of portfolios.")
		case len(trainees) == 0:
			return fault.Conflict("Nothing is on the visit's list yet, so it names nobody. The verifier chooses or draws first.")
		case len(before) > 0 && before[0].Left() > 0:
			return fault.Conflict("The portfolios for this visit are being put together already: %d of %d are ready.", before[0].Ready, before[0].Total)
		}
		return addPortfolioSet(ctx, t, store.PortfolioSet{ID: set, Visit: visit, Unit: v.Unit, RequestedBy: c.Person, RequestedAt: a.now()}, trainees)
	})
}

// mayBuildForVisit says whether the caller may ask for the portfolios of a visit's list.
func mayBuildForVisit(c account.Caller) error {
	if err := account.May(c, account.ArrangeVisit); err != nil {
		return err
	}
	return account.May(c, account.BuildPortfolio)
}

// mayBuildFor says whether the caller may ask for the portfolios of a cohort; one that they may not see is NotFound.
func (a *App) mayBuildFor(ctx context.Context, c account.Caller, cohort uuid.UUID) error {
	k, err := a.Cohort(ctx, c, cohort)
	if err != nil {
		return err
	}
	var st []account.Standing
	for _, m := range k.Tutors {
		if m.Person == c.Person {
			st = append(st, account.Teaches)
		}
	}
	return account.May(c, account.BuildPortfolio, st...)
}

// PortfolioSets lists the newest sets that the caller may have asked for, with how far each has come.
func (a *App) PortfolioSets(ctx context.Context, c account.Caller) ([]PortfolioSet, error) {
	if account.May(c, account.BuildPortfolio) == nil {
		return a.db.PortfolioSets(ctx, c.Centre, nil)
	}
	if err := account.May(c, account.BuildPortfolio, account.Teaches); err != nil {
		return nil, err
	}
	cohorts, err := a.db.CohortsOf(ctx, c.Centre, c.Person, store.PartTutor)
	if err != nil {
		return nil, err
	}
	ids := []uuid.UUID{}
	for _, k := range cohorts {
		ids = append(ids, k.ID)
	}
	return a.db.PortfolioSets(ctx, c.Centre, ids)
}

// StopPortfolios has those of a set that are not ready never be built; what is under way is thrown away.
func (a *App) StopPortfolios(ctx context.Context, c account.Caller, set uuid.UUID) error {
	s, err := a.db.PortfolioSet(ctx, c.Centre, set)
	if err != nil {
		return err
	}
	if s.Visit != uuid.Nil {
		err = mayBuildForVisit(c)
	} else {
		err = a.mayBuildFor(ctx, c, s.Cohort)
	}
	if err != nil {
		return err
	}
	return a.db.Write(ctx, c.Centre, func(t *store.Tx) error { return t.StopPortfolioSet(ctx, set, c.Person, a.now()) })
}
