package store_test

import (
	"context"
	"log/slog"
	"strings"
	"sync"
	"testing"

	"github.com/riverqueue/river"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// notes is a log that a test looks through.
type notes struct {
	mu   sync.Mutex
	text strings.Builder
}

func (n *notes) Write(p []byte) (int, error) {
	n.mu.Lock()
	defer n.mu.Unlock()
	return n.text.Write(p)
}

// The plain role works the queue: it may do all that a client of the queue does, and reads in the centre of the job.
func TestRunnerWorksJobsAsThePlainRole(t *testing.T) {
	b := newBench(t)
	ctx := t.Context()
	type seen struct {
		args   store.MarkArgs
		centre int64
		err    error
	}
	worked := make(chan seen, 1)
	workers := river.NewWorkers()
	river.AddWorker(workers, river.WorkFunc(func(ctx context.Context, job *river.Job[store.MarkArgs]) error {
		centre, err := b.CentreOfJob(ctx, job.ID)
		if err == nil {
			_, err = b.JobSheet(ctx, job.Args.Centre, job.Args.Attempt)
		}
		worked <- seen{job.Args, centre, err}
		return err
	}))
	var log notes
	runner, err := b.Runner(workers, nil, 2, slog.New(slog.NewTextHandler(&log, &slog.HandlerOptions{Level: slog.LevelWarn})))
	if err != nil {
		t.Fatal(err)
	}
	if err := runner.Start(ctx); err != nil {
		t.Fatal(err)
	}
	b.write(t, func(tx *store.Tx) error { return tx.EnqueueMark(ctx, b.annDoes) })
	if got := <-worked; got.err != nil || got.centre != b.centre || got.args != (store.MarkArgs{Centre: b.centre, Attempt: b.annDoes}) {
		t.Errorf("worked %+v", got)
	}
	if err := runner.Stop(ctx); err != nil {
		t.Error(err)
	}
	if log.text.Len() > 0 {
		t.Errorf("the queue warns:\n%s", log.text.String())
	}
	if got := value[string](t, connect(t, b.urls.Super), `SELECT state::text FROM river.river_job`); got != "completed" {
		t.Errorf("the job is %s, want completed", got)
	}
	if _, err := b.CentreOfJob(ctx, 999); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("the centre of no job: %v, want NotFound", err)
	}
}
