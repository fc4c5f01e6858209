package app_test

import (
	"bytes"
	"io"
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/tlog"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
	"witnessmark/internal/verify"
)

// signedOff is a centre with one attempt that is signed off.
func (l logged) signedOff(t *testing.T) {
	t.Helper()
	id := l.set(t)
	l.do(t, id)
	s := l.mark(t, id)
	for _, cr := range s.Criteria {
		s = l.decide1(t, id, cr.Ref)
	}
	must(t, l.SignOff(t.Context(), l.tutor, id, s.Revision, password, "Clean work."))
}

func (l logged) decide1(t *testing.T, id [16]byte, ref string) app.Sheet {
	t.Helper()
	return l.centre.decide(t, id, ref, decision.Met)
}

// built asks for the trainee's portfolio, builds it and gives its id and bytes.
func (l logged) built(t *testing.T) (uuid.UUID, []byte) {
	t.Helper()
	id, err := l.RequestPortfolio(t.Context(), l.manager, l.trainee.Person, "H2")
	must(t, err)
	must(t, l.BuildPortfolio(t.Context(), l.id, id))
	p, err := l.OpenPortfolio(t.Context(), l.manager, id)
	must(t, err)
	defer p.Content.Close()
	data, err := io.ReadAll(p.Content)
	must(t, err)
	return id, data
}

// verified checks a file by the key that the centre gives out.
func (l logged) verified(t *testing.T, data []byte) *verify.Portfolio {
	t.Helper()
	keys, err := l.LogKeys(t.Context(), l.id)
	must(t, err)
	v, err := ledger.ParseKey(keys[0].Text)
	must(t, err)
	p := verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: verify.Trust{Keys: append(verify.Trust{}.Keys, v)}})
	if word, why := p.Verdict(); word != verify.GenuineCentreTime {
		t.Errorf("%s: %s\n%s", word, why, p.Report("portfolio.pdf"))
	}
	return p
}

func TestPortfolioProvesItself(t *testing.T) {
	l := newLogged(t)
	l.signedOff(t)
	_, data := l.built(t)
	p := l.verified(t, data)
	report := p.Report("portfolio.pdf")
	for _, what := range []string{"log", "entries", "record", "signature", "decisions", "pictures"} {
		found := false
		for _, line := range p.Lines {
			found = found || line.What == what && line.State == verify.Holds
		}
		if !found {
			t.Errorf("%s does not hold:\n%s", what, report)
		}
	}
	if n := len(p.Record.Tasks[0].Attempts[0].Records); n < 3 {
		t.Errorf("the record has %d decisions", n)
	}
	l.whole(t)
}

// A second portfolio's log goes on from that of the first, also after the key was changed, and whoever knows the first key alone
// can tell.
func TestPortfoliosGoOn(t *testing.T) {
	l := newLogged(t)
	l.signedOff(t)
	_, first := l.built(t)
	l.now = l.now.AddDate(0, 1, 0)
	_, err := l.RotateLogKey(t.Context(), l.id, false)
	must(t, err)
	l.now = l.now.AddDate(1, 0, 0) // past the overlap
	_, second := l.built(t)
	all := []*verify.Portfolio{l.verified(t, second), l.verified(t, first)}
	lines := verify.Together(all)
	if len(lines) != 1 || lines[0].State != verify.Holds {
		t.Errorf("%+v", lines)
	}

	// Whoever knows the newest key alone cannot tell whose the one before was, and is told what to ask for.
	keys, err := l.LogKeys(t.Context(), l.id)
	must(t, err)
	found, err := l.VerifyPortfolio(t.Context(), bytes.NewReader(first), app.Known{Keys: keys[1].Text})
	must(t, err)
	if want := "The file names " + keys[0].Text + ": ask the centre"; found.Word != verify.CannotTell || !strings.Contains(found.Why, "a key that you did not give") || !strings.Contains(found.Why, want) {
		t.Errorf("by the newest key alone: %s: %s", found.Word, found.Why)
	}
	if found, err = l.VerifyPortfolio(t.Context(), bytes.NewReader(first), app.Known{Keys: keys[1].Text + " " + keys[0].Text}); err != nil || found.Word != verify.GenuineCentreTime {
		t.Errorf("by both: %s: %s (%v)", found.Word, found.Why, err)
	}
}

// A job that is run again after it died takes the entry that is there, and one about a record that has changed since makes its own.
func TestPortfolioIsLoggedOnce(t *testing.T) {
	l := newLogged(t)
	l.signedOff(t)
	id, err := l.RequestPortfolio(t.Context(), l.manager, l.trainee.Person, "H2")
	must(t, err)
	entries := func() int {
		es, err := l.db.LogEntriesOf(t.Context(), l.id, id)
		must(t, err)
		return len(es)
	}
	again := func() { // as if it had died before it said that it was done
		must(t, l.BuildPortfolio(t.Context(), l.id, id))
		l.superuser(t, `UPDATE portfolio SET state = 'waiting', digest = NULL, built_at = NULL, size = 0`)
	}
	again()
	again()
	if n := entries(); n != 1 {
		t.Errorf("built twice it has %d entries, want 1", n)
	}
	l.superuser(t, `UPDATE person SET name = 'Another Name' WHERE person_id = '`+l.trainee.Person.String()+`'`)
	again()
	if n := entries(); n != 2 {
		t.Errorf("with another record it has %d entries, want 2", n)
	}
	l.whole(t)
}

// While an attempt is judged its portfolio holds nothing that the trainee may not see, within or on the pages, and proves itself.
func TestPortfolioOfWhatIsBeingJudged(t *testing.T) {
	l := newLogged(t)
	id := l.set(t)
	l.do(t, id)
	s := l.mark(t, id)
	l.decide1(t, id, s.Criteria[0].Ref)
	_, data := l.built(t)
	p := l.verified(t, data)
	for _, e := range p.Log.Entries {
		if said, ok := e.Opened(ledger.SecretRecord); ok && strings.Contains(string(said), string(decision.KindCriterion)) {
			t.Errorf("the proofs tell of a decision: %s", said)
		}
	}
	for _, raw := range p.Record.Tasks[0].Attempts[0].Records {
		if strings.Contains(string(raw), string(decision.KindCriterion)) {
			t.Errorf("the record tells of a decision: %s", raw)
		}
	}
	if p.Record.Tasks[0].Attempts[0].Marking != nil {
		t.Error("the record has the marker's result")
	}
}

// A log that is older than what was signed is not built on, and the page says so.
func TestPortfolioOfAnOlderLog(t *testing.T) {
	l := newLogged(t)
	l.signedOff(t)
	l.built(t)
	signed, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	older := strconv.FormatInt(signed.Size-1, 10) // entries: the portfolio's own is gone, as in a backup from before it
	l.superuser(t, `DELETE FROM log_checkpoint WHERE size > `+older, `DELETE FROM log_secret WHERE idx >= `+older, `DELETE FROM log_entry WHERE idx >= `+older,
		`DELETE FROM log_hash WHERE i >= `+strconv.FormatInt(tlog.StoredHashCount(signed.Size-1), 10), `DELETE FROM portfolio`)
	id, err := l.RequestPortfolio(t.Context(), l.manager, l.trainee.Person, "H2")
	must(t, err)
	must(t, l.BuildPortfolio(t.Context(), l.id, id))
	ps, err := l.Portfolios(t.Context(), l.manager)
	must(t, err)
	if len(ps) != 1 || ps[0].State != store.PortfolioFailed || !strings.Contains(ps[0].Note, "decision log is not the one that was signed last") {
		t.Errorf("got %+v", ps)
	}
}
