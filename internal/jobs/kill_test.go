package jobs_test

import (
	"bufio"
	"context"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/jobs"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/store"
)

// The tests in this file run this test program again as a worker of the queue, and kill it in the middle of a job.

// workerEnv makes this program a worker: the address of the database, and the evidence folder is its only argument.
const workerEnv = "WITNESSMARK_JOBS_WORKER"

func TestMain(m *testing.M) {
	if url := os.Getenv(workerEnv); url != "" {
		if err := worker(url, os.Args[1]); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	testpg.Main(m)
}

// worker works jobs until it is killed, or until its parent is no longer there to read from.
func worker(url, dir string) error {
	ctx := context.Background()
	db, err := store.Open(ctx, url)
	if err != nil {
		return err
	}
	blobs, err := blob.OpenFolder(dir)
	if err != nil {
		return err
	}
	runner, err := jobs.New(db, app.New(db, blobs, nil), slog.New(slog.DiscardHandler))
	if err != nil {
		return err
	}
	if err := runner.Start(ctx); err != nil {
		return err
	}
	_, err = bufio.NewReader(os.Stdin).ReadString('\n')
	return err
}

// spawn starts a worker; the function it gives kills it as nothing else can be, and waits for its end.
func (c *centre) spawn(t *testing.T) (kill func()) {
	t.Helper()
	cmd := exec.Command(os.Args[0], c.dir)
	cmd.Env = append(os.Environ(), workerEnv+"="+c.urls.App)
	cmd.Stderr = os.Stderr
	_, err := cmd.StdinPipe() // closes when this program ends, and the worker with it
	must(t, err)
	must(t, cmd.Start())
	killed := false
	kill = func() {
		if !killed {
			killed = true
			must(t, cmd.Process.Kill())
			_ = cmd.Wait() // says that it was killed
		}
	}
	t.Cleanup(kill)
	return kill
}

// stall puts a FIFO in a blob's place. Whoever opens it waits for us; the function it gives waits for that moment, and
// another puts the blob back.
func (c *centre) stall(t *testing.T, digest string) (reached, mend func()) {
	t.Helper()
	path := c.file(digest)
	must(t, os.Rename(path, path+".aside"))
	must(t, syscall.Mkfifo(path, 0o640))
	return func() {
			for began := time.Now(); ; time.Sleep(10 * time.Millisecond) {
				// Without a reader the kernel refuses a writer that will not wait (ENXIO, fifo(7)).
				fd, err := syscall.Open(path, syscall.O_WRONLY|syscall.O_NONBLOCK|syscall.O_CLOEXEC, 0)
				if err == nil {
					t.Cleanup(func() { _ = syscall.Close(fd) })
					return
				}
				if time.Since(began) > patience {
					t.Fatalf("nobody opened the blob: %v\nthe queue: %s", err, one[string](t, c, queue))
				}
			}
		}, func() {
			must(t, os.Remove(path))
			must(t, os.Rename(path+".aside", path))
		}
}

// dead checks that the queue still has the one job of the kind as running: nobody was left to say otherwise.
func (c *centre) dead(t *testing.T, kind string) {
	t.Helper()
	if got := one[string](t, c, `SELECT concat_ws(' ', state, attempt) FROM river.river_job WHERE kind = $1`, kind); got != "running 1" {
		t.Fatalf("after the worker was killed the job is %q, want it running at its first attempt", got)
	}
}

// finished checks that the kind's one job was done at its second attempt.
func (c *centre) finished(t *testing.T, kind string) {
	t.Helper()
	if got := one[string](t, c, `SELECT concat_ws(' ', state, attempt) FROM river.river_job WHERE kind = $1`, kind); got != "completed 2" {
		t.Errorf("the job is %q, want it completed at its second attempt", got)
	}
}

func TestAPortfolioWhoseWorkerWasKilledIsBuiltOnce(t *testing.T) {
	c := newCentre(t)
	c.photo(t, picture(t, 1))
	last := c.photo(t, picture(t, 2))
	c.handOver(t)
	c.work(t)
	reached, mend := c.stall(t, last.Digest)
	id := c.request(t)
	kill := c.spawn(t)
	reached() // the first photo is drawn by now
	kill()
	mend()
	c.dead(t, "portfolio")
	if p, err := c.db.Portfolio(t.Context(), c.id, id); err != nil || p.State == store.PortfolioReady {
		t.Errorf("half-way the portfolio is %s, %v", p.State, err)
	}
	if pdfs := c.kept(t, "%PDF-"); len(pdfs) != 0 {
		t.Errorf("half-way the folder keeps %q", pdfs)
	}
	c.passes(t, 15*time.Minute)
	c.work(t)
	c.finished(t, "portfolio")
	p, err := c.OpenPortfolio(t.Context(), c.manager, id)
	must(t, err)
	must(t, p.Content.Close())
	if pdfs := c.kept(t, "%PDF-"); len(pdfs) != 1 || pdfs[0] != p.Digest {
		t.Errorf("the folder keeps the portfolios %q, want %s alone", pdfs, p.Digest)
	}
}

func TestAPreviewWhoseWorkerWasKilledIsMadeOnce(t *testing.T) {
	c := newCentre(t)
	e := c.photo(t, picture(t, 1))
	reached, mend := c.stall(t, e.Digest)
	kill := c.spawn(t)
	reached()
	kill()
	mend()
	c.dead(t, "preview")
	c.passes(t, 5*time.Minute)
	c.work(t)
	c.finished(t, "preview")
	if pictures := c.kept(t, "\xff\xd8"); len(pictures) != 2 {
		t.Errorf("the folder keeps the pictures %q, want the photo and its preview", pictures)
	}
}

func TestAnAttemptWhoseWorkerWasKilledIsMarkedOnce(t *testing.T) {
	c := newCentre(t)
	c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.work(t)
	c.handOver(t)
	other, err := pgx.Connect(t.Context(), c.urls.Super)
	must(t, err)
	defer other.Close(context.Background())
	tx, err := other.Begin(t.Context()) // somebody holds the attempt, and the marker waits for it
	must(t, err)
	_, err = tx.Exec(t.Context(), `SELECT FROM attempt WHERE attempt_id = $1 FOR UPDATE`, c.attempt)
	must(t, err)
	kill := c.spawn(t)
	c.until(t, "the marker waits for the attempt", `SELECT EXISTS (SELECT FROM pg_stat_activity WHERE datname = current_database() AND wait_event_type = 'Lock')`)
	kill()
	must(t, tx.Rollback(t.Context()))
	c.dead(t, "mark")
	c.passes(t, 5*time.Minute)
	c.work(t)
	c.finished(t, "mark")
	if got := one[string](t, c, `SELECT concat_ws(' ', state, (SELECT count(*) FROM marking)) FROM attempt`); got != "checked 1" {
		t.Errorf("the attempt is left as %q, want it checked with one marking", got)
	}
}

// TestARescueWaitsForWhatMayStillRun has a mark and a portfolio whose worker fell silent three minutes ago. A mark takes
// a minute at most, so it is run again; the portfolio may still be under way somewhere else, and is left alone until its
// own time is up.
func TestARescueWaitsForWhatMayStillRun(t *testing.T) {
	c := newCentre(t)
	c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.handOver(t)
	c.work(t)
	id := c.request(t)
	c.again(t)
	silent := func(kind string, since time.Duration) {
		_, err := c.super.Exec(t.Context(), `
			UPDATE river.river_job SET state = 'running', attempt = 1, attempted_at = now() - $2::interval, attempted_by = '{elsewhere}'
			WHERE kind = $1`, kind, since)
		must(t, err)
	}
	silent("mark", 3*time.Minute)
	silent("portfolio", 3*time.Minute)
	stop := c.start(t)
	c.until(t, "the mark is done again", `SELECT state = 'completed' FROM river.river_job WHERE kind = 'mark'`)
	stop()
	c.dead(t, "portfolio")
	silent("portfolio", 11*time.Minute)
	c.work(t)
	c.finished(t, "portfolio")
	if got := one[string](t, c, `SELECT string_agg(concat_ws(' ', portfolio_id, state), ' ') FROM portfolio`); got != strings.Join([]string{id.String(), "ready"}, " ") {
		t.Errorf("the portfolios are left as %q", got)
	}
}
