package jobs_test

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"log/slog"
	"os"
	"path/filepath"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/jobs"
)

// A week after they were announced, uploads that were never finished are gone with their bytes, of whichever centre; what was
// received stays.
func TestUnfinishedUploadsAreSweptAfterAWeek(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	begin := func(data []byte, sent int) app.Upload {
		t.Helper()
		f := app.NewFile{ID: newID(t), Item: "before", Digest: fmt.Sprintf("%x", sha256.Sum256(data))}
		u, err := c.BeginUpload(ctx, c.trainee, c.attempt, f, int64(len(data)))
		must(t, err)
		_, err = c.AppendUpload(ctx, c.trainee, u.ID, 0, bytes.NewReader(data[:sent]))
		must(t, err)
		return u
	}
	whole, half := picture(t, 1), picture(t, 2)
	received, cut := begin(whole, len(whole)), begin(half, len(half)/2)
	_, err := c.FinishUpload(ctx, c.trainee, received.ID)
	must(t, err)
	sweep := func(after time.Duration) {
		t.Helper()
		must(t, c.super.QueryRow(ctx, `WITH gone AS (DELETE FROM river.river_job RETURNING 1) SELECT count(*) FROM gone`).Scan(new(int)))
		runner, err := jobs.New(c.db, c.OnClock(func() time.Time { return time.Now().Add(after) }), slog.New(slog.DiscardHandler))
		must(t, err)
		must(t, runner.Start(ctx))
		c.until(t, "the sweep is done", `SELECT count(*) = 1 FROM river.river_job WHERE kind = 'sweep' AND state = 'completed'`)
		must(t, runner.Stop(ctx))
	}
	sweep(6 * 24 * time.Hour)
	if u, err := c.Upload(ctx, c.trainee, cut.ID); err != nil || u.Offset != int64(len(half)/2) {
		t.Errorf("after six days %d bytes of the unfinished upload are here (%v), want them all", u.Offset, err)
	}
	sweep(8 * 24 * time.Hour)
	if _, err := c.Upload(ctx, c.trainee, cut.ID); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("after eight days the unfinished upload is answered with %v, want NotFound", err)
	}
	left, err := os.ReadDir(filepath.Join(c.dir, "parts"))
	must(t, err)
	if len(left) != 0 {
		t.Errorf("%d parts are left, want none", len(left))
	}
	f, err := c.OpenFile(ctx, c.trainee, received.Evidence, false)
	must(t, err)
	must(t, f.Content.Close())
	if n := one[int](t, c, `SELECT count(*) FROM upload`); n != 0 {
		t.Errorf("%d uploads are left, want none", n)
	}
}
