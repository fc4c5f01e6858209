// Command bench measures handing over against PostgreSQL's own measuring program, in one run on one private cluster with
// the durability of every day, and ends with 1 where a bar is missed.
//
// What pgbench sends is what the program itself sends: the statements of one real hand-over are written down by a tracer
// and turned into a script with the same statements, parameters, round trips and transactions. Both sides take turns, round
// by round, each leg on a fresh clone of one database; of the rounds' ratios the median counts. After each leg the rows in
// the database are counted, so that no side is praised for work that it did not do.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"runtime/pprof"
	"slices"
	"strings"
	"syscall"

	"github.com/jackc/pgx/v5"

	"witnessmark/internal/bench/rounds"
	"witnessmark/internal/httpd"
	"witnessmark/internal/store"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	err := run(ctx, os.Args[1:], os.Stdout)
	if ctx.Err() != nil {
		err = errors.New("stopped before the end, so nothing is said about the bars")
	}
	stop()
	if err != nil {
		fmt.Fprintln(os.Stderr, "bench:", err)
		os.Exit(1)
	}
}

// settings are the flags.
type settings struct {
	seconds, rounds, attempts, stored int
	only, profile                     string
	show                              bool
}

func read(args []string) (settings, error) {
	var s settings
	f := flag.NewFlagSet("bench", flag.ContinueOnError)
	f.IntVar(&s.seconds, "seconds", 2, "what counts of a leg, after its first second; a round has two legs of each side")
	f.IntVar(&s.rounds, "rounds", 5, "rounds of each bar")
	f.IntVar(&s.attempts, "attempts", 0, "open attempts that a leg finds (20,000 for each second)")
	f.IntVar(&s.stored, "stored", 100_000, "marked attempts that are marked again; a multiple of a thousand")
	f.StringVar(&s.only, "only", "", "measure only bars with this in their name")
	f.BoolVar(&s.show, "show", false, "print what pgbench is given to send, and measure nothing")
	f.StringVar(&s.profile, "cpuprofile", "", "write a profile of this program's own work to the file")
	if err := f.Parse(args); err != nil {
		return s, err
	}
	if s.attempts == 0 {
		s.attempts = 20_000 * (s.seconds + 1)
	}
	if s.seconds < 1 || s.rounds < 1 || s.attempts < 1 {
		return s, errors.New("-seconds, -rounds and -attempts have to be 1 at least")
	}
	return s, nil
}

// run measures and prints.
func run(ctx context.Context, args []string, out io.Writer) (err error) {
	s, err := read(args)
	if err != nil {
		return err
	}
	httpd.SettleMemory() // as the server does
	c, err := start(ctx, out)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, c.stop()) }()
	b := &bench{cluster: c, seconds: s.seconds, stored: s.stored}
	if s.show || slices.ContainsFunc(b.bars(), func(k bar) bool { return strings.Contains(k.Name, s.only) }) {
		if err := b.prepare(ctx, s.attempts); err != nil {
			return err
		}
	}
	if s.show {
		_, err := fmt.Fprintf(out, "\n-- the store function\n%s\n-- through echo\n%s", b.byStore, b.byEcho)
		return err
	}
	if s.profile != "" {
		f, err := os.Create(s.profile)
		if err != nil {
			return err
		}
		defer f.Close() // a profile cut short is seen when it is read
		if err := pprof.StartCPUProfile(f); err != nil {
			return err
		}
		defer pprof.StopCPUProfile()
	}
	grown := growths{}
	results, err := rounds.Measure(out, b.comparisons(ctx, grown), s.rounds, s.only)
	if err != nil {
		return err
	}
	if err := grown.print(out, centrePages()); err != nil {
		return err
	}
	fmt.Fprintf(out, "\nPostgreSQL %s, fsync on; %d cores; %s\n", c.version, runtime.NumCPU(), runtime.Version())
	return rounds.Report(out, results)
}

// prepare fills the databases and writes the scripts.
func (b *bench) prepare(ctx context.Context, attempts int) (err error) {
	if b.world, err = fill(ctx, b.cluster, attempts); err != nil {
		return err
	}
	if err := b.policies(ctx); err != nil {
		return err
	}
	if err := b.afresh(ctx, pristine); err != nil {
		return err
	}
	return b.capture(ctx)
}

