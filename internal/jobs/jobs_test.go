package jobs_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/heif"
	"witnessmark/internal/heif/heiftest"
	"witnessmark/internal/store"
)

func TestWhatWasAskedForHappensByItself(t *testing.T) {
	c := newCentre(t)
	c.start(t)
	e := c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.handOver(t)
	c.until(t, "the attempt is checked", `SELECT state = 'checked' FROM attempt WHERE attempt_id = $1`, c.attempt)
	c.until(t, "both photos have a preview", `SELECT count(preview_digest) = 2 FROM evidence`)
	f, err := c.OpenFile(t.Context(), c.tutor, e.ID, true)
	must(t, err)
	defer f.Content.Close()
	if f.Type != "image/jpeg" || f.Size == 0 || f.PreviewDigest == "" {
		t.Errorf("the preview is %s of %d bytes under %q", f.Type, f.Size, f.PreviewDigest)
	}
	id := c.request(t)
	c.until(t, "the portfolio is ready", `SELECT state = 'ready' FROM portfolio WHERE portfolio_id = $1`, id)
	p, err := c.OpenPortfolio(t.Context(), c.manager, id)
	must(t, err)
	defer p.Content.Close()
	head := make([]byte, 5)
	if _, err := p.Content.Read(head); err != nil || string(head) != "%PDF-" {
		t.Errorf("the portfolio begins with %q, %v", head, err)
	}
}

// effects is all that the three kinds of job leave behind.
const effects = `SELECT concat_ws(E'\n',
	(SELECT string_agg(marking_id::text || ' ' || md5(result::text), ' ') FROM marking),
	(SELECT string_agg(concat_ws(' ', evidence_id, encode(preview_digest, 'hex'), phash, dhash), ' ' ORDER BY evidence_id) FROM evidence),
	(SELECT string_agg(concat_ws(' ', portfolio_id, state, encode(digest, 'hex'), size, note), ' ') FROM portfolio),
	(SELECT concat_ws(' ', state, revision) FROM attempt))`

func TestAJobDoneTwiceHasOneEffect(t *testing.T) {
	c := newCentre(t)
	c.photo(t, picture(t, 1))
	c.photo(t, picture(t, 2))
	c.handOver(t)
	c.work(t)
	c.twice(t, `
		WITH m AS (DELETE FROM marking), a AS (UPDATE attempt SET state = 'handed_over', revision = revision - 1)
		UPDATE evidence SET preview_digest = NULL, phash = NULL, dhash = NULL`)
	c.request(t) // only now: what it holds rests on the marking and the previews
	c.work(t)
	c.twice(t, `UPDATE portfolio SET state = 'waiting', digest = NULL, size = 0, built_at = NULL`)
	if pdfs := c.kept(t, "%PDF-"); len(pdfs) != 1 {
		t.Errorf("the folder keeps the portfolios %q, want one", pdfs)
	}
}

// twice runs the jobs that are done again: with all their effect there, and with it undone, as when the process is killed
// before it is kept.
func (c *centre) twice(t *testing.T, undo string) {
	t.Helper()
	want := one[string](t, c, effects)
	for _, before := range []string{`SELECT`, undo} {
		// Markings are append-only even for the tables' owner; the trigger that says so sleeps here.
		for _, sql := range []string{`SET session_replication_role = replica`, before, `RESET session_replication_role`} {
			_, err := c.super.Exec(t.Context(), sql)
			must(t, err)
		}
		if undone := one[string](t, c, effects) != want; undone != (before == undo) {
			t.Fatalf("undone %t by %s", undone, before)
		}
		c.again(t)
		c.work(t)
		if got := one[string](t, c, effects); got != want {
			t.Errorf("after %s and the second run\n%s\nwant\n%s", before, got, want)
		}
	}
}

// asked leaves out of the queue what comes by the clock.
const asked = `kind NOT IN ('sweep', 'sign_logs')`

