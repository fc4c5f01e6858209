package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"strconv"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/store"
)

// leg is one measurement: hand-overs by some clients side by side for a while.
type leg struct {
	template string // which database it runs on a clone of
	clients  int
	run      func(ctx context.Context, clients int) (tally, error)
}

// tally is what a leg did: hand-overs in all, and those that count with the time that they took. The first second does not
// count: in it connections prepare and plan their statements, which a server does once in its life.
type tally struct {
	done    int
	counted float64
	took    time.Duration
}

// warmUp is the part of each leg that does not count.
const warmUp = time.Second

func (t tally) plus(u tally) tally {
	return tally{t.done + u.done, t.counted + u.counted, t.took + u.took}
}

func (t tally) perSecond() float64 { return t.counted / t.took.Seconds() }

// bench has what the legs work with.
type bench struct {
	*cluster
	world
	seconds, stored int
	byStore, byEcho script
}

// measure runs a leg on a fresh clone and holds what it claims against what the database has in the end.
func (b *bench) measure(ctx context.Context, l leg) (tally, error) {
	if err := b.afresh(ctx, l.template); err != nil {
		return tally{}, err
	}
	t, err := l.run(ctx, l.clients)
	if err != nil {
		return tally{}, err
	}
	return t, b.as(ctx, running, func(conn *pgx.Conn) error { return b.believe(ctx, conn, t) })
}

// believe refuses a tally that the rows do not bear out.
func (b *bench) believe(ctx context.Context, conn *pgx.Conn, t tally) error {
	var attempts, entries, jobs int
	err := conn.QueryRow(ctx, `SELECT count(DISTINCT a.attempt_id), count(e.entry_id), (SELECT count(*) FROM river.river_job WHERE kind = 'mark')
		FROM attempt a JOIN entry e ON e.centre_id = a.centre_id AND e.attempt_id = a.attempt_id
		WHERE a.state = 'handed_over'`).Scan(&attempts, &entries, &jobs)
	if err != nil {
		return fmt.Errorf("count what was handed over: %w", err)
	}
	if attempts != t.done || jobs != t.done || entries != t.done*len(b.entries) {
		return fmt.Errorf("%d hand-overs left %d attempts handed over, %d entries and %d jobs; %d attempts were open (raise -attempts if that is too few)",
			t.done, attempts, entries, jobs, b.attempts)
	}
	return nil
}

// throughStore hands over through the store alone: the session's look-up, then the hand-over with its job.
func (b *bench) throughStore(ctx context.Context, clients int) (tally, error) {
	db, err := store.Open(ctx, b.url())
	if err != nil {
		return tally{}, err
	}
	defer db.Close()
	sessions := db.Sessions()
	return b.drive(ctx, clients, func(ctx context.Context, n number) error { return b.once(ctx, db, sessions, n) })
}

func (b *bench) once(ctx context.Context, db *store.Store, sessions *store.Sessions, n number) error {
	_, found, err := sessions.FindCtx(ctx, token(n.trainee()))
	if err != nil {
		return err
	}
	if !found {
		return fmt.Errorf("hand-over %d has no session", n)
	}
	h, err := b.handOver(n)
	if err != nil {
		return err
	}
	return db.HandOver(ctx, b.centre, h)
}

// throughEcho hands over as a trainee's phone does: over HTTP, with session, validation and the application's rules.
func (b *bench) throughEcho(ctx context.Context, clients int) (t tally, err error) {
	db, err := store.Open(ctx, b.url())
	if err != nil {
		return tally{}, err
	}
	defer db.Close()
	s, err := openSite(db, b.world, clients)
	if err != nil {
		return tally{}, err
	}
	defer func() { err = errors.Join(err, s.close(context.WithoutCancel(ctx))) }()
	return b.drive(ctx, clients, s.handOver)
}

