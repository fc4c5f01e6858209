package app_test

import (
	"crypto/rand"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/keyring"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// logged is a centre whose log is signed.
type logged struct {
	*centre
	keys string // the folder
}

func newLogged(t *testing.T) logged {
	t.Helper()
	c := newCentre(t)
	l := logged{c, filepath.Join(t.TempDir(), "keys")}
	l.useKeys(t)
	return l
}

// useKeys opens the folder of keys as it is now.
func (l logged) useKeys(t *testing.T) {
	t.Helper()
	ring, err := keyring.Open(l.keys)
	must(t, err)
	l.App = l.WithKeys(ring)
}

// decide appends n releases to an attempt's records.
func (l logged) decide(t *testing.T, n int) {
	t.Helper()
	attempts, err := l.db.TasksOf(t.Context(), l.id, l.trainee.Person)
	must(t, err)
	if len(attempts) == 0 {
		l.set(t)
		attempts, err = l.db.TasksOf(t.Context(), l.id, l.trainee.Person)
		must(t, err)
	}
	for range n {
		must(t, l.db.Write(t.Context(), l.id, func(tx *store.Tx) error {
			return tx.AppendRecord(t.Context(), decision.Record{ID: newID(t), Centre: l.id, Attempt: attempts[0].Attempt, Kind: decision.KindHoldRelease, Subject: newID(t).String(),
				Outcome: "released", Words: "seen", By: l.tutor.Person, ByName: l.tutor.Name, Role: "tutor", At: l.now.Truncate(time.Microsecond)})
		}))
	}
}

// audit says what is wrong with the log.
func (l logged) audit(t *testing.T, outside *app.Outside) app.LogAudit {
	t.Helper()
	got, err := l.AuditLog(t.Context(), l.id, outside)
	must(t, err)
	return got
}

func (l logged) whole(t *testing.T) app.LogAudit {
	t.Helper()
	got := l.audit(t, nil)
	for _, p := range got.Problems {
		t.Error(p)
	}
	return got
}

// superuser does statements past every trigger and key, as whoever owns the machine can.
func (l logged) superuser(t *testing.T, statements ...string) {
	t.Helper()
	conn, err := pgx.Connect(t.Context(), l.super)
	must(t, err)
	defer conn.Close(t.Context())
	for _, sql := range append([]string{`SET session_replication_role = replica`}, statements...) {
		if _, err := conn.Exec(t.Context(), sql); err != nil {
			t.Fatalf("%s: %v", sql, err)
		}
	}
}

func TestLogIsSignedAsItGrows(t *testing.T) {
	l := newLogged(t)
	if err := l.SignLogs(t.Context()); err != nil {
		t.Fatalf("an empty log: %v", err)
	}
	if _, err := l.SignLog(t.Context(), l.id); fault.KindOf(err) != fault.KindNotFound {
		t.Errorf("an empty log is signed: %v", err)
	}
	l.decide(t, 3)
	must(t, l.SignLogs(t.Context()))
	first, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	if first.Size != 4 { // with the key's own entry
		t.Errorf("signed at %d entries, want 4", first.Size)
	}
	l.decide(t, 2)
	second, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	st, err := l.db.LogState(t.Context(), l.id)
	must(t, err)
	v, err := note.NewVerifier(st.Keys[0].Text)
	must(t, err)
	old, err := ledger.OpenCheckpoint(first.Note, []note.Verifier{v})
	must(t, err)
	now, err := ledger.OpenCheckpoint(second.Note, []note.Verifier{v})
	must(t, err)
	if _, err := ledger.Continues(old.Checkpoint, now.Size, now.Root, l.db.LogHashes(t.Context(), l.id)); err != nil || now.Size != 6 {
		t.Errorf("at %d: %v", now.Size, err)
	}
	if got := l.whole(t); got.Checkpoints != 2 || got.Size != 6 || got.Root != now.Root {
		t.Errorf("got %+v", got)
	}
}

// Whoever owns the machine can change every row. What they cannot do is agree with what was signed.
func TestAuditFindsWhatASuperuserDoes(t *testing.T) {
	l := newLogged(t)
	l.decide(t, 6)
	kept, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	st, err := l.db.LogState(t.Context(), l.id)
	must(t, err)
	outside := &app.Outside{Checkpoint: kept.Note, Key: st.Keys[0].Text}
	tables := []string{"log_entry", "log_hash", "log_secret", "log_checkpoint", "log_key", "record"}
	for _, name := range tables {
		l.superuser(t, `CREATE TABLE kept_`+name+` AS TABLE `+name)
	}
	rewrite := `UPDATE log_entry SET leaf = convert_to(replace(convert_from(leaf, 'UTF8'), 'hold_release', 'hold_refused'), 'UTF8'), kind = 'hold_refused' WHERE idx = 2`
	for _, test := range []struct{ name, sql, want string }{
		{"a leaf is changed", rewrite, "is not that of the entries"},
		{"a leaf is taken out", `DELETE FROM log_entry WHERE idx = 2`, "entry 2 is missing"},
		{"the last are cut off", `DELETE FROM log_entry WHERE idx >= 4; DELETE FROM log_hash WHERE i >= 7`, "has 7 entries and the log 4"},
		{"a hash is changed", `UPDATE log_hash SET h = sha256('x') WHERE i = 3`, "the stored hash 3"},
		{"a record's bytes are changed", `UPDATE record SET canonical = convert_to(replace(convert_from(canonical, 'UTF8'), 'seen', 'not seen'), 'UTF8')`, "commits to another record"},
		{"a record's column is changed", `UPDATE record SET words = 'not seen'`, "is no longer what was logged"},
		{"a record is put in", `INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical)
			SELECT centre_id, gen_random_uuid(), attempt_id, kind, subject || 'x', outcome, reason, words, value, evidence, by_id, by_name, role, at, canonical FROM record LIMIT 1`, "1 records have no entry"},
		{"a signed state is changed", `UPDATE log_checkpoint SET note = replace(note, E'\n7\n', E'\n6\n')`, "the checkpoint at 7"},
		{"the key is another", `UPDATE log_key SET vkey = 'x/log+00000000+x'`, "cannot be read"},
	} {
		t.Run(test.name, func(t *testing.T) {
			l.superuser(t, test.sql)
			if got := strings.Join(l.audit(t, outside).Problems, "\n"); !strings.Contains(got, test.want) {
				t.Errorf("got %q, want %q in it", got, test.want)
			}
			for _, name := range tables {
				l.superuser(t, `DELETE FROM `+name)
				if name == "record" {
					l.superuser(t, `INSERT INTO record OVERRIDING SYSTEM VALUE SELECT * FROM kept_record`)
				} else {
					l.superuser(t, `INSERT INTO `+name+` SELECT * FROM kept_`+name)
				}
			}
			l.whole(t)
		})
	}
	t.Run("all of it is written anew", func(t *testing.T) {
		l.superuser(t, `DELETE FROM log_checkpoint; DELETE FROM log_key; DELETE FROM log_secret; DELETE FROM log_hash; DELETE FROM log_entry; UPDATE record SET words = 'x'`)
		must(t, os.RemoveAll(l.keys))
		l.useKeys(t)
		if _, err := l.BackfillLogs(t.Context()); err != nil {
			t.Fatal(err)
		}
		must(t, l.SignLogs(t.Context()))
		got := strings.Join(l.audit(t, outside).Problems, "\n")
		if want := "the checkpoint that was given is not a beginning of the log"; !strings.Contains(got, want) {
			t.Errorf("got %q, want %q in it", got, want)
		}
	})
}

// A database that was put back to an older state is not signed until somebody says so, and then the log says so for ever.
func TestOlderLogIsNotSigned(t *testing.T) {
	l := newLogged(t)
	l.decide(t, 3)
	must(t, l.SignLogs(t.Context()))
	if _, err := l.AcceptRollback(t.Context(), l.id, "no need"); fault.KindOf(err) != fault.KindConflict {
		t.Errorf("accepted with nothing to accept: %v", err)
	}
	for _, name := range []string{"log_entry", "log_hash", "log_secret", "log_checkpoint", "record"} {
		l.superuser(t, `CREATE TABLE kept_`+name+` AS TABLE `+name)
	}
	l.decide(t, 4)
	lost, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	for _, name := range []string{"log_entry", "log_hash", "log_secret", "log_checkpoint"} {
		l.superuser(t, `DELETE FROM `+name, `INSERT INTO `+name+` SELECT * FROM kept_`+name)
	}
	l.superuser(t, `DELETE FROM record`, `INSERT INTO record OVERRIDING SYSTEM VALUE SELECT * FROM kept_record`)
	older := func() {
		t.Helper()
		var e *app.OlderLogError
		if err := l.SignLogs(t.Context()); !errors.As(err, &e) || e.Code != "NORTH" || e.Seen.Size != lost.Size || !strings.Contains(err.Error(), "accept-rollback --centre NORTH") {
			t.Fatalf("got %v", err)
		}
	}
	older()
	l.decide(t, 6) // longer than before, and still another
	older()
	if _, err := l.AcceptRollback(t.Context(), l.id, " "); fault.KindOf(err) != fault.KindInvalid {
		t.Errorf("accepted without a reason: %v", err)
	}
	signed, err := l.AcceptRollback(t.Context(), l.id, "The disk failed; restored from Sunday's backup.")
	must(t, err)
	if signed.Size != 11 {
		t.Errorf("signed at %d, want 11", signed.Size)
	}
	must(t, l.SignLogs(t.Context()))
	entries, err := l.db.LogEntries(t.Context(), l.id, 10, 1)
	must(t, err)
	s, err := ledger.ReadLeaf(entries[0].Leaf)
	must(t, err)
	if s.Kind != ledger.KindRollback || s.Facts["size"] != "8" || string(entries[0].Openings[0].Value) == "" {
		t.Errorf("got %+v", s)
	}
	l.whole(t)
	if got := l.audit(t, &app.Outside{Checkpoint: lost.Note}); len(got.Problems) != 1 {
		t.Errorf("held against what was lost: %q", got.Problems)
	}
}

func TestKeysTakeOver(t *testing.T) {
	l := newLogged(t)
	l.decide(t, 2)
	must(t, l.SignLogs(t.Context()))
	st, err := l.db.LogState(t.Context(), l.id)
	must(t, err)
	old, err := note.NewVerifier(st.Keys[0].Text)
	must(t, err)
	key, err := l.RotateLogKey(t.Context(), l.id, false)
	must(t, err)
	next, err := note.NewVerifier(key.Text)
	must(t, err)
	signed, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	for _, v := range []note.Verifier{old, next} {
		if _, err := ledger.OpenCheckpoint(signed.Note, []note.Verifier{v}); err != nil {
			t.Errorf("while both sign: %v", err)
		}
	}
	l.now = l.now.AddDate(0, 0, 91)
	l.decide(t, 1)
	signed, err = l.SignLog(t.Context(), l.id)
	must(t, err)
	if _, err := ledger.OpenCheckpoint(signed.Note, []note.Verifier{old}); err == nil {
		t.Error("the old key signs after its time")
	}
	entries, err := l.db.LogEntries(t.Context(), l.id, key.FromSize, 1)
	must(t, err)
	s, err := ledger.ReadLeaf(entries[0].Leaf)
	must(t, err)
	n, err := note.Open([]byte(s.Facts["handover"]), note.VerifierList(old, next))
	must(t, err)
	if len(n.Sigs) != 2 || !strings.Contains(n.Text, key.Text) {
		t.Errorf("both keys are to sign the new one: %+v", n)
	}
	l.whole(t)
	must(t, os.RemoveAll(filepath.Join(l.keys, "1")))
	if _, err := l.RotateLogKey(t.Context(), l.id, false); err == nil {
		t.Error("a key that is lost hands over")
	}
	_, err = l.RotateLogKey(t.Context(), l.id, true)
	must(t, err)
	must(t, l.SignLogs(t.Context()))
	l.whole(t)
}

func TestAWitnessedCheckpointIsHeldAgainst(t *testing.T) {
	l := newLogged(t)
	l.decide(t, 2)
	signed, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	w, err := ledger.NewWitness("body/verifier", rand.Reader)
	must(t, err)
	c, err := ledger.ParseCheckpoint(signed.Note)
	must(t, err)
	must(t, l.AddCosignature(t.Context(), l.id, signed.Note+w.Cosign(c, l.now), w.Text()))
	again, err := l.SignLog(t.Context(), l.id)
	must(t, err)
	got := l.audit(t, &app.Outside{Checkpoint: again.Note, Witnesses: []string{w.Text()}})
	if len(got.Problems) > 0 || len(got.Witnessed) != 1 || !got.Witnessed[0].At.Equal(l.now) {
		t.Errorf("got %+v", got)
	}
	other, err := ledger.NewWitness("somebody/else", rand.Reader)
	must(t, err)
	if err := l.AddCosignature(t.Context(), l.id, signed.Note+other.Cosign(c, l.now), w.Text()); err == nil {
		t.Error("another's signature is kept as the witness's")
	}
}
