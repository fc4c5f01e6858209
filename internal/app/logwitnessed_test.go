package app_test

import (
	"bytes"
	"crypto/rand"
	"slices"
	"strings"
	"testing"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/verify"
)

// witness signs the log as it is now, as somebody outside does with what the centre gives them, and the centre keeps that.
func (l logged) witness(t *testing.T, w *ledger.WitnessSigner, seen ledger.Checkpoint, at time.Time) ledger.Checkpoint {
	t.Helper()
	request, err := l.WitnessRequest(t.Context(), l.id, seen.Size)
	must(t, err)
	keys, err := l.LogKeys(t.Context(), l.id)
	must(t, err)
	v, err := ledger.ParseKey(keys[0].Text)
	must(t, err)
	now, err := request.Check(seen, v)
	must(t, err)
	must(t, l.AddCosignature(t.Context(), l.id, request.Checkpoint+w.Cosign(now, at), w.Text()))
	return now
}

// A portfolio is made under a state that was signed a moment before, so whoever witnesses the log signs a later one. With what the
// centre gives out of that, the portfolio's file is proved to have been there.
func TestPortfolioIsWitnessedAfterwards(t *testing.T) {
	l := newLogged(t)
	ctx := t.Context()
	vera, err := ledger.NewWitness("body/vera", rand.Reader)
	must(t, err)
	other, err := ledger.NewWitness("body/omar", rand.Reader)
	must(t, err)
	l.signedOff(t)
	seen := l.witness(t, vera, ledger.Checkpoint{}, l.now) // before, which says nothing of what comes
	_, data := l.built(t)
	trust := verify.Trust{Witnesses: []*ledger.Witness{vera.Witness}}
	keys, err := l.LogKeys(ctx, l.id)
	must(t, err)
	v, err := ledger.ParseKey(keys[0].Text)
	must(t, err)
	trust.Keys = append(trust.Keys, v)
	check := func(tr verify.Trust) (*verify.Portfolio, verify.Word) {
		p := verify.File(bytes.NewReader(data), int64(len(data)), verify.Options{Trust: tr})
		word, _ := p.Verdict()
		return p, word
	}
	p, word := check(trust)
	if word != verify.GenuineCentreTime {
		t.Fatalf("by itself: %s\n%s", word, p.Report("portfolio.pdf"))
	}
	_, err = l.WitnessedLog(ctx, l.manager, p.State.Size, "")
	wantKind(t, "before anybody signed", err, fault.KindNotFound)
	_, err = l.WitnessedLog(ctx, l.manager, 0, "")
	wantKind(t, "from no size", err, fault.KindInvalid)
	for who, c := range map[string]account.Caller{"a trainee": l.trainee, "a tutor": l.tutor} {
		_, err := l.WitnessedLog(ctx, c, p.State.Size, "")
		wantKind(t, who, err, fault.KindForbidden)
	}

	l.decide(t, 3)
	at := l.now.AddDate(0, 0, 2).UTC().Truncate(time.Second)
	l.witness(t, vera, seen, at)
	l.decide(t, 2)
	l.witness(t, other, ledger.Checkpoint{}, l.now)
	later, err := l.WitnessedLog(ctx, l.manager, p.State.Size, "")
	must(t, err)
	back, err := ledger.ParseRequest(later.Text())
	must(t, err)
	with := func(rs ...ledger.Request) verify.Trust {
		tr := trust
		tr.Later = rs
		return tr
	}
	p, word = check(with(back))
	if report := p.Report("portfolio.pdf"); word != verify.Genuine || !strings.Contains(strings.Join(strings.Fields(report), " "), "body/vera signed on "+at.Format("2 January 2006 15:04:05")) {
		t.Errorf("with what vera signed: %s\n%s", word, report)
	}
	// So does whoever has it checked by the page, whose form ends lines in its own way.
	found, err := l.VerifyPortfolio(ctx, bytes.NewReader(data), app.Known{Witnesses: vera.Text(), Later: strings.ReplaceAll(later.Text(), "\n", "\r\n")})
	must(t, err)
	if found.Word != verify.Genuine {
		t.Errorf("by the page: %s %s\n%+v", found.Word, found.Why, found.Lines)
	}
	if named, err := l.WitnessedLog(ctx, l.manager, p.State.Size, "body/omar"); err != nil || named.Checkpoint == later.Checkpoint || !strings.Contains(named.Checkpoint, "— body/omar ") {
		t.Errorf("of omar alone: %v\n%s", err, named.Checkpoint)
	}

	elsewhere, err := l.WitnessedLog(ctx, l.manager, p.State.Size+1, "")
	must(t, err)
	altered := back
	altered.Proof = slices.Clone(back.Proof)
	altered.Proof[0][0] ^= 1
	unsigned := back
	unsigned.Checkpoint = strings.Replace(back.Checkpoint, "\n", "\n9", 1)
	nobody := with(back)
	nobody.Witnesses = []*ledger.Witness{other.Witness}
	for name, c := range map[string]struct {
		trust verify.Trust
		word  verify.Word
		say   string
	}{
		"one of another portfolio":       {with(elsewhere), verify.GenuineCentreTime, "goes on from"},
		"that and the right one":         {with(elsewhere, back), verify.Genuine, "body/vera signed on"},
		"of a witness whom nobody named": {nobody, verify.GenuineCentreTime, "nobody whom you named as a witness signed it"},
		"a proof that does not hold":     {with(altered), verify.Altered, "does not go on from that of the file"},
		"one that the log did not sign":  {with(unsigned), verify.CannotTell, "is not signed by a key of"},
	} {
		p, word := check(c.trust)
		if text := strings.Join(strings.Fields(p.Report("portfolio.pdf")), " "); word != c.word || !strings.Contains(text, c.say) {
			t.Errorf("%s: %s, want %s and %q\n%s", name, word, c.word, c.say, p.Report("portfolio.pdf"))
		}
	}
}