func TestAJobWhoseThingIsGoneIsGivenUp(t *testing.T) {
	c := newCentre(t)
	nobody := uuid.New()
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		return errors.Join(tx.EnqueueMark(t.Context(), nobody), tx.EnqueuePreview(t.Context(), nobody), tx.EnqueuePortfolio(t.Context(), nobody))
	}))
	c.work(t)
	const want = "mark cancelled 1, portfolio cancelled 1, preview cancelled 1"
	if got := one[string](t, c, `SELECT string_agg(concat_ws(' ', kind, state, attempt), ', ' ORDER BY kind) FROM river.river_job WHERE `+asked); got != want {
		t.Errorf("the queue is left with %s, want %s", got, want)
	}
}

// settled works the one preview job, which is to end at its first attempt, and opens what is then shown of the photo.
func (c *centre) settled(t *testing.T, e store.Evidence) app.File {
	t.Helper()
	c.work(t)
	if got := one[string](t, c, `SELECT concat_ws(' ', kind, state, attempt) FROM river.river_job WHERE `+asked); got != "preview completed 1" {
		t.Errorf("the queue is left with %q, want the job completed at its first attempt", got)
	}
	f, err := c.OpenFile(t.Context(), c.trainee, e.ID, true)
	must(t, err)
	t.Cleanup(func() { f.Content.Close() })
	return f
}

// A picture whose markers are all there and whose compressed data stops in between passes the check at the door, which
// does not decode, and turns out damaged when its preview is drawn.
func TestADamagedPictureIsSettled(t *testing.T) {
	c := newCentre(t)
	whole := picture(t, 1)
	e := c.photo(t, append(whole[:len(whole)*3/4:len(whole)*3/4], 0xff, 0xd9))
	f := c.settled(t, e)
	if f.PreviewDigest != "" || f.Size != e.Size {
		t.Errorf("got the preview %q and %d bytes, want none and the original's %d", f.PreviewDigest, f.Size, e.Size)
	}
}

// A decoder that hangs on a HEIC is ended, and the job is done at its first attempt, without a preview.
func TestAHEICThatHangsItsDecoderIsSettled(t *testing.T) {
	c := newCentre(t)
	hangs := filepath.Join(t.TempDir(), "heif-double")
	must(t, os.WriteFile(hangs, []byte("#!/bin/sh\nsleep 3600\n"), 0o700))
	d, err := heif.New(hangs, 50*time.Millisecond)
	must(t, err)
	c.App = c.WithHEIC(d)
	e := c.photo(t, heiftest.Upright)
	f := c.settled(t, e)
	if f.PreviewDigest != "" || f.Type != "image/heic" || f.Size != e.Size {
		t.Errorf("got the preview %q and %d bytes of %s, want the original's %d", f.PreviewDigest, f.Size, f.Type, e.Size)
	}
}

// While pictures take every place in their queue an attempt is checked all the same.
func TestPicturesHoldNoMarkingUp(t *testing.T) {
	c := newCentre(t)
	dir := t.TempDir()
	hangs, ends := filepath.Join(dir, "heif-double"), filepath.Join(dir, "go")
	must(t, os.WriteFile(hangs, []byte("#!/bin/sh\nuntil test -e "+ends+"; do sleep 0.05; done\nexit 1\n"), 0o700))
	d, err := heif.New(hangs, patience)
	must(t, err)
	c.App = c.WithHEIC(d)
	for range 6 {
		c.photo(t, heiftest.Upright)
	}
	c.start(t)
	t.Cleanup(func() { must(t, os.WriteFile(ends, nil, 0o600)) }) // before the runner is stopped
	c.until(t, "four pictures are drawn or wait for it", `SELECT count(*) = 4 FROM river.river_job WHERE kind = 'preview' AND state = 'running'`)
	c.handOver(t)
	c.until(t, "the attempt is checked", `SELECT state = 'checked' FROM attempt WHERE attempt_id = $1`, c.attempt)
	c.until(t, "logs are signed", `SELECT count(*) > 0 FROM river.river_job WHERE kind = 'sign_logs' AND state = 'completed'`)
}

