package app

import (
	"bytes"
	"context"
	"encoding/hex"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// LogAudit is what reading all of a centre's log found.
type LogAudit struct {
	Code        string // the centre's
	Size        int64  // entries
	Root        ledger.Hash
	Backfilled  int // entries of what was decided before there was a log
	Erased      int // commitments that nobody can open any more
	Checkpoints int
	SignedAt    time.Time         // of the newest checkpoint
	Witnessed   []ledger.Cosigned // of the newest witnessed checkpoint that the audit was held against
	Problems    []string          // what is wrong, in sentences; none where the log is whole
}

// Outside is a checkpoint that somebody kept outside the installation, with the keys to check it by.
type Outside struct {
	Checkpoint string
	Key        string   // the log's public key as they know it; "" goes by those of the database
	Witnesses  []string // public keys of witnesses whose signatures count
}

// auditChunk is how many entries are held in memory at once.
const auditChunk = 2000

// AuditLog reads every entry of a centre's log, rebuilds the tree from them and compares it with what is stored, with every state
// that was signed, with the records, and with a checkpoint from outside where there is one.
func (a *App) AuditLog(ctx context.Context, centre int64, outside *Outside) (LogAudit, error) {
	c, err := a.db.Centre(ctx, centre)
	if err != nil {
		return LogAudit{}, err
	}
	u := &audit{app: a, centre: centre, LogAudit: LogAudit{Code: c.Code}, keys: map[string]bool{}}
	for _, step := range []func(context.Context) error{u.entries, u.unlogged, u.signed, u.kept} {
		if err := step(ctx); err != nil {
			return LogAudit{}, err
		}
	}
	if outside != nil {
		u.against(ctx, *outside)
	}
	return u.LogAudit, nil
}

// audit is one under way.
type audit struct {
	app    *App
	centre int64
	LogAudit
	tree ledger.Builder
	keys map[string]bool // public keys that an entry tells of
	log  []note.Verifier
}

func (u *audit) wrong(format string, args ...any) {
	const most = 50 // a log that was rewritten has something wrong with each entry
	if len(u.Problems) < most {
		u.Problems = append(u.Problems, fmt.Sprintf(format, args...))
	}
}

// entries reads and rebuilds the whole tree.
func (u *audit) entries(ctx context.Context) error {
	stored := int64(0)
	for {
		rows, err := u.app.db.LogEntries(ctx, u.centre, u.tree.Size(), auditChunk)
		if err != nil {
			return err
		}
		from, leaves := u.tree.Size(), make([][]byte, 0, len(rows))
		for i, e := range rows {
			if e.Index != from+int64(i) {
				u.wrong("entry %d is missing", from+int64(i))
				rows = rows[:i]
				break
			}
			u.entry(e)
			leaves = append(leaves, e.Leaf)
		}
		if err := u.records(ctx, rows); err != nil {
			return err
		}
		made, err := u.tree.Add(leaves)
		if err != nil {
			return err
		}
		if err := u.hashes(ctx, stored, made); err != nil {
			return err
		}
		if stored += int64(len(made)); len(rows) < auditChunk {
			break
		}
	}
	st, err := u.app.db.LogState(ctx, u.centre)
	if err != nil {
		return err
	}
	if st.Size > u.tree.Size() { // entries behind a gap, unless the log grew meanwhile
		if later, err := u.app.db.LogEntries(ctx, u.centre, u.tree.Size(), 1); err != nil || len(later) == 0 {
			u.wrong("the entries after %d do not follow on it", u.tree.Size()-1)
		}
	}
	u.Size = u.tree.Size()
	u.Root, err = u.tree.Root()
	return err
}

// entry looks at one leaf and what opens it.
func (u *audit) entry(e store.LogEntry) {
	s, err := ledger.ReadLeaf(e.Leaf)
	if err != nil {
		u.wrong("entry %d cannot be read: %v", e.Index, err)
		return
	}
	if s.Centre != u.centre || s.Kind != e.Kind {
		u.wrong("entry %d is filed as something that it is not", e.Index)
	}
	if s.Backfilled {
		u.Backfilled++
	}
	if s.Kind == ledger.KindKey {
		u.keys[s.Facts["key"]] = true
	}
	u.Erased += len(s.Commits)
	for _, o := range e.Openings {
		u.Erased--
		if !s.OpenedBy(o) {
			u.wrong("entry %d commits to another %s than is kept: that was changed afterwards", e.Index, o.Name)
		}
	}
}

// records holds the records as they are shown against the bytes that were logged.
func (u *audit) records(ctx context.Context, rows []store.LogEntry) error {
	said := map[uuid.UUID][]byte{}
	for _, e := range rows {
		for _, o := range e.Openings {
			if e.Record != uuid.Nil && o.Name == "record" {
				said[e.Record] = o.Value
			}
		}
	}
	ids := make([]uuid.UUID, 0, len(said))
	for id := range said {
		ids = append(ids, id)
	}
	records, err := u.app.db.RecordsByID(ctx, u.centre, ids)
	if err != nil {
		return err
	}
	for _, r := range records {
		if canonical, err := r.Canonical(); err != nil || !bytes.Equal(canonical, said[r.ID]) {
			u.wrong("the %s of %s by %s is no longer what was logged: a column of it was changed", kindWords(r.Kind), r.At.Format("2 January 2006 15:04"), r.ByName)
		}
	}
	return nil
}

func kindWords(k decision.Kind) string {
	if k == decision.KindCriterion {
		return "decision"
	}
	return string(k)
}

// hashes holds stored hashes from a number on against those that the leaves make.
func (u *audit) hashes(ctx context.Context, from int64, made []ledger.StoredHash) error {
	if len(made) == 0 {
		return nil
	}
	stored, err := u.app.db.LogHashRows(ctx, u.centre, from, len(made))
	if err != nil {
		return err
	}
	if i := firstOther(stored, made); i >= 0 {
		u.wrong("the stored hash %d is not that of the entries", made[i].Index)
	}
	return nil
}

// firstOther is the place of the first that differs, -1 where none does.
func firstOther(got, want []ledger.StoredHash) int {
	for i := range want {
		if i >= len(got) || got[i] != want[i] {
			return i
		}
	}
	return -1
}

// unlogged looks for records without an entry.
func (u *audit) unlogged(ctx context.Context) error {
	n, err := u.app.db.UnloggedRecords(ctx, u.centre)
	if n > 0 {
		u.wrong("%d records have no entry: they were put in around the program, or the program has not started since the log was introduced", n)
	}
	return err
}

// signed looks at every state that was signed, and at the keys.
func (u *audit) signed(ctx context.Context) error {
	st, err := u.app.db.LogState(ctx, u.centre)
	if err != nil {
		return err
	}
	for _, k := range st.Keys {
		v, err := note.NewVerifier(k.Text)
		if err != nil {
			u.wrong("the key %s cannot be read: %v", k.ID, err)
			continue
		}
		if !u.keys[k.Text] {
			u.wrong("no entry of the log tells of the key %s", k.ID)
		}
		u.log = append(u.log, v)
	}
	all, err := u.app.db.LogCheckpoints(ctx, u.centre)
	if err != nil {
		return err
	}
	for _, c := range all {
		u.Checkpoints++
		u.SignedAt = c.CreatedAt
		s, err := ledger.OpenCheckpoint(c.Note, u.log)
		switch {
		case err != nil:
			u.wrong("the checkpoint at %d: %v", c.Size, err)
		case s.Size != c.Size || hex.EncodeToString(s.Root[:]) != hex.EncodeToString(c.Root):
			u.wrong("the checkpoint at %d is filed under another state", c.Size)
		default:
			u.holds(ctx, fmt.Sprintf("the checkpoint of %s", c.CreatedAt.Format("2 January 2006 15:04")), s.Checkpoint)
		}
	}
	return nil
}

// holds says so where the log is not one that a signed state is a beginning of.
func (u *audit) holds(ctx context.Context, what string, c ledger.Checkpoint) {
	if c.Size > u.Size {
		u.wrong("%s has %d entries and the log %d: entries were removed, or an older backup was restored", what, c.Size, u.Size)
		return
	}
	root, err := ledger.Root(c.Size, u.app.db.LogHashes(ctx, u.centre))
	if err != nil || root != c.Root {
		u.wrong("%s is not a beginning of the log: an entry up to %d was changed", what, c.Size-1)
	}
}

// kept holds the log against the newest state in the folder of keys.
func (u *audit) kept(ctx context.Context) error {
	if u.app.keys == nil {
		return nil
	}
	seen, err := u.app.keys.Seen(u.centre)
	if err == nil && seen.Size > 0 {
		u.holds(ctx, "the state in the folder of keys", seen)
	}
	return err
}

// against holds the log against a checkpoint from outside.
func (u *audit) against(ctx context.Context, o Outside) {
	keys := u.log
	if o.Key != "" {
		v, err := note.NewVerifier(o.Key)
		if err != nil {
			u.wrong("the key that was given cannot be read: %v", err)
			return
		}
		keys = []note.Verifier{v}
	}
	var witnesses []*ledger.Witness
	for _, text := range o.Witnesses {
		w, err := ledger.ParseWitness(text)
		if err != nil {
			u.wrong("%v", err)
			return
		}
		witnesses = append(witnesses, w)
	}
	s, err := ledger.OpenCheckpoint(o.Checkpoint, keys, witnesses...)
	if err != nil {
		u.wrong("the checkpoint that was given: %v", err)
		return
	}
	u.Witnessed = slices.Clone(s.Witnessed)
	u.holds(ctx, "the checkpoint that was given", s.Checkpoint)
}
