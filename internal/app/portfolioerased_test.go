package app_test

import (
	"strings"
	"testing"

	"witnessmark/internal/account"
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
