package app_test

import (
	"bytes"
	"strings"
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/blob"
	"witnessmark/internal/store"
	"witnessmark/internal/verify"
)

// A portfolio that is made once an attempt was erased tells that there was one, and its log still proves the rest: what opens the
// entries of the erased one is gone, which is not to say that anything was put in.
func TestPortfolioWithAnErasedAttempt(t *testing.T) {
	l := newLogged(t)
	l.sentBack(t, "H2/1.2")
	l.withdraw(t, l.newest(t).ID)
	assurer := l.person(t, "anna", account.QualityAssurer)
	l.now = l.now.AddDate(0, 37, 0)
	l.purged(t, assurer)
	_, data := l.built(t)
	p := l.verified(t, data)
	report := strings.Join(strings.Fields(p.Report("portfolio.pdf")), " ")
	if !strings.Contains(report, "of an attempt that was erased, so nobody can read any more what") {
		t.Errorf("nothing says that they were erased:\n%s", p.Report("portfolio.pdf"))
	}
	for _, line := range p.Lines {
		if line.State == verify.Broken {
			t.Errorf("%s: %s", line.What, line.Words)
		}
	}
	if n := len(p.Record.Tasks[0].Attempts[0].Records); n < 3 || p.Record.Tasks[0].Attempts[0].State != "destroyed" {
		t.Errorf("the record has %d decisions of an attempt that is %s", n, p.Record.Tasks[0].Attempts[0].State)
	}
}

// An attempt that is erased takes the portfolios that hold it, with their bytes, and leaves the trainee's others.
func TestErasingAnAttemptLeavesOtherPortfolios(t *testing.T) {
	l := newLogged(t)
	ctx := t.Context()
	l.sentBack(t, "H2/1.2")
	l.withdraw(t, l.newest(t).ID)
	holds, _ := l.built(t)
	other := newID(t)
	blobs, err := blob.OpenFolder(l.dir)
	must(t, err)
	digest, size, err := blobs.Put(ctx, bytes.NewReader([]byte("%PDF of another unit")), 1000)
	must(t, err)
	must(t, l.db.Write(ctx, l.id, func(tx *store.Tx) error {
		must(t, tx.SaveUnit(ctx, store.Unit{Code: "H9", Title: "Cooling", Edition: "1"}))
		must(t, tx.AddPortfolio(ctx, store.Portfolio{ID: other, Trainee: l.trainee.Person, Unit: "H9", RequestedBy: l.manager.Person, RequestedAt: l.now}))
		return tx.SavePortfolio(ctx, store.Portfolio{ID: other, State: store.PortfolioReady, Digest: digest.String(), Size: size, BuiltAt: l.now})
	}))
	was, err := l.db.Portfolio(ctx, l.id, holds)
	must(t, err)
	assurer := l.person(t, "anna", account.QualityAssurer)
	l.now = l.now.AddDate(0, 37, 0)
	l.purged(t, assurer)
	if p, err := l.db.Portfolio(ctx, l.id, holds); err != nil || p.State != store.PortfolioFailed || p.Digest != "" || p.Note != "erased" {
		t.Errorf("the portfolio that held it: %+v, %v; want it erased", p, err)
	}
	if p, err := l.db.Portfolio(ctx, l.id, other); err != nil || p.State != store.PortfolioReady || p.Digest != digest.String() {
		t.Errorf("the one of another unit: %+v, %v; want it kept", p, err)
	}
	if l.forgetting(t); l.holds(t, was.Digest) || !l.holds(t, digest.String()) {
		t.Errorf("the bytes of the one that held it are there: %v, of the other: %v", l.holds(t, was.Digest), l.holds(t, digest.String()))
	}
}
