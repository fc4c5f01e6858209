package app

import (
	"bytes"
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// keyOverlap is how long the key before signs along with a new one, so that whoever knows that one alone can still check (our
// own value).
const keyOverlap = 90 * 24 * time.Hour

// firstLogKey makes the centre's first key where its log has entries and was never signed.
func (a *App) firstLogKey(ctx context.Context, centre int64) error {
	st, err := a.db.LogState(ctx, centre)
	switch {
	case err != nil:
		return err
	case len(st.Keys) > 0:
		return nil
	case st.Size == 0:
		return hidden("entry in the log")
	}
	seen, err := a.keys.Seen(centre)
	if err != nil || seen.Size > 0 { // a log that was signed has a key: this one is older than that
		return err
	}
	_, err = a.NewLogKey(ctx, centre)
	return err
}

// NewLogKey makes the first key of a centre's log. Conflict where it has one.
func (a *App) NewLogKey(ctx context.Context, centre int64) (store.LogKey, error) {
	if a.keys == nil {
		return store.LogKey{}, errNoKeys
	}
	c, err := a.db.Centre(ctx, centre)
	if err != nil {
		return store.LogKey{}, err
	}
	origin, err := logOrigin(c.Code)
	if err != nil {
		return store.LogKey{}, err
	}
	return a.addLogKey(ctx, centre, func(st store.LogState) (string, string, map[string]string, error) {
		if len(st.Keys) > 0 {
			return "", "", nil, fault.Conflict("This centre's log has a key already. Put another in its place with rotate.")
		}
		id, public, err := a.keys.New(centre, origin)
		return id, public, nil, err
	})
}

// logOrigin names a centre's log. The random part tells it from the log of another installation with a centre of the same code.
func logOrigin(code string) (string, error) {
	tell := make([]byte, 4)
	if _, err := rand.Read(tell); err != nil {
		return "", fmt.Errorf("name the log: %w", err)
	}
	name := strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '-' {
			return r
		}
		return '-'
	}, strings.ToLower(code))
	return name + "." + hex.EncodeToString(tell) + "/log", nil
}

// RotateLogKey makes another key. The new one is signed by itself and by the one before within an entry of the log; both sign
// for 90 days. lost says that the one before is not here any more, which the entry then shows by its missing signature.
func (a *App) RotateLogKey(ctx context.Context, centre int64, lost bool) (store.LogKey, error) {
	if a.keys == nil {
		return store.LogKey{}, errNoKeys
	}
	return a.addLogKey(ctx, centre, func(st store.LogState) (string, string, map[string]string, error) {
		if len(st.Keys) == 0 {
			return "", "", nil, fault.Conflict("This centre's log has no key yet: it is made with the first signature.")
		}
		before := st.Keys[len(st.Keys)-1]
		var signers []note.Signer
		old, err := a.keys.Signer(centre, before.ID)
		switch {
		case err == nil:
			signers = append(signers, old)
		case !lost || !errors.Is(err, fs.ErrNotExist):
			return "", "", nil, err
		}
		origin, _, _ := strings.Cut(before.Text, "+")
		id, public, err := a.keys.New(centre, origin)
		if err != nil {
			return "", "", nil, err
		}
		mine, err := a.keys.Signer(centre, id)
		if err != nil {
			return "", "", nil, err
		}
		statement, err := note.Sign(&note.Note{Text: ledger.HandoverText(before.Text, public)}, append(signers, mine)...)
		return id, public, map[string]string{"previous": before.Text, "handover": string(statement)}, err
	})
}

// addLogKey adds the key that mint makes, with its entry in the log. Facts are of the entry, besides the key.
func (a *App) addLogKey(ctx context.Context, centre int64, mint func(store.LogState) (id, public string, facts map[string]string, err error)) (k store.LogKey, err error) {
	now := a.now().Truncate(time.Microsecond)
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		st, err := t.LogState(ctx)
		if err != nil {
			return err
		}
		id, public, facts, err := mint(st)
		if err != nil {
			return err
		}
		if facts == nil {
			facts = map[string]string{}
		}
		facts["key"] = public
		k = store.LogKey{ID: id, Text: public, FromSize: st.Size, MadeAt: now}
		t.Log(ctx, ledger.Leaf{Kind: ledger.KindKey, Subject: store.KeySubject(public), At: now, Facts: facts})
		return t.AddLogKey(ctx, k, now.Add(keyOverlap))
	})
	return k, err
}

