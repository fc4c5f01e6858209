package store

import (
	"context"
	"fmt"
	"log/slog"
	"time"

	"github.com/google/uuid"
	"github.com/riverqueue/river"
	"github.com/riverqueue/river/riverdriver/riverpgxv5"
)

// riverSchema is where the job queue keeps its own tables.
const riverSchema = "river"

// quickQueue is for what somebody waits for, or what is not to wait: marking, signing logs, letters. Pictures and portfolios, which
// take their time, are in the other one and hold nothing of it up.
const quickQueue = "quick"

// quickAtOnce is how many of these run at once (our own value).
const quickAtOnce = 2

// rescueAfter is how long a job may be marked as running before it counts as dropped by a process that was killed, and is
// run again; the library's own value is an hour, in which nobody marks what a trainee handed over. A kind of job that may
// take longer than this is given that time instead. It has to be more than the library's one minute for jobs of a kind
// that sets no time; the half minute on top is what the clocks of two machines may be apart.
const rescueAfter = 90 * time.Second

// MarkArgs asks for an attempt to be marked.
type MarkArgs struct {
	Centre  int64     `json:"centre"`
	Attempt uuid.UUID `json:"attempt"`
}

// Kind names the job in the queue.
func (MarkArgs) Kind() string { return "mark" }

// PreviewArgs asks for the preview and the visual hash of a photo.
type PreviewArgs struct {
	Centre   int64     `json:"centre"`
	Evidence uuid.UUID `json:"evidence"`
	Anew     int64     `json:"anew,omitempty"` // when something changed of which they are made, µs since 1970; 0 for the first ones
}

// Kind names the job in the queue.
func (PreviewArgs) Kind() string { return "preview" }

// CompareArgs asks for a photo to be held against those of other trainees.
type CompareArgs struct {
	Centre   int64     `json:"centre"`
	Evidence uuid.UUID `json:"evidence"`
}

// Kind names the job in the queue.
func (CompareArgs) Kind() string { return "compare" }

// InsertOpts lets everything that somebody waits for go first.
func (CompareArgs) InsertOpts() river.InsertOpts { return river.InsertOpts{Priority: 4} }

// PortfolioArgs asks for a requested portfolio to be built.
type PortfolioArgs struct {
	Centre    int64     `json:"centre"`
	Portfolio uuid.UUID `json:"portfolio"`
}

// Kind names the job in the queue.
func (PortfolioArgs) Kind() string { return "portfolio" }

// SweepArgs asks for what was begun and never finished to be taken away, in every centre.
type SweepArgs struct{}

// Kind names the job in the queue.
func (SweepArgs) Kind() string { return "sweep" }

// SignLogsArgs asks for the decision log of every centre to be signed where it grew.
type SignLogsArgs struct{}

// Kind names the job in the queue.
func (SignLogsArgs) Kind() string { return "sign_logs" }

// InsertOpts tries once: the next comes within a minute.
func (SignLogsArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{MaxAttempts: 1, Queue: quickQueue}
}

// InsertOpts keeps one unfinished job per photo: a preview made twice is the same preview.
func (PreviewArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{UniqueOpts: river.UniqueOpts{ByArgs: true}}
}

// InsertOpts keeps one job per portfolio: each request is a portfolio of its own.
func (PortfolioArgs) InsertOpts() river.InsertOpts {
	return river.InsertOpts{UniqueOpts: river.UniqueOpts{ByArgs: true}}
}

// insertMark asks for the attempts that %s gives as attempt_id to be marked. It is the insert that the queue's documentation
// gives for work queued from SQL, so that it goes with the statement that causes it; everything else is the columns'
// defaults. Nobody is told of the job: a runner finds it within pollEvery.
const insertMark = `INSERT INTO ` + riverSchema + `.river_job (args, kind, max_attempts, queue)
	SELECT jsonb_build_object('centre', @centre::bigint, 'attempt', m.attempt_id), @kind, @tries, @queue FROM %s AS m`

// pollEvery is how often a runner looks for jobs that it was not told of: a trainee hardly waits, and an idle server has
// four small reads a second.
const pollEvery = 250 * time.Millisecond