// capture hands over a few attempts both ways and makes a script of the last of each: by then the connection has prepared
// its statements, and the queue has told its listeners.
func (b *bench) capture(ctx context.Context) (err error) {
	r := &recorder{}
	db, err := store.OpenTraced(ctx, b.url()+"&pool_max_conns=1", r)
	if err != nil {
		return err
	}
	defer db.Close()
	site, err := openSite(db, b.world, 1)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, site.close(context.WithoutCancel(ctx))) }()
	sessions := db.Sessions()
	b.byStore, err = b.scriptOf(ctx, r, 0, func(n number) error { return b.once(ctx, db, sessions, n) })
	if err != nil {
		return err
	}
	b.byEcho, err = b.scriptOf(ctx, r, 10, func(n number) error { return site.handOver(ctx, n) })
	return err
}

func (b *bench) scriptOf(ctx context.Context, r *recorder, from int64, handOver func(number) error) (script, error) {
	var n number
	for i := range int64(3) {
		n = numberOf(from + i)
		r.start()
		if err := handOver(n); err != nil {
			return script{}, err
		}
	}
	calls, err := r.stop()
	if err != nil {
		return script{}, err
	}
	conn, err := pgx.Connect(ctx, b.url())
	if err != nil {
		return script{}, fmt.Errorf("connect as the plain role: %w", err)
	}
	defer func() { err = errors.Join(err, conn.Close(context.WithoutCancel(ctx))) }()
	return scriptOf(ctx, conn, calls, n, len(b.entries))
}

// bars is what has to be reached, and against what.
func (b *bench) bars() []bar {
	through := func(run func(context.Context, int) (tally, error), clients int) leg {
		return leg{pristine, clients, run}
	}
	return []bar{
		against("store: the hand-over store function, 8 clients", through(b.throughStore, 8), through(b.byPgbench(b.byStore), 8), "store", "pgbench", 0.85),
		against("echo: handing over through echo, 8 clients", through(b.throughEcho, 8), through(b.byPgbench(b.byEcho), 8), "echo", "pgbench", 0.65),
		against("echo: handing over through echo, 32 clients", through(b.throughEcho, 32), through(b.byPgbench(b.byEcho), 32), "echo", "pgbench", 0.55),
		against("policies: row-level security, pgbench with the store's SQL, 8 clients", leg{held, 8, b.byPgbench(b.byStore)}, leg{free, 8, b.byPgbench(b.byStore)}, "on", "off", 0.90),
	}
}

// comparisons are the bars with their measuring; what the pages of a centre took is kept in grown, too.
func (b *bench) comparisons(ctx context.Context, grown growths) []rounds.Comparison {
	var all []rounds.Comparison
	for _, k := range b.bars() {
		all = append(all, rounds.Comparison{Bar: k.Bar, Measure: func(theirsFirst bool) (rounds.Round, error) {
			return b.round(ctx, k, theirsFirst)
		}})
	}
	all = append(all, remarking(ctx, b.cluster, b.stored), cohortPage(ctx, b.cluster), peopleList(ctx, b.cluster))
	all = append(all, drawing()...)
	return append(all, centrePagesBars(ctx, b.cluster, grown)...)
}

// round lets the sides take turns as A, B, B, A, so that a machine that grows slower or faster meanwhile does so for both.
func (b *bench) round(ctx context.Context, k bar, theirsFirst bool) (rounds.Round, error) {
	first, second := k.ours, k.theirs
	if theirsFirst {
		first, second = second, first
	}
	var a, z tally
	for i, l := range []leg{first, second, second, first} {
		t, err := b.measure(ctx, l)
		if err != nil {
			return rounds.Round{}, err
		}
		if i == 0 || i == 3 {
			a = a.plus(t)
		} else {
			z = z.plus(t)
		}
	}
	if theirsFirst {
		a, z = z, a
	}
	return rounds.Round{Ours: a.perSecond(), Theirs: z.perSecond()}, nil
}
