package app

import (
	"context"
	"errors"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/pdf"
	"witnessmark/internal/photo"
	"witnessmark/internal/portfolio"
	"witnessmark/internal/store"
)

// portfolioSource loads everything that a portfolio is made from.
func (a *App) portfolioSource(ctx context.Context, centre int64, p store.Portfolio) (portfolio.Source, error) {
	k, err := a.db.Centre(ctx, centre)
	if err != nil {
		return portfolio.Source{}, err
	}
	u, err := a.db.UnitOn(ctx, centre, p.Unit, date(dayOf(p.RequestedAt)))
	if err != nil {
		return portfolio.Source{}, err
	}
	sheets, err := a.sheetsWithCopies(ctx, centre, p)
	if err != nil {
		return portfolio.Source{}, err
	}
	if err := a.strip(ctx, k, sheets); err != nil {
		return portfolio.Source{}, err
	}
	src := portfolio.Source{ID: p.ID, MadeAt: p.RequestedAt, CentreName: k.Name, CentreCode: k.Code, Trainee: p.TraineeName, Unit: unitOf(u),
		Photos: portfolio.Photos(k.PortfolioPhotos)}
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
			if at.Evidence[i].Uncarried, err = a.uncarried(src.Photos, e); err != nil {
				return portfolio.Source{}, err
			}
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
	src.Samples, err = a.samplesOf(ctx, centre, src)
	return src, err
}

// samplesOf are the samples that drew one of the attempts which are judged; of the rest nobody is told yet.
func (a *App) samplesOf(ctx context.Context, centre int64, src portfolio.Source) ([]portfolio.Sample, error) {
	var judged []uuid.UUID
	for _, t := range src.Tasks {
		for _, at := range t.Attempts {
			if closed(at.State) {
				judged = append(judged, at.ID)
			}
		}
	}
	drawn, err := a.db.SamplesOfAttempts(ctx, centre, judged)
	var out []portfolio.Sample
	for _, d := range drawn {
		s := portfolio.Sample{ID: d.Sample, Attempt: d.Attempt, Plan: d.Plan, DrawnBy: d.DrawnBy, DrawnAt: d.DrawnAt,
			Outcome: d.Outcome, Words: d.Words, Sampler: d.Sampler, Role: d.Role, LookedAt: d.LookedAt}
		for _, f := range d.Why {
			s.Why = append(s.Why, f.Words())
		}
		out = append(out, s)
	}
	return out, err
}

// drawAgainAfter is how long no portfolio tries again to draw a photo that could not be drawn (our own value: long enough that those of
// a cohort do not wait for it one by one, and a machine that was too busy for it gets another chance).
const drawAgainAfter = 24 * time.Hour

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
			if !a.uncopied(e) || a.now().Sub(e.UndrawnAt) < drawAgainAfter {
				continue
			}
			content, err := a.openChecked(e.Digest)
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

// uncarried says whether a JPEG that is to stand in the file as it was uploaded is of a kind that an archive does not take.
func (a *App) uncarried(show portfolio.Photos, e store.Evidence) (bool, error) {
	if show == portfolio.Previews || e.MediaType != string(photo.JPEG) || len(e.Covers) > 0 || !e.WithdrawnAt.IsZero() {
		return false, nil
	}
	content, _, err := a.openStored(e.Digest)
	if err != nil {
		return false, err
	}
	return pdf.Carries(content) != nil, content.Close()
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
