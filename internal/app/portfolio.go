package app

import (
	"context"
	"io"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Units lists the centre's qualification units with their outcomes and criteria.
func (a *App) Units(ctx context.Context, c account.Caller) ([]store.Unit, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	return a.db.UnitsOn(ctx, c.Centre, date(a.today()))
}

// RequestPortfolio asks for the portfolio of a trainee for a qualification unit. It is built in the background.
func (a *App) RequestPortfolio(ctx context.Context, c account.Caller, trainee uuid.UUID, unit string) (uuid.UUID, error) {
	st, err := a.standingsWith(ctx, c, trainee)
	if err != nil {
		return uuid.Nil, err
	}
	if err := account.May(c, account.BuildPortfolio, st...); err != nil {
		return uuid.Nil, err
	}
	if _, err := a.db.UnitOn(ctx, c.Centre, unit, date(a.today())); err != nil {
		return uuid.Nil, err
	}
	sheets, err := a.db.JobSheetsForUnit(ctx, c.Centre, trainee, unit)
	if err != nil {
		return uuid.Nil, err
	}
	if len(sheets) == 0 {
		return uuid.Nil, fault.Conflict("Nothing has been set to this trainee for unit %s, so there is nothing to put together.", unit)
	}
	id, err := newID()
	if err != nil {
		return uuid.Nil, err
	}
	return id, a.db.Write(ctx, c.Centre, func(t *store.Tx) error {
		p := store.Portfolio{ID: id, Trainee: trainee, Unit: unit, RequestedBy: c.Person, RequestedAt: a.now()}
		if err := t.AddPortfolio(ctx, p); err != nil {
			return err
		}
		return t.EnqueuePortfolio(ctx, id)
	})
}

// standingsWith says how the caller stands to a trainee, whatever the cohort.
func (a *App) standingsWith(ctx context.Context, c account.Caller, trainee uuid.UUID) ([]account.Standing, error) {
	var st []account.Standing
	if trainee == c.Person {
		st = append(st, account.Own)
	}
	tutors, err := a.db.TutorsOf(ctx, c.Centre, trainee)
	if err != nil {
		return nil, err
	}
	for _, t := range tutors {
		if t == c.Person {
			st = append(st, account.Teaches)
		}
	}
	return st, nil
}

// Portfolios lists the portfolios that the caller may read, the newest request first.
func (a *App) Portfolios(ctx context.Context, c account.Caller) ([]store.Portfolio, error) {
	if account.May(c, account.ReadPortfolio) == nil {
		return a.db.Portfolios(ctx, c.Centre)
	}
	if !c.Has(account.Tutor) {
		if err := account.May(c, account.ReadPortfolio, account.Own); err != nil {
			return nil, err
		}
		return a.db.PortfoliosOf(ctx, c.Centre, c.Person)
	}
	mine, err := a.myTrainees(ctx, c)
	if err != nil {
		return nil, err
	}
	all, err := a.db.Portfolios(ctx, c.Centre)
	if err != nil {
		return nil, err
	}
	var out []store.Portfolio
	for _, p := range all {
		if mine[p.Trainee] || p.Trainee == c.Person {
			out = append(out, p)
		}
	}
	return out, nil
}

// myTrainees is the trainees of every cohort that the caller tutors.
func (a *App) myTrainees(ctx context.Context, c account.Caller) (map[uuid.UUID]bool, error) {
	cohorts, err := a.db.CohortsOf(ctx, c.Centre, c.Person, store.PartTutor)
	if err != nil {
		return nil, err
	}
	mine := map[uuid.UUID]bool{}
	for _, k := range cohorts {
		_, members, err := a.db.Cohort(ctx, c.Centre, k.ID)
		if err != nil {
			return nil, err
		}
		for _, m := range members {
			mine[m.Person] = mine[m.Person] || m.Part == store.PartTrainee
		}
	}
	return mine, nil
}

// OpenedPortfolio is a finished portfolio. Close the content.
type OpenedPortfolio struct {
	store.Portfolio
	Content io.ReadSeekCloser
}

// OpenPortfolio opens a finished portfolio.
func (a *App) OpenPortfolio(ctx context.Context, c account.Caller, id uuid.UUID) (OpenedPortfolio, error) {
	p, err := a.db.Portfolio(ctx, c.Centre, id)
	if err != nil {
		return OpenedPortfolio{}, err
	}
	st, err := a.standingsWith(ctx, c, p.Trainee)
	if err != nil {
		return OpenedPortfolio{}, err
	}
	if err := hide(account.May(c, account.ReadPortfolio, st...), "portfolio"); err != nil {
		return OpenedPortfolio{}, err
	}
	if p.State != store.PortfolioReady {
		return OpenedPortfolio{}, fault.Conflict("This portfolio is not finished yet.")
	}
	d, err := blob.Parse(p.Digest)
	if err != nil {
		return OpenedPortfolio{}, err
	}
	content, _, err := a.blobs.Open(d)
	return OpenedPortfolio{Portfolio: p, Content: content}, err
}
