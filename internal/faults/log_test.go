//go:build linux

package faults_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/google/uuid"

	declog "witnessmark/internal/ledger"
	"witnessmark/internal/localpg"
	"witnessmark/internal/store"
)

// appendEnv in the environment makes this test program one that appends to a decision log until it is killed: the value is the
// database's address.
const appendEnv = "WITNESSMARK_FAULTS_APPEND"

// appenders is how many connections append at once, and logCentre the number of the centre whose log it is.
const (
	appenders = 16
	logCentre = 1
)

// appendForEver appends entries and prints each once its commit is confirmed. It returns where a write failed.
func appendForEver(url string) error {
	ctx, stop := context.WithCancelCause(context.Background())
	defer stop(nil)
	db, err := store.Open(ctx, url)
	if err != nil {
		return err
	}
	var all sync.WaitGroup
	for range appenders {
		all.Go(func() {
			for ctx.Err() == nil {
				id := uuid.New()
				err := db.Write(ctx, logCentre, func(tx *store.Tx) error {
					tx.Log(ctx, declog.Leaf{Kind: "test", Subject: id, At: time.Now(), Secrets: map[string]string{"id": id.String()}})
					return nil
				})
				if err != nil {
					stop(err)
					return
				}
				if _, err := os.Stdout.WriteString(id.String() + "\n"); err != nil {
					stop(err)
				}
			}
		})
	}
	all.Wait()
	return context.Cause(ctx)
}

// TestTheLogNeverForksOrSkips kills the program, or PostgreSQL, while sixteen connections append to one log. Afterwards every
// entry that was acknowledged is there once, no number is missing, and every proof of the tree is good.
func TestTheLogNeverForksOrSkips(t *testing.T) {
	t.Parallel()
	i := prepare(t)
	must(t, i.startPostgres(t.Context()))
	must(t, store.Migrate(t.Context(), i.pg.URL(localpg.Superuser, "postgres")))
	db, err := store.Open(t.Context(), i.pg.URL(store.Role, "postgres"))
	must(t, err)
	_, err = db.CreateCentre(t.Context(), "NORTH", "North Yard Training", time.Now())
	must(t, err)
	db.Close()
	t.Logf("seed %d: run it again with -args -seed %d", *seed, *seed)
	rng := rand.New(rand.NewPCG(*seed, 2<<32))
	acknowledged := map[uuid.UUID]bool{}
	var signed []declog.Checkpoint
	for cycle := range times(4) {
		a := startAppender(t, i.pg.URL(store.Role, "postgres"))
		time.Sleep(200*time.Millisecond + time.Duration(rng.IntN(800))*time.Millisecond)
		if cycle%2 == 1 {
			i.killPostgres(t)
		}
		for id := range a.kill(t) {
			acknowledged[id] = true
		}
		if cycle%2 == 1 {
			must(t, i.startPostgres(t.Context()))
		}
		signed = append(signed, i.checkLog(t, acknowledged, signed))
	}
	last := signed[len(signed)-1]
	if len(acknowledged) == 0 || last.Size < int64(len(acknowledged)) {
		t.Errorf("%d entries acknowledged, %d there", len(acknowledged), last.Size)
	}
	t.Logf("%d cycles: %d entries acknowledged, %d there", len(signed), len(acknowledged), last.Size)
}

// appender is a running process that appends.
type appender struct {
	cmd *exec.Cmd
	out *bufio.Scanner
}

func startAppender(t *testing.T, url string) *appender {
	t.Helper()
	self, err := os.Executable()
	must(t, err)
	a := &appender{cmd: exec.Command(self)}
	a.cmd.Env = append(os.Environ(), appendEnv+"="+url)
	a.cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	out, err := a.cmd.StdoutPipe()
	must(t, err)
	a.out = bufio.NewScanner(out)
	must(t, a.cmd.Start())
	t.Cleanup(func() { _ = a.cmd.Process.Kill() })
	if !a.out.Scan() { // it is under way
		t.Fatal("it appends nothing")
	}
	return a
}

// kill ends the process and gives what it had acknowledged.
func (a *appender) kill(t *testing.T) map[uuid.UUID]bool {
	t.Helper()
	_ = a.cmd.Process.Kill() // it may have ended with its database
	ids := map[uuid.UUID]bool{}
	for more := true; more; more = a.out.Scan() {
		id, err := uuid.Parse(a.out.Text())
		if err != nil {
			break // cut off in the middle of a line
		}
		ids[id] = true
	}
	_ = a.cmd.Wait() // it was killed, and says so
	return ids
}

// checkLog rebuilds the tree from its leaves, proves every entry, and proves that it goes on from each state before.
func (i *installation) checkLog(t *testing.T, acknowledged map[uuid.UUID]bool, before []declog.Checkpoint) declog.Checkpoint {
	t.Helper()
	db, err := store.Open(t.Context(), i.pg.URL(store.Role, "postgres"))
	must(t, err)
	defer db.Close()
	entries, err := db.LogEntries(t.Context(), logCentre, 0, 1<<30)
	must(t, err)
	leaves, seen := make([][]byte, len(entries)), map[uuid.UUID]int{}
	for n, e := range entries {
		if e.Index != int64(n) {
			t.Fatalf("entry %d stands in place %d", e.Index, n)
		}
		if s, err := declog.ReadLeaf(e.Leaf); err != nil || len(e.Openings) != 1 || !s.OpenedBy(e.Openings[0]) {
			t.Fatalf("entry %d does not open: %v", n, err)
		}
		leaves[n] = e.Leaf
		seen[e.Subject]++
	}
	for id := range acknowledged {
		if seen[id] != 1 {
			t.Errorf("%s was acknowledged and is there %d times", id, seen[id])
		}
	}
	var tree declog.Builder
	_, err = tree.Add(leaves)
	must(t, err)
	root, err := tree.Root()
	must(t, err)
	now := declog.Checkpoint{Origin: "north/log", Size: int64(len(entries)), Root: root}
	stored, err := db.LogHashRows(t.Context(), logCentre, 0, 1<<30)
	must(t, err)
	hashes := declog.Hashes{}
	for _, h := range stored {
		hashes[h.Index] = h.Hash
	}
	for n, leaf := range leaves {
		path, err := declog.Prove(now.Size, int64(n), hashes)
		must(t, err)
		must(t, declog.CheckEntry(path, now, int64(n), leaf))
	}
	for _, old := range before {
		if _, err := declog.Continues(old, now.Size, now.Root, hashes); err != nil {
			t.Error(err)
		}
	}
	return now
}

// onlyAppends does so where the environment asks for it, and says whether it did.
func onlyAppends() bool {
	url := os.Getenv(appendEnv)
	if url == "" {
		return false
	}
	fmt.Fprintln(os.Stderr, appendForEver(url))
	return true
}