// withMark adds to a statement's arguments what insertMark takes.
func (a args) withMark(centre int64) args {
	a["centre"], a["kind"], a["tries"], a["queue"] = centre, MarkArgs{}.Kind(), river.MaxAttemptsDefault, quickQueue
	return a
}

var enqueueMark = fmt.Sprintf(insertMark, `(SELECT @attempt::uuid AS attempt_id)`)

// EnqueueMark asks, within the transaction, for the attempt to be marked.
func (t *Tx) EnqueueMark(ctx context.Context, attempt uuid.UUID) error {
	_, err := t.exec(ctx, "enqueue marking", enqueueMark, args{"attempt": attempt}.withMark(t.centre))
	return err
}

// EnqueuePreview asks, within the transaction, for the photo's preview; asking again has no further effect.
func (t *Tx) EnqueuePreview(ctx context.Context, evidence uuid.UUID) error {
	return t.enqueue(ctx, PreviewArgs{Centre: t.centre, Evidence: evidence})
}

// EnqueueCompare asks, within the transaction, for the photo to be held against those of others.
func (t *Tx) EnqueueCompare(ctx context.Context, evidence uuid.UUID) error {
	return t.enqueue(ctx, CompareArgs{Centre: t.centre, Evidence: evidence})
}

// EnqueuePortfolio asks, within the transaction, for the portfolio to be built; asking again has no further effect.
func (t *Tx) EnqueuePortfolio(ctx context.Context, portfolio uuid.UUID) error {
	return t.enqueue(ctx, PortfolioArgs{Centre: t.centre, Portfolio: portfolio})
}

func (t *Tx) enqueue(ctx context.Context, job river.JobArgs) error {
	if b := t.next(); b.Len() > 0 {
		if err := t.conn.SendBatch(ctx, b).Close(); err != nil {
			return fmt.Errorf("enqueue the job %s: %w", job.Kind(), err)
		}
	}
	if _, err := t.store.jobs.InsertTx(ctx, within{t.conn.Conn()}, job, nil); err != nil {
		return fmt.Errorf("enqueue the job %s: %w", job.Kind(), err)
	}
	return nil
}

// Runner works the job queue until it is stopped.
type Runner interface {
	// Start begins; it ends when ctx does.
	Start(ctx context.Context) error
	// Stop takes no further job and waits for those under way, at most until ctx ends.
	Stop(ctx context.Context) error
	// StopAndCancel also cancels the jobs under way; they are run again later.
	StopAndCancel(ctx context.Context) error
}

// Runner makes a runner for the workers, working on at most atOnce jobs at a time besides those that are quick. A job's worker reads and writes
// through the store with the centre of its arguments. The periodic jobs are put into the queue by one of all the programs
// that work it.
func (s *Store) Runner(workers *river.Workers, periodic []*river.PeriodicJob, atOnce int, log *slog.Logger) (Runner, error) {
	runner, err := river.NewClient(riverpgxv5.New(s.pool), &river.Config{
		Schema:  riverSchema,
		Workers: workers,
		Queues:  map[string]river.QueueConfig{river.QueueDefault: {MaxWorkers: atOnce}, quickQueue: {MaxWorkers: quickAtOnce}},
		Logger:  log,

		FetchPollInterval:    pollEvery,
		RescueStuckJobsAfter: rescueAfter,
		PeriodicJobs:         periodic,
		// Rebuilding indexes needs the tables' owner, which the plain role is not.
		ReindexerIndexNames: []string{},
	})
	if err != nil {
		return nil, fmt.Errorf("prepare to work jobs: %w", err)
	}
	return runner, nil
}

// CentreOfJob is the centre of a queued job, by the function that may read before a centre is known.
func (s *Store) CentreOfJob(ctx context.Context, job int64) (int64, error) {
	rows, err := all[struct{ Centre int64 }](s.outside(ctx), "job", `SELECT centre_id AS centre FROM lookup_job(@job)`, args{"job": job})
	row, err := first(rows, "job", err)
	return row.Centre, err
}
