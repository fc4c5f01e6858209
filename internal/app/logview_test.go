package app_test

import (
	"crypto/rand"
	"encoding/base64"
	"os"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// What the page of the log gives out is enough for a stranger, who has the key alone, to check an entry and build the tree again.
func TestLogSeenFromOutside(t *testing.T) {
	l := newLogged(t)
	ctx := t.Context()
	l.decide(t, 3)
	signed, err := l.SignLog(ctx, l.id)
	must(t, err)
	l.decide(t, 1) // not signed yet
	for who, c := range map[string]account.Caller{"a trainee": l.trainee, "a tutor": l.tutor} {
		_, err := l.Log(ctx, c, 0)
		wantKind(t, who, err, fault.KindForbidden)
	}
	got, err := l.Log(ctx, l.manager, 0)
	must(t, err)
	if got.Size != 5 || got.Signed.Size != 4 || len(got.Keys) != 1 || !strings.HasPrefix(got.Keys[0].Text, got.Origin+"+") || got.Refused != "" || len(got.Rows) != 5 {
		t.Fatalf("got %+v", got)
	}
	if r := got.Rows[0]; r.Index != 4 || r.ByName != l.tutor.Name || r.Role != "tutor" || app.LogEntryWords(r.Kind) != "hold point released" {
		t.Errorf("the newest entry is %+v", r)
	}
	if older, err := l.Log(ctx, l.manager, 2); err != nil || len(older.Rows) != 2 || older.Rows[0].Index != 1 {
		t.Errorf("below 2: %+v (%v)", older.Rows, err)
	}

	v, err := note.NewVerifier(got.Keys[0].Text)
	must(t, err)
	e, err := l.LogEntry(ctx, l.manager, 1)
	must(t, err)
	p, err := ledger.ParseProof(e.Proof.Text())
	must(t, err)
	if _, err := p.Check(e.Leaf, []note.Verifier{v}); err != nil || e.Broken || e.Signed.Size != 4 {
		t.Errorf("entry 1: %v, %+v", err, e)
	}
	if len(e.Secrets) == 0 || !e.Secrets[0].Kept {
		t.Errorf("entry 1 stands for %+v", e.Secrets)
	}
	if e, err = l.LogEntry(ctx, l.manager, 4); err != nil || e.Signed.Size != 0 || e.Proof.Checkpoint != "" {
		t.Errorf("an entry that is not signed: %v, %+v", err, e)
	}
	_, err = l.LogEntry(ctx, l.manager, 5)
	wantKind(t, "an entry that is not there", err, fault.KindNotFound)

	var tree ledger.Builder
	for from := int64(0); from < signed.Size; from += 2 {
		size, leaves, err := l.LogLeaves(ctx, l.manager, from, 2)
		must(t, err)
		for _, x := range leaves {
			if _, err := tree.Add([][]byte{x.Leaf}); err != nil || x.Hash != ledger.LeafHash(x.Leaf) || size != 5 {
				t.Errorf("leaf %d of %d: %v", x.Index, size, err)
			}
		}
	}
	if root, err := tree.Root(); err != nil || root != ledger.Hash(signed.Root) {
		t.Errorf("the tree of what was given out is not the one that was signed (%v)", err)
	}
	if text := strings.Join([]string{string(e.Leaf), signed.Note}, " "); strings.Contains(text, l.tutor.Name) || strings.Contains(text, "seen") {
		t.Errorf("a name or words stand in the log: %s", text)
	}
}

// A verifier on their visit sees the log without names, and that they looked is kept.
func TestLogOnAVisit(t *testing.T) {
	l := newLogged(t)
	l.sentBack(t, "H2/1.2")
	must(t, l.SignLogs(t.Context()))
	id, token := l.arranged(t)
	vera := l.visiting(t, token)
	got, err := l.Log(t.Context(), vera, 0)
	must(t, err)
	e, err := l.LogEntry(t.Context(), vera, got.Size-1)
	must(t, err)
	named := e.ByName != ""
	for _, r := range got.Rows {
		named = named || r.ByName != ""
	}
	if len(got.Rows) == 0 || named {
		t.Errorf("%d entries, with names: %t", len(got.Rows), named)
	}
	r, err := l.VisitReport(t.Context(), l.manager, id)
	must(t, err)
	if len(r.Looked) != 3 || r.Looked[0].What != store.LookedLog || r.Looked[1].What != store.LookedLog {
		t.Errorf("looked at %+v", r.Looked)
	}
	must(t, l.EndVisit(t.Context(), l.manager, id))
	_, err = l.Log(t.Context(), vera, 0)
	wantKind(t, "after the visit", err, fault.KindForbidden)
}

func TestCompareLog(t *testing.T) {
	l := newLogged(t)
	ctx := t.Context()
	_, err := l.CompareLog(ctx, l.manager, "x")
	wantKind(t, "before anything is signed", err, fault.KindNotFound)
	l.decide(t, 3)
	kept, err := l.SignLog(ctx, l.id)
	must(t, err)
	got, err := l.CompareLog(ctx, l.manager, kept.Note)
	must(t, err)
	if !got.Continues || len(got.Proof) != 0 {
		t.Errorf("against itself: %+v", got)
	}
	l.decide(t, 4)
	now, err := l.SignLog(ctx, l.id)
	must(t, err)

	witness, err := ledger.NewWitness("vera/witness", rand.Reader)
	must(t, err)
	old, err := ledger.ParseCheckpoint(kept.Note[:strings.Index(kept.Note, "\n\n")+1])
	must(t, err)
	must(t, l.AddCosignature(ctx, l.id, kept.Note+witness.Cosign(old, l.now), witness.Text()))
	brought := strings.ReplaceAll(" \n"+kept.Note+witness.Cosign(old, l.now), "\n", "\r\n") // as a form sends it
	got, err = l.CompareLog(ctx, l.manager, brought)
	must(t, err)
	if !got.Continues || got.Brought.Size != kept.Size || got.Newest.Size != now.Size || len(got.Brought.Witnessed) != 1 {
		t.Fatalf("against an earlier one: %+v", got)
	}
	if err := ledger.CheckContinues(got.Proof, old, now.Size, ledger.Hash(now.Root)); err != nil {
		t.Errorf("a stranger checks the proof: %v", err)
	}

	private, _, err := note.GenerateKey(rand.Reader, "south.0badcafe/log")
	must(t, err)
	stranger, err := note.NewSigner(private)
	must(t, err)
	of := func(c ledger.Checkpoint) string {
		text, err := c.Sign(stranger)
		must(t, err)
		return text
	}
	elsewhere := of(ledger.Checkpoint{Origin: "south.0badcafe/log", Size: 3, Root: old.Root})
	larger := strings.Replace(kept.Note, "\n4\n", "\n9\n", 1)
	cut, _, _ := strings.Cut(kept.Note, "— ")
	for _, test := range []struct{ name, text, want string }{
		{"nothing", " \r\n", "Paste a checkpoint"},
		{"two megabytes", strings.Repeat("x", 2<<20), "too long for a checkpoint"},
		{"words", "The log is fine.", "no checkpoint of a decision log"},
		{"a proof", "c2sp.org/tlog-proof@v1\nindex 1\n\n" + kept.Note, "no checkpoint of a decision log"},
		{"a NUL", "\x00\n1\n\n", "no checkpoint of a decision log"},
		{"another centre's", elsewhere, "a checkpoint of the log south.0badcafe/log"},
		{"with another size", larger, "not that of this log"},
		{"without its signature", cut, "not that of this log"},
		{"with another's signature", strings.Replace(kept.Note, base64.StdEncoding.EncodeToString(kept.Root), base64.StdEncoding.EncodeToString(now.Root), 1), "not that of this log"},
	} {
		_, err := l.CompareLog(ctx, l.manager, test.text)
		if fault.KindOf(err) != fault.KindInvalid || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: %v, want %q", test.name, err, test.want)
		}
	}

	// Whoever owns the machine takes the newest entries away, or changes an old one.
	l.superuser(t, `CREATE TABLE kept_checkpoint AS TABLE log_checkpoint`, `DELETE FROM log_checkpoint WHERE size > 4`)
	got, err = l.CompareLog(ctx, l.manager, now.Note)
	must(t, err)
	if got.Continues || !strings.Contains(got.Why, "had more entries") {
		t.Errorf("entries are gone: %+v", got)
	}
	if d, err := l.Log(ctx, l.manager, 0); err != nil || d.Signed.Size != 4 {
		t.Errorf("%+v, %v", d, err)
	}
	l.superuser(t, `INSERT INTO log_checkpoint SELECT * FROM kept_checkpoint WHERE size > 4`, `UPDATE log_hash SET h = sha256('x') WHERE i IN (13, 14)`)
	got, err = l.CompareLog(ctx, l.manager, kept.Note)
	must(t, err)
	if got.Continues || !strings.Contains(got.Why, "changed or taken away") {
		t.Errorf("an entry is changed: %+v", got)
	}
	if d, err := l.Log(ctx, l.manager, 0); err != nil || !strings.Contains(d.Refused, "not the one that was signed last") {
		t.Errorf("%q, %v", d.Refused, err)
	}
	l.superuser(t, `UPDATE log_entry SET leaf = convert_to(replace(convert_from(leaf, 'UTF8'), 'hold_release', 'hold_refused'), 'UTF8') WHERE idx = 2`)
	if e, err := l.LogEntry(ctx, l.manager, 2); err != nil || !e.Broken {
		t.Errorf("a changed entry: %+v, %v", e, err)
	}
	must(t, os.RemoveAll(l.keys))
	l.useKeys(t)
	if d, err := l.Log(ctx, l.manager, 0); err != nil || !strings.Contains(d.Refused, "key cannot be read") {
		t.Errorf("without keys: %q, %v", d.Refused, err)
	}
}