// drive lets clients hand over one attempt after another until the time is up; those under way are still finished, but do
// not count.
func (b *bench) drive(ctx context.Context, clients int, handOver func(context.Context, number) error) (tally, error) {
	var next, done atomic.Int64
	var wg sync.WaitGroup
	errs := make([]error, clients)
	began := time.Now()
	until := began.Add(warmUp + time.Duration(b.seconds)*time.Second)
	for c := range clients {
		wg.Go(func() {
			for errs[c] == nil && time.Now().Before(until) {
				if errs[c] = handOver(ctx, numberOf(next.Add(1)-1)); errs[c] == nil {
					done.Add(1)
				}
			}
		})
	}
	time.Sleep(time.Until(began.Add(warmUp)))
	from, at := done.Load(), time.Now()
	time.Sleep(time.Until(until))
	t := tally{counted: float64(done.Load() - from), took: time.Since(at)}
	wg.Wait()
	t.done = int(done.Load())
	return t, errors.Join(errs...)
}

// byPgbench is a leg by PostgreSQL's own program. Like the others it opens its connections before the clock starts.
func (b *bench) byPgbench(s script) func(context.Context, int) (tally, error) {
	return func(ctx context.Context, clients int) (tally, error) {
		file := filepath.Join(b.dir, "hand-over.sql")
		if err := os.WriteFile(file, []byte(s.body), 0o644); err != nil {
			return tally{}, fmt.Errorf("write pgbench's script: %w", err)
		}
		args := []string{"--no-vacuum", "--protocol=prepared", "--client", strconv.Itoa(clients), "--jobs", strconv.Itoa(min(clients, runtime.NumCPU())),
			"--time", strconv.Itoa(int(warmUp.Seconds()) + b.seconds), "--progress", "1", "--host", b.pg.SocketDir(), "--port", "5432", "--username", store.Role, "--file", file,
			"--define", "i=-1", "--define", "clients=" + strconv.Itoa(clients)}
		for _, v := range s.variables {
			args = append(args, "--define", v)
		}
		cmd := exec.CommandContext(ctx, b.pgbench, append(args, running)...)
		cmd.Env = append(os.Environ(), "PGOPTIONS=-c plan_cache_mode="+store.PlanCacheMode) // as the store's connections have it
		out, err := cmd.CombinedOutput()
		if err != nil {
			return tally{}, fmt.Errorf("pgbench: %w\n%s", err, out)
		}
		return readPgbench(string(out))
	}
}

var (
	processed = regexp.MustCompile(`(?m)^number of transactions actually processed: (\d+)`)
	failed    = regexp.MustCompile(`(?m)^number of failed transactions: ([1-9]\d*)`)
	progress  = regexp.MustCompile(`(?m)^progress: ([0-9.]+) s, ([0-9.]+) tps`)
)

// readPgbench reads pgbench's report: the sum, and second by second how fast it went.
func readPgbench(report string) (tally, error) {
	count, seconds := processed.FindStringSubmatch(report), progress.FindAllStringSubmatch(report, -1)
	if count == nil || len(seconds) < 2 || failed.MatchString(report) {
		return tally{}, fmt.Errorf("pgbench did not do what was asked:\n%s", report)
	}
	var t tally
	var err error
	if t.done, err = strconv.Atoi(count[1]); err != nil {
		return tally{}, fmt.Errorf("read pgbench's count: %w", err)
	}
	var last float64
	for i, s := range seconds {
		at, errAt := strconv.ParseFloat(s[1], 64)
		rate, errRate := strconv.ParseFloat(s[2], 64)
		if err := errors.Join(errAt, errRate); err != nil {
			return tally{}, fmt.Errorf("read pgbench's progress: %w", err)
		}
		if i > 0 {
			t.counted += rate * (at - last)
			t.took += time.Duration((at - last) * float64(time.Second))
		}
		last = at
	}
	if t.counted <= 0 {
		return tally{}, fmt.Errorf("pgbench did nothing after its first second:\n%s", report)
	}
	return t, nil
}