// AcceptRollback says that a log which is older than it was is to go on from here, why, and that this is known: an entry of the
// log keeps the state that was lost. Conflict where the log is not older.
func (a *App) AcceptRollback(ctx context.Context, centre int64, words string) (store.LogCheckpoint, error) {
	words = strings.TrimSpace(words)
	if words == "" {
		return store.LogCheckpoint{}, fault.Invalid("reason", "Say why, so that whoever checks the log later can follow you.")
	}
	_, err := a.SignLog(ctx, centre)
	var older *OlderLogError
	if err == nil {
		return store.LogCheckpoint{}, fault.Conflict("This log goes on from what was signed last: there is nothing to accept.")
	}
	if !errors.As(err, &older) {
		return store.LogCheckpoint{}, err
	}
	if err := a.db.Write(ctx, centre, func(t *store.Tx) error {
		t.Log(ctx, ledger.Leaf{Kind: ledger.KindRollback, Subject: uuid.Nil, At: a.now(),
			Facts:   map[string]string{"size": strconv.FormatInt(older.Seen.Size, 10), "root": older.Seen.Root.String()},
			Secrets: map[string]string{"words": words}})
		return nil
	}); err != nil {
		return store.LogCheckpoint{}, err
	}
	if st, err := a.db.LogState(ctx, centre); err != nil {
		return store.LogCheckpoint{}, err
	} else if len(st.Keys) == 0 {
		if _, err := a.NewLogKey(ctx, centre); err != nil {
			return store.LogCheckpoint{}, err
		}
	}
	return a.signLogAfter(ctx, centre, ledger.Checkpoint{})
}

// AddCosignature keeps a witness's signature that stands under one of the log's checkpoints. Key is the witness's public one.
func (a *App) AddCosignature(ctx context.Context, centre int64, text, key string) error {
	w, err := ledger.ParseWitness(key)
	if err != nil {
		return err
	}
	st, err := a.db.LogState(ctx, centre)
	if err != nil {
		return err
	}
	var log []note.Verifier
	for _, k := range st.Keys {
		v, err := note.NewVerifier(k.Text)
		if err != nil {
			return fmt.Errorf("read the key %s of the log: %w", k.ID, err)
		}
		log = append(log, v)
	}
	s, err := ledger.OpenCheckpoint(text, log, w)
	if err != nil {
		return err
	}
	if len(s.Witnessed) == 0 {
		return fault.Invalid("file", "%s has not signed this checkpoint.", w.Name())
	}
	kept, err := a.db.LogCheckpoint(ctx, centre, s.Size)
	if err != nil {
		return err
	}
	if !bytes.Equal(kept.Root, s.Root[:]) {
		return fault.Conflict("This is not the state that the log had at %d entries.", s.Size)
	}
	line := ""
	for l := range strings.Lines(text) {
		if strings.HasPrefix(l, "— "+w.Name()+" ") {
			line = l
		}
	}
	return a.db.Write(ctx, centre, func(t *store.Tx) error {
		return t.AddCosignature(ctx, s.Size, w.Name(), w.Text(), line, a.now())
	})
}

// LogKeys lists the public keys of a centre's log, the newest last.
func (a *App) LogKeys(ctx context.Context, centre int64) ([]store.LogKey, error) {
	st, err := a.db.LogState(ctx, centre)
	return st.Keys, err
}

// WitnessRequest is what a witness who last signed the log at the old size (0 for nothing yet) signs next: the newest signed
// state, with the proof that it goes on from there.
func (a *App) WitnessRequest(ctx context.Context, centre, old int64) (ledger.Request, error) {
	signed, err := a.SignLog(ctx, centre)
	if err != nil {
		return ledger.Request{}, err
	}
	if old > signed.Size {
		return ledger.Request{}, fault.Invalid("size", "The log has %d entries, so nobody has signed it at %d.", signed.Size, old)
	}
	return a.goesOn(ctx, centre, old, signed)
}