// TestAPortfolioIsNotBuiltOnSpoiltEvidence spoils a stored file, as a failing disk or a hand in the folder would.
func TestAPortfolioIsNotBuiltOnSpoiltEvidence(t *testing.T) {
	for _, spoil := range []struct {
		name  string
		do    func(path string) error
		words []string
	}{
		{"one bit changed", func(path string) error {
			data, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			data[len(data)/2] ^= 1
			return errors.Join(os.Remove(path), os.WriteFile(path, data, 0o440))
		}, []string{"no longer has the bytes", "backup", "ask again"}},
		{"cut short", func(path string) error { return errors.Join(os.Chmod(path, 0o640), os.Truncate(path, 10)) }, []string{"no longer has the bytes", "backup"}},
		{"gone", os.Remove, []string{"missing", "backup", "ask again"}},
	} {
		t.Run(spoil.name, func(t *testing.T) {
			c := newCentre(t)
			e := c.photo(t, picture(t, 1))
			c.photo(t, picture(t, 2))
			c.handOver(t)
			c.work(t)
			whole, err := os.ReadFile(c.file(e.Digest))
			must(t, err)
			must(t, spoil.do(c.file(e.Digest)))
			id := c.request(t)
			c.work(t)
			p, err := c.db.Portfolio(t.Context(), c.id, id)
			must(t, err)
			if p.State != store.PortfolioFailed || p.Digest != "" || p.Size != 0 {
				t.Errorf("the portfolio is %s with digest %q and %d bytes, want it failed with none", p.State, p.Digest, p.Size)
			}
			for _, words := range append(spoil.words, e.Digest) {
				if !strings.Contains(p.Note, words) {
					t.Errorf("the note is %q, want it to say %q", p.Note, words)
				}
			}
			if _, err := c.OpenPortfolio(t.Context(), c.manager, id); fault.KindOf(err) != fault.KindConflict {
				t.Errorf("opening it: %v, want Conflict", err)
			}
			if pdfs := c.kept(t, "%PDF-"); len(pdfs) != 0 {
				t.Errorf("the folder keeps %q, want no portfolio", pdfs)
			}
			// Doing what the note says mends it.
			must(t, errors.Join(os.RemoveAll(c.file(e.Digest)), os.WriteFile(c.file(e.Digest), whole, 0o440)))
			id = c.request(t)
			c.work(t)
			if p, err = c.db.Portfolio(t.Context(), c.id, id); err != nil || p.State != store.PortfolioReady {
				t.Errorf("with the file restored the portfolio is %s (%v), want it ready", p.State, err)
			}
		})
	}
}

func TestAJobOfATransactionRolledBackNeverRuns(t *testing.T) {
	c := newCentre(t)
	broken := errors.New("something else in the transaction failed")
	err := c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		return errors.Join(tx.EnqueueMark(t.Context(), c.attempt), broken)
	})
	if !errors.Is(err, broken) {
		t.Fatalf("the transaction ended with %v", err)
	}
	c.photo(t, picture(t, 1)) // its preview shows that the queue was worked
	c.work(t)
	if got := one[string](t, c, `SELECT string_agg(kind, ' ' ORDER BY id) FROM river.river_job WHERE `+asked); got != "preview compare" {
		t.Errorf("the queue has had %q, want the preview alone, and what follows it", got)
	}
	if got := c.state(t); got != decision.Open {
		t.Errorf("the attempt is %s, want it still open", got)
	}
}

// TestAFailingJobIsTriedAgain has a job fail for a reason that passes: a disk that cannot be read just now.
func TestAFailingJobIsTriedAgain(t *testing.T) {
	c := newCentre(t)
	e := c.photo(t, picture(t, 1))
	aside := c.file(e.Digest) + ".aside"
	must(t, os.Rename(c.file(e.Digest), aside))
	must(t, os.Mkdir(c.file(e.Digest), 0o750)) // opens, and cannot be read
	stop := c.start(t)
	c.until(t, "the job has failed once", `SELECT count(*) = 1 FROM river.river_job WHERE state IN ('retryable', 'available') AND attempt = 1 AND errors IS NOT NULL`)
	stop()
	must(t, errors.Join(os.Remove(c.file(e.Digest)), os.Rename(aside, c.file(e.Digest))))
	c.passes(t, time.Hour)
	c.work(t)
	if got := one[int](t, c, `SELECT count(preview_digest) FROM evidence`); got != 1 {
		t.Errorf("%d previews were made, want 1: %s", got, one[string](t, c, queue))
	}
}
