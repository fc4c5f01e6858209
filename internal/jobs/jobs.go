// Package jobs works what was asked for in the background: marking, previews, portfolios; and it sweeps. Jobs are taken from
// PostgreSQL, where they were put in the transaction that caused them or when their hour came, and call the application. A
// job that dies is run again, and each has the same effect when it is run twice.
package jobs

import (
	"context"
	"log/slog"
	"time"

	"github.com/riverqueue/river"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// How many jobs run at once, and how long each kind may take (our own values; a preview of 50 megapixels takes seconds, a
// portfolio of 500 photos minutes). A job whose process was killed is run again once its kind's time is up: until then it
// might still be under way elsewhere.
const (
	atOnce           = 4
	markTimeout      = time.Minute
	previewTimeout   = 2 * time.Minute
	portfolioTimeout = 10 * time.Minute
	sweepTimeout     = 10 * time.Minute
	signTimeout      = time.Minute
	letterTimeout    = time.Minute
	purgeTimeout     = 10 * time.Minute // it goes on where it stopped
	remarkTimeout    = time.Minute      // it makes way by itself after half of that
)

// sweepEvery is how often a program that runs all day sweeps (our own value).
const sweepEvery = time.Hour

// signEvery is how often decision logs are signed where they grew: what was decided later than that could be taken back unseen by
// whoever owns the machine (our own value).
const signEvery = time.Minute

// New makes a runner for every kind of job.
func New(db *store.Store, a *app.App, log *slog.Logger) (store.Runner, error) {
	w := river.NewWorkers()
	river.AddWorker(w, &worker[store.MarkArgs]{timeout: markTimeout, do: func(ctx context.Context, j store.MarkArgs) error {
		return a.MarkAttempt(ctx, j.Centre, j.Attempt)
	}})
	river.AddWorker(w, &worker[store.PreviewArgs]{timeout: previewTimeout, do: func(ctx context.Context, j store.PreviewArgs) error {
		return a.MakePreview(ctx, j.Centre, j.Evidence)
	}})
	river.AddWorker(w, &worker[store.CompareArgs]{timeout: previewTimeout, do: func(ctx context.Context, j store.CompareArgs) error {
		return a.ComparePicture(ctx, j.Centre, j.Evidence)
	}})
	river.AddWorker(w, &worker[store.ForgetArgs]{timeout: markTimeout, do: func(ctx context.Context, j store.ForgetArgs) error {
		return a.ForgetBytes(ctx, j.Centre, j.Digests)
	}})
	river.AddWorker(w, &worker[store.PortfolioArgs]{timeout: portfolioTimeout, do: func(ctx context.Context, j store.PortfolioArgs) error {
		return a.BuildPortfolio(ctx, j.Centre, j.Portfolio)
	}})
	river.AddWorker(w, &worker[store.RemarkArgs]{timeout: remarkTimeout, do: func(ctx context.Context, j store.RemarkArgs) error {
		return a.WorkRemark(ctx, j.Centre, j.Remark)
	}})
	river.AddWorker(w, &worker[store.PurgeArgs]{timeout: purgeTimeout, do: func(ctx context.Context, j store.PurgeArgs) error {
		return a.WorkPurge(ctx, j.Centre, j.Purge)
	}})
	river.AddWorker(w, &worker[store.LetterArgs]{timeout: letterTimeout, do: a.SendLetter})
	river.AddWorker(w, &worker[store.SweepArgs]{timeout: sweepTimeout, do: func(ctx context.Context, _ store.SweepArgs) error {
		return a.SweepUploads(ctx)
	}})
	river.AddWorker(w, &worker[store.SignLogsArgs]{timeout: signTimeout, do: func(ctx context.Context, _ store.SignLogsArgs) error {
		return a.SignLogs(ctx)
	}})
	sweep := river.NewPeriodicJob(river.PeriodicInterval(sweepEvery), func() (river.JobArgs, *river.InsertOpts) { return store.SweepArgs{}, nil },
		&river.PeriodicJobOpts{RunOnStart: true})
	sign := river.NewPeriodicJob(river.PeriodicInterval(signEvery), func() (river.JobArgs, *river.InsertOpts) { return store.SignLogsArgs{}, nil },
		&river.PeriodicJobOpts{RunOnStart: true})
	return db.Runner(w, []*river.PeriodicJob{sweep, sign}, atOnce, log)
}

// worker does one kind of job.
type worker[T river.JobArgs] struct {
	river.WorkerDefaults[T]
	timeout time.Duration
	do      func(context.Context, T) error
}

// Timeout is how long one run may take.
func (w *worker[T]) Timeout(*river.Job[T]) time.Duration { return w.timeout }

// Work does the job. One whose thing is gone is given up: trying again brings nothing back.
func (w *worker[T]) Work(ctx context.Context, j *river.Job[T]) error {
	err := w.do(ctx, j.Args)
	if fault.KindOf(err) == fault.KindNotFound {
		return river.JobCancel(err)
	}
	return err
}
