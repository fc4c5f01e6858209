package app

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/fault"
	"witnessmark/internal/pdf"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// portfolioLimit bounds a portfolio's size in bytes: five hundred photos of the largest kind.
const portfolioLimit = 500 * EvidenceLimit

// Units lists the centre's qualification units with their outcomes and criteria.
func (a *App) Units(ctx context.Context, c account.Caller) ([]store.Unit, error) {
	if err := account.May(c, account.SeeBriefs); err != nil {
		return nil, err
	}
	return a.db.Units(ctx, c.Centre)
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
	if _, err := a.db.Unit(ctx, c.Centre, unit); err != nil {
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

// BuildPortfolio builds a requested portfolio: the job's work, on nobody's behalf. Done again it has the same effect.
// Trouble that trying again does not mend is written to the portfolio for people to read.
func (a *App) BuildPortfolio(ctx context.Context, centre int64, id uuid.UUID) error {
	p, err := a.db.Portfolio(ctx, centre, id)
	if err != nil || p.State == store.PortfolioReady {
		return err
	}
	src, err := a.portfolioSource(ctx, centre, p)
	var digest blob.Digest
	var size int64
	if err == nil {
		digest, size, err = a.drawPortfolio(ctx, src)
	}
	p.State, p.BuiltAt, p.Digest, p.Size = store.PortfolioReady, a.now(), hex.EncodeToString(digest[:]), size
	if note := spoilt(err); note != "" {
		p.State, p.Note, p.Digest, p.Size = store.PortfolioFailed, note, "", 0
	} else if err != nil {
		return err
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error {
		now, err := t.LockPortfolio(ctx, id)
		if err != nil || now.State == store.PortfolioReady {
			return err
		}
		return t.SavePortfolio(ctx, p)
	})
}

// spoilt says in words that stored evidence is damaged or missing, which trying again does not mend; "" for all else.
func spoilt(err error) string {
	var bad *blob.MismatchError
	if errors.As(err, &bad) {
		return fmt.Sprintf("A stored file no longer has the bytes it was received with (SHA-256 %s), so nothing was built. Restore it from your backup and ask again.", bad.Want)
	}
	var missing *missingError
	if errors.As(err, &missing) {
		return fmt.Sprintf("A stored file is missing from the evidence folder (SHA-256 %s), so nothing was built. Restore it from your backup and ask again.", missing.digest)
	}
	return ""
}

// missingError says that evidence whose row is there has no bytes. It is not NotFound: nobody asked for a wrong thing.
type missingError struct{ digest string }

func (e *missingError) Error() string { return "the evidence folder does not hold " + e.digest }

// drawPortfolio draws into the folder of evidence, in bounded memory.
func (a *App) drawPortfolio(ctx context.Context, src portfolio.Source) (blob.Digest, int64, error) {
	pr, pw := io.Pipe()
	go func() {
		pw.CloseWithError(pdf.Portfolio(ctx, pw, portfolio.Assemble(src), a.openVerified))
	}()
	d, size, err := a.blobs.Put(ctx, pr, portfolioLimit)
	return d, size, errors.Join(err, pr.Close())
}

// openVerified opens a stored file once its bytes have been held against their digest: what goes into a portfolio is what
// was received.
func (a *App) openVerified(digest string) (io.ReadCloser, error) {
	d, err := blob.Parse(digest)
	if err != nil {
		return nil, err
	}
	if err := a.blobs.Verify(d); fault.KindOf(err) == fault.KindNotFound {
		return nil, &missingError{digest}
	} else if err != nil {
		return nil, err
	}
	content, _, err := a.blobs.Open(d)
	return content, err
}

// portfolioSource loads everything that a portfolio is made from.
func (a *App) portfolioSource(ctx context.Context, centre int64, p store.Portfolio) (portfolio.Source, error) {
	k, err := a.db.Centre(ctx, centre)
	if err != nil {
		return portfolio.Source{}, err
	}
	u, err := a.db.Unit(ctx, centre, p.Unit)
	if err != nil {
		return portfolio.Source{}, err
	}
	sheets, err := a.sheetsWithCopies(ctx, centre, p)
	if err != nil {
		return portfolio.Source{}, err
	}
	src := portfolio.Source{ID: p.ID, MadeAt: p.RequestedAt, CentreName: k.Name, CentreCode: k.Code, Trainee: p.TraineeName, Unit: unitOf(u)}
	for i, j := range sheets {
		src.TraineeCode, src.Cohort = j.Trainee.SignInName, j.Task.CohortName
		r, err := a.forAttempt(j)
		if err != nil {
			return portfolio.Source{}, err
		}
		if i == 0 || sheets[i-1].Task.ID != j.Task.ID {
			src.Tasks = append(src.Tasks, portfolio.Task{
				Brief: r.brief, Version: j.Brief.Version, Digest: j.Brief.Digest, SetBy: j.Task.SetByName, SetAt: j.Task.SetAt, DueOn: j.Task.DueOn,
			})
		}
		t := &src.Tasks[len(src.Tasks)-1]
		at := attemptOf(j, r.brief)
		at.Brief = r.brief
		for i, e := range j.Evidence {
			at.Evidence[i].Withheld = a.uncopied(e)
		}
		used, _ := rulesOf(loaded{JobSheet: j, ruled: r})
		for _, e := range used {
			at.Rules = append(at.Rules, portfolio.Rules{
				Title: e.Title, Edition: e.Edition, From: e.ValidFrom, To: e.LastDay, EnteredBy: e.EntererName, CheckedBy: e.CheckerName, Demonstration: e.Demonstration,
			})
		}
		if closed(at.State) {
			at.Explained = explanations(r.compiled, loaded{JobSheet: j})
		} else { // the trainee may read the portfolio, and the tutor has not said anything yet
			at.Marking, at.MarkedAt, at.Records = nil, time.Time{}, withoutJudging(at.Records)
		}
		t.Attempts = append(t.Attempts, at)
	}
	return src, nil
}

// sheetsWithCopies reads the attempts that go into a portfolio, once the copies of all their photos are made: what leaves the
// centre is drawn from copies alone where one is called for, and only making them shows that.
func (a *App) sheetsWithCopies(ctx context.Context, centre int64, p store.Portfolio) ([]store.JobSheet, error) {
	sheets, err := a.db.JobSheetsForUnit(ctx, centre, p.Trainee, p.Unit)
	if err != nil {
		return nil, err
	}
	made := false
	for _, j := range sheets {
		for _, e := range j.Evidence {
			if !a.uncopied(e) {
				continue
			}
			content, err := a.openVerified(e.Digest)
			if err != nil {
				return nil, err
			}
			if err := errors.Join(content.Close(), a.MakePreview(ctx, centre, e.ID)); err != nil {
				return nil, err
			}
			made = true
		}
	}
	if !made {
		return sheets, nil
	}
	return a.db.JobSheetsForUnit(ctx, centre, p.Trainee, p.Unit)
}

// uncopied says whether a photo has no copies, yet or for good.
func (a *App) uncopied(e store.Evidence) bool {
	return a.previewed(e) && e.PreviewDigest == "" && e.WithdrawnAt.IsZero()
}

func unitOf(u store.Unit) portfolio.Unit {
	out := portfolio.Unit{Code: u.Code, Title: u.Title, Edition: u.Edition}
	for _, o := range u.Outcomes {
		po := portfolio.Outcome{Code: o.Code, Title: o.Title}
		for _, c := range o.Criteria {
			po.Criteria = append(po.Criteria, portfolio.Criterion{Code: c.Code, Text: c.Text})
		}
		out.Outcomes = append(out.Outcomes, po)
	}
	return out
}
