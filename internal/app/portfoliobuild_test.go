package app_test

import (
	"bytes"
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/app"
	"witnessmark/internal/heif/heiftest"
	"witnessmark/internal/pades/padestest"
	"witnessmark/internal/store"
)

// unnamed lists the portfolios in the evidence folder that no row names.
func (c *centre) unnamed(t *testing.T) (stray []string, kept int) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), c.super)
	must(t, err)
	defer conn.Close(t.Context())
	rows, err := conn.Query(t.Context(), `SELECT encode(digest, 'hex') FROM portfolio WHERE digest IS NOT NULL`)
	must(t, err)
	named, err := pgx.CollectRows(rows, pgx.RowTo[string])
	must(t, err)
	must(t, filepath.WalkDir(c.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() {
			return err
		}
		data, err := os.ReadFile(path)
		if bytes.HasPrefix(data, []byte("%PDF-")) {
			if kept++; !strings.Contains(strings.Join(named, " "), d.Name()) {
				stray = append(stray, d.Name())
			}
		}
		return err
	}))
	return stray, kept
}

// A portfolio that is stopped or erased while it is drawn, or whose row cannot be saved, leaves no bytes that nothing names.
func TestNoPortfolioWithoutARow(t *testing.T) {
	l := newLogged(t)
	l.set(t)
	ctx, authority := t.Context(), padestest.NewAuthority(t)
	during := func() {} // while the last of it is drawn
	l.App = l.WithStamps(func(_ context.Context, imprint [sha256.Size]byte) ([]byte, error) {
		during()
		return authority.Stamp(imprint)
	})
	ask := func() uuid.UUID {
		l.now = l.now.Add(time.Minute)
		id, err := l.RequestPortfolio(ctx, l.manager, l.trainee.Person, "H2")
		must(t, err)
		return id
	}
	left := func(what string, id uuid.UUID, state store.PortfolioState, want int) {
		t.Helper()
		p, err := l.db.Portfolio(ctx, l.id, id)
		must(t, err)
		stray, kept := l.unnamed(t)
		if p.State != state || len(stray) > 0 || kept != want || state != store.PortfolioBuilding && (p.Digest != "") != (state == store.PortfolioReady) {
			t.Errorf("%s: it is %s with digest %q; %d portfolios are kept, want %d; without a row %q", what, p.State, p.Digest, kept, want, stray)
		}
	}

	id := ask()
	during = func() { l.superuser(t, `UPDATE portfolio SET state = 'stopped'`) } // as StopPortfolios does
	must(t, l.BuildPortfolio(ctx, l.id, id))
	left("stopped", id, store.PortfolioStopped, 0)

	id = ask()
	during = func() { // as the database's erase does
		l.superuser(t, fmt.Sprintf(`UPDATE portfolio SET state = 'failed', note = 'erased', digest = NULL, size = 0 WHERE portfolio_id = '%s'`, id))
	}
	must(t, l.BuildPortfolio(ctx, l.id, id))
	left("erased", id, store.PortfolioFailed, 0)

	// The row names the bytes and cannot be said to be ready. Whatever comes next finds them: the job again, or a stop.
	during = func() {}
	for _, stopped := range []bool{false, true} {
		id = ask()
		l.superuser(t, `ALTER TABLE portfolio ADD CONSTRAINT never CHECK (state <> 'ready') NOT VALID`)
		if err := l.BuildPortfolio(ctx, l.id, id); err == nil {
			t.Fatal("built, though its row cannot be saved")
		}
		before := 1
		if stopped {
			before++ // the one that was built before
		}
		left("not saved", id, store.PortfolioBuilding, before)
		l.superuser(t, `ALTER TABLE portfolio DROP CONSTRAINT never`)
		if stopped {
			l.superuser(t, fmt.Sprintf(`UPDATE portfolio SET state = 'stopped' WHERE portfolio_id = '%s'`, id))
			must(t, l.BuildPortfolio(ctx, l.id, id))
			left("stopped after that", id, store.PortfolioStopped, 1)
			continue
		}
		must(t, l.BuildPortfolio(ctx, l.id, id)) // with a new signature: other bytes
		left("built again", id, store.PortfolioReady, 1)
	}
}

// Where the same bytes came in as evidence, taking them away there leaves the portfolio its own.
func TestAPortfolioKeepsItsBytes(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	data := c.built(t)
	e, err := c.AddFile(t.Context(), c.trainee, id, app.NewFile{ID: newID(t), Item: "before", Name: "portfolio.pdf"}, bytes.NewReader(data))
	must(t, err)
	must(t, c.WithdrawFile(t.Context(), c.tutor, e.ID, "The wrong file."))
	c.forgetting(t)
	if !c.holds(t, e.Digest) {
		t.Error("the portfolio's bytes went with the evidence")
	}
}

// One photo is drawn at a time, whoever asks, and one that could not be drawn is not tried again for each portfolio.
func TestPhotosAreDrawnInTurn(t *testing.T) {
	c := newCentre(t)
	notes := t.TempDir()
	c.drawsBy(t, time.Minute, fmt.Sprintf(`echo run >>%[1]s/runs; mkdir %[1]s/busy || echo twice >>%[1]s/runs; sleep 0.3; rmdir %[1]s/busy; exit 1`, notes))
	runs := func() string {
		b, err := os.ReadFile(filepath.Join(notes, "runs"))
		must(t, err)
		return strings.TrimSpace(strings.ReplaceAll(string(b), "\n", " "))
	}
	attempt := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, attempt, true, true))
	e := c.heic(t, attempt, heiftest.Upright)
	other := c.heic(t, attempt, heiftest.Turned)
	done := make(chan error)
	go func() { done <- c.MakePreview(t.Context(), c.id, other.ID) }()
	must(t, c.MakePreview(t.Context(), c.id, e.ID))
	must(t, <-done)
	if got := runs(); got != "run run" {
		t.Errorf("the decoder noted %q, want two runs apart", got)
	}
	c.built(t)
	if got := runs(); got != "run run" {
		t.Errorf("with a portfolio the decoder noted %q, want it not tried again", got)
	}
	c.now = c.now.Add(25 * time.Hour)
	c.built(t)
	if got := runs(); got != "run run run run" {
		t.Errorf("a day later the decoder noted %q, want both tried again", got)
	}
}
