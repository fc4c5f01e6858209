package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/fault"
	"witnessmark/internal/keyring"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// WithKeys is the same application where decision logs are signed with the keys of the ring; nil says that none are.
func (a *App) WithKeys(r *keyring.Ring) *App {
	other := *a
	other.keys = r
	return &other
}

// OlderLogError says that a log is not the one that was signed last, or a beginning of it: the database was restored from an
// older backup, or changed by hand. Nothing is signed until somebody says so (AcceptRollback).
type OlderLogError struct {
	Code string            // the centre's
	Seen ledger.Checkpoint // what was signed last, by the folder of keys
	Size int64             // entries now
	Why  error
}

func (e *OlderLogError) Error() string {
	return fmt.Sprintf("the decision log of %s is not signed: %v. Where an older backup was restored on purpose, witnessmark keys accept-rollback --centre %s says so; otherwise find out who changed the database", e.Code, e.Why, e.Code)
}

// Unwrap is why.
func (e *OlderLogError) Unwrap() error { return e.Why }

// errNoKeys is signing without a folder of keys.
var errNoKeys = errors.New("there is no folder of keys to sign decision logs with")

// SignLogs signs the log of every centre where it grew since it was signed last; one that cannot be signed keeps no other from
// it. A centre's first key is made with its first signature.
func (a *App) SignLogs(ctx context.Context) error {
	if a.keys == nil {
		return nil // a test's, or a command that signs nothing
	}
	centres, err := a.db.Centres(ctx)
	if err != nil {
		return err
	}
	for _, centre := range centres {
		if _, e := a.SignLog(ctx, centre); fault.KindOf(e) != fault.KindNotFound {
			err = errors.Join(err, e)
		}
	}
	return err
}

// SignLog gives the signed state of a centre's log as it is now. It is NotFound for a log without an entry, and an
// OlderLogError where the log is not the one that was signed last.
func (a *App) SignLog(ctx context.Context, centre int64) (store.LogCheckpoint, error) {
	if a.keys == nil {
		return store.LogCheckpoint{}, errNoKeys
	}
	if err := a.firstLogKey(ctx, centre); err != nil {
		return store.LogCheckpoint{}, err
	}
	seen, err := a.keys.Seen(centre)
	if err != nil {
		return store.LogCheckpoint{}, err
	}
	return a.signLogAfter(ctx, centre, seen)
}

// signLogAfter signs a log that goes on from what was seen. The log's lock is held, so that of two programs neither puts an
// older state over a newer one; the file is written before the row, since what was signed must never be forgotten.
func (a *App) signLogAfter(ctx context.Context, centre int64, seen ledger.Checkpoint) (signed store.LogCheckpoint, err error) {
	code, err := a.db.Centre(ctx, centre)
	if err != nil {
		return signed, err
	}
	err = a.db.Write(ctx, centre, func(t *store.Tx) error {
		st, err := t.LogState(ctx)
		if err != nil {
			return err
		}
		hashes := t.LogHashes(ctx)
		root, err := ledger.Root(st.Size, hashes)
		if err != nil {
			return err
		}
		if _, err := ledger.Continues(seen, st.Size, root, hashes); err != nil {
			return &OlderLogError{Code: code.Code, Seen: seen, Size: st.Size, Why: err}
		}
		if n := st.Newest; n != nil && n.Size == st.Size && seen.Size == st.Size {
			signed = *n
			return nil
		}
		signers, origin, err := a.logSigners(centre, st.Keys)
		if err != nil {
			return err
		}
		text, err := ledger.Checkpoint{Origin: origin, Size: st.Size, Root: root}.Sign(signers...)
		if err != nil {
			return err
		}
		signed = store.LogCheckpoint{Size: st.Size, Root: root[:], Note: text, CreatedAt: a.now().Truncate(time.Microsecond)}
		if err := a.keys.Keep(centre, text); err != nil {
			return err
		}
		return t.AddLogCheckpoint(ctx, signed)
	})
	return signed, err
}

