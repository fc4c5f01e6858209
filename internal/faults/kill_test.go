//go:build linux

package faults_test

import (
	"math/rand/v2"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
)

// tasksACycle is how many attempts each trainee has before something is killed: more than can be filled.
const tasksACycle = 6

// How often something is killed: the program, PostgreSQL, and in every third of the last both.
const (
	killsOfProgram  = 20
	killsOfPostgres = 12
	bothEvery       = 3
)

// checkEvery is after how many cycles of a long run the ledger is compared, so that it does not go on for nothing.
const checkEvery = 20

// TestNothingIsLostWhenTheProgramIsKilled kills the program, whose private PostgreSQL ends with it.
func TestNothingIsLostWhenTheProgramIsKilled(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, true))
	w.underFire(t, times(killsOfProgram), func(_ int, rng *rand.Rand) {
		time.Sleep(moment(rng))
		w.kill()
		w.start(t)
	})
}

// TestNothingIsLostWhenPostgresIsKilled kills a PostgreSQL that is not the program's own, with all its children; every
// third time the program too. A program that lives on finds its way back to the new one.
func TestNothingIsLostWhenPostgresIsKilled(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, false))
	if *lossy {
		w.acknowledgeEarly(t)
	}
	w.underFire(t, times(killsOfPostgres), func(cycle int, rng *rand.Rand) {
		time.Sleep(moment(rng))
		w.killPostgres(t)
		both := cycle%bothEvery == bothEvery-1
		if both {
			w.kill()
		}
		must(t, w.startPostgres(t.Context()))
		if both {
			w.start(t)
		}
	})
}

// TestTheProgramEndsWithItsPostgres kills the private PostgreSQL alone. The program would answer everything with trouble
// from then on, so it ends and says why; started again it has everything.
func TestTheProgramEndsWithItsPostgres(t *testing.T) {
	t.Parallel()
	w := furnish(t, install(t, true))
	w.setTasks(t, 1)
	tr := w.work[0]
	if tr.open(); tr.failed != nil {
		t.Fatal(tr.failed)
	}
	w.killPostgres(t)
	select {
	case <-w.proc.done:
	case <-time.After(patience):
		t.Fatalf("the program goes on without its database\n%s", w.tail(t))
	}
	if code, said := w.proc.cmd.ProcessState.ExitCode(), w.tail(t); code != 1 || !strings.Contains(said, "ended by itself") {
		t.Errorf("the program ended with %d and said\n%s", code, said)
	}
	w.start(t)
	for _, s := range w.check(t) {
		t.Error(s)
	}
}

// moment is when something is killed: from before the first answer to well under way.
func moment(rng *rand.Rand) time.Duration {
	return 50*time.Millisecond + time.Duration(rng.IntN(600))*time.Millisecond
}

// underFire has everybody write while the fault happens, cycle by cycle, and then asks for everything back.
func (w *world) underFire(t *testing.T, cycles int, fault func(cycle int, rng *rand.Rand)) {
	t.Helper()
	t.Logf("seed %d: run it again with -args -seed %d", *seed, *seed)
	rng := rand.New(rand.NewPCG(*seed, 1<<32))
	for cycle := range cycles {
		w.setTasks(t, tasksACycle-w.leastPlanned())
		if *lossy {
			w.exec(t, `CHECKPOINT`) // the attempts are there for certain; what is written into them is not
		}
		var stop atomic.Bool
		var all sync.WaitGroup
		for _, tr := range w.work {
			all.Go(func() { tr.write(&stop) })
		}
		fault(cycle, rng)
		stop.Store(true)
		all.Wait() // each has its last answer, by sending it again to the program that was started anew
		for _, tr := range w.work {
			if tr.failed != nil && *lossy { // it wrote into an attempt that is no longer open: a loss by itself
				t.Logf("cycle %d: %v", cycle, tr.failed)
				w.verdict(t, cycle, true)
				return
			}
			if tr.failed != nil {
				t.Fatalf("cycle %d: %v\n%s", cycle, tr.failed, w.tail(t))
			}
		}
		if last := cycle == cycles-1; last || (cycle+1)%checkEvery == 0 {
			w.verdict(t, cycle, last)
		}
	}
	if !*lossy {
		w.checkKept(t)
	}
	again := 0
	for _, tr := range w.work {
		again += tr.again
	}
	if again == 0 {
		t.Error("no request had to be sent again: nothing was killed while it mattered")
	}
	t.Logf("%d cycles: %d entries, %d files and %d hand-overs acknowledged, %d requests sent again", cycles,
		w.ledger.count(entry), w.ledger.count(file), w.ledger.count(handedOver), again)
}

// leastPlanned is how many attempts the trainee has who has the fewest.
func (w *world) leastPlanned() int {
	least := tasksACycle
	for _, tr := range w.work {
		least = min(least, len(tr.planned))
	}
	return least
}

// verdict compares the ledger. With -lossy the loss is what is wanted.
func (w *world) verdict(t *testing.T, cycle int, last bool) {
	t.Helper()
	wrong := w.check(t)
	if *lossy {
		t.Logf("after cycle %d the ledger found %d wrong, as it should with a PostgreSQL that acknowledges too early", cycle, len(wrong))
		if len(wrong) == 0 && last {
			t.Error("nothing was found missing: the ledger does not see losses, or nothing was lost by luck")
		}
		return
	}
	for _, s := range wrong {
		t.Errorf("after cycle %d: %s", cycle, s)
	}
	if t.Failed() {
		t.FailNow()
	}
}

// acknowledgeEarly is the negative control: every session of the program is told of a commit before it is written down.
func (w *world) acknowledgeEarly(t *testing.T) {
	t.Helper()
	w.exec(t, `ALTER ROLE witnessmark_app SET synchronous_commit = off`, `ALTER SYSTEM SET wal_writer_delay = '10s'`, `SELECT pg_reload_conf()`)
	w.kill() // so that its sessions are new ones
	w.start(t)
}

// exec does statements past row-level security.
func (w *world) exec(t *testing.T, statements ...string) {
	t.Helper()
	super, err := pgx.Connect(t.Context(), w.super(t))
	must(t, err)
	for _, sql := range statements {
		_, err := super.Exec(t.Context(), sql)
		must(t, err)
	}
	must(t, super.Close(t.Context()))
}
