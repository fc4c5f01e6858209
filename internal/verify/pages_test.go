package verify_test

import (
	"strings"
	"testing"

	"witnessmark/internal/portfolio"
	"witnessmark/internal/verify"
	"witnessmark/internal/verify/verifytest"
)

// Other pages over the same record, signed by the centre's own certificate, are what a check of the file alone cannot find. So every
// report says what the pages rest on, and by anybody else's certificate they are caught.
func TestPagesRestOnTheCertificate(t *testing.T) {
	redrawn := verifytest.Spoil{Pages: func(d *portfolio.Document) { d.Trainee = "Somebody Else" }}
	forger := verifytest.Certificate(t, "Harbour Lane Training Centre")
	forged := redrawn
	forged.Identity = &forger
	for name, k := range map[string]struct {
		spoil verifytest.Spoil
		word  verify.Word
	}{
		"as they were":           {verifytest.Spoil{}, verify.GenuineCentreTime},
		"by the certificate":     {redrawn, verify.GenuineCentreTime},
		"by another certificate": {forged, verify.Altered},
	} {
		c := verifytest.New(t)
		p := check(c.Portfolio(k.spoil), trust(t, c.Key))
		if word, why := p.Verdict(); word != k.word {
			t.Errorf("%s: %q %q, want %q", name, word, why, k.word)
		}
		if p.Record.Trainee.Name != "Ines Okafor-Lindqvist" {
			t.Errorf("%s: the record is of %q", name, p.Record.Trainee.Name)
		}
		if want := "pages: not checked: Whether the pages say what record.json says"; !strings.Contains(lines(p), want) {
			t.Errorf("%s: nothing says %q:\n%s", name, want, lines(p))
		}
	}
}