// logSigners are the keys that sign now: the one in use, and the one before while their time overlaps.
func (a *App) logSigners(centre int64, keys []store.LogKey) (signers []note.Signer, origin string, err error) {
	for _, k := range keys {
		if !k.SignsUntil.IsZero() && !a.now().Before(k.SignsUntil) {
			continue
		}
		s, err := a.keys.Signer(centre, k.ID)
		if errors.Is(err, fs.ErrNotExist) && !k.SignsUntil.IsZero() {
			continue // an old key may be taken away before its time
		}
		if errors.Is(err, fs.ErrNotExist) {
			return nil, "", fmt.Errorf("the key %s of the decision log is not in the folder of keys: bring it back from where keys are backed up, or make another with witnessmark keys rotate --lost", k.ID)
		}
		if err != nil {
			return nil, "", err
		}
		signers, origin = append(signers, s), s.Name()
	}
	return signers, origin, nil
}

// BackfillLogs appends, in every centre, what was decided before there was a log, and says how much that was. It is done at each
// start, before anything is signed.
func (a *App) BackfillLogs(ctx context.Context) (int, error) {
	centres, err := a.db.Centres(ctx)
	if err != nil {
		return 0, err
	}
	n := 0
	for _, centre := range centres {
		added, err := a.db.BackfillLog(ctx, centre)
		if n += added; err != nil {
			return n, err
		}
	}
	return n, nil
}

// CentreByCode finds a centre, for commands of whoever runs the program; it is NotFound where no centre has the code.
func (a *App) CentreByCode(ctx context.Context, code string) (store.Centre, error) {
	all, err := a.AllCentres(ctx)
	if err != nil {
		return store.Centre{}, err
	}
	for _, c := range all {
		if c.Code == code {
			return c, nil
		}
	}
	return store.Centre{}, fault.NotFound("There is no centre with the code %s here.", code)
}

// AllCentres lists every centre, for the same.
func (a *App) AllCentres(ctx context.Context) ([]store.Centre, error) {
	ids, err := a.db.Centres(ctx)
	if err != nil {
		return nil, err
	}
	out := make([]store.Centre, len(ids))
	for i, id := range ids {
		if out[i], err = a.db.Centre(ctx, id); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// LogStanding is how far a centre's log is signed.
type LogStanding struct {
	Code     string
	Size     int64     // entries
	Signed   int64     // of them signed
	SignedAt time.Time // zero where it never was
	Refused  error     // why it is not signed, where it cannot be: an OlderLogError, or a key that is not there
}

// LogStandings says how every centre's log stands, without signing anything.
func (a *App) LogStandings(ctx context.Context) ([]LogStanding, error) {
	centres, err := a.AllCentres(ctx)
	if err != nil {
		return nil, err
	}
	var out []LogStanding
	for _, c := range centres {
		st, err := a.db.LogState(ctx, c.ID)
		if err != nil {
			return nil, err
		}
		s := LogStanding{Code: c.Code, Size: st.Size}
		if st.Newest != nil {
			s.Signed, s.SignedAt = st.Newest.Size, st.Newest.CreatedAt
		}
		if a.keys != nil && st.Size > 0 {
			s.Refused = a.logRefused(ctx, c, st)
		}
		out = append(out, s)
	}
	return out, nil
}

// logRefused is why the log as it is could not be signed.
func (a *App) logRefused(ctx context.Context, c store.Centre, st store.LogState) error {
	seen, err := a.keys.Seen(c.ID)
	if err != nil {
		return err
	}
	hashes := a.db.LogHashes(ctx, c.ID)
	root, err := ledger.Root(st.Size, hashes)
	if err != nil {
		return err
	}
	if _, err := ledger.Continues(seen, st.Size, root, hashes); err != nil {
		return &OlderLogError{Code: c.Code, Seen: seen, Size: st.Size, Why: err}
	}
	if len(st.Keys) == 0 { // made with the first signature
		return nil
	}
	_, _, err = a.logSigners(c.ID, st.Keys)
	return err
}
