package app

import (
	"context"
	"maps"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// LoggedEntry is one entry of the log, with the proof that it stands there.
type LoggedEntry struct {
	LogRow
	Leaf    []byte // its exact bytes
	Hash    ledger.Hash
	Said    ledger.Sealed
	Secrets []LogSecret
	Size    int64         // entries of the log
	Signed  LogCheckpoint // the newest signed state; of size 0 where that does not reach the entry yet
	Proof   ledger.Proof  // under Signed; without a checkpoint likewise
	Broken  bool          // the proof does not hold: the entry was altered, or the hashes were
}

// LogSecret is something that an entry commits to without saying it.
type LogSecret struct {
	Name       string
	Commitment ledger.Hash
	Kept       bool // what opens it is still here; else it was erased
}

// LogEntry gives one entry of the log with its proof, which is checked as a stranger would.
func (a *App) LogEntry(ctx context.Context, c account.Caller, index int64) (e LoggedEntry, err error) {
	if err := a.mayReadLog(ctx, c); err != nil {
		return e, err
	}
	v, err := a.db.LogView(ctx, c.Centre, index+1, 1)
	if err != nil {
		return e, err
	}
	entries, err := a.db.LogEntries(ctx, c.Centre, index, 1)
	if err != nil {
		return e, err
	}
	if len(entries) == 0 || len(v.Rows) == 0 {
		return e, fault.NotFound("The log has %d entries, numbered from 0. There is none of this number.", v.Size)
	}
	e = LoggedEntry{LogRow: v.Rows[0], Leaf: entries[0].Leaf, Hash: ledger.LeafHash(entries[0].Leaf), Size: v.Size}
	if c.Visit != uuid.Nil {
		e.ByName = ""
	}
	if e.Said, err = ledger.ReadLeaf(e.Leaf); err != nil {
		return e, err
	}
	for _, name := range slices.Sorted(maps.Keys(e.Said.Commits)) {
		kept := slices.ContainsFunc(entries[0].Openings, func(o ledger.Opening) bool { return o.Name == name })
		e.Secrets = append(e.Secrets, LogSecret{name, e.Said.Commits[name], kept})
	}
	if v.Newest == nil || v.Newest.Size <= index {
		return e, nil
	}
	return e, a.proveEntry(ctx, c.Centre, v.LogState, &e)
}

// proveEntry adds the proof under the newest signed state.
func (a *App) proveEntry(ctx context.Context, centre int64, st store.LogState, e *LoggedEntry) error {
	path, err := ledger.Prove(st.Newest.Size, e.Index, a.db.LogHashes(ctx, centre))
	if err != nil {
		return err
	}
	keys, err := logVerifiers(st.Keys)
	if err != nil {
		return err
	}
	e.Signed, e.Proof = *st.Newest, ledger.Proof{Index: e.Index, Path: path, Checkpoint: st.Newest.Note}
	_, err = e.Proof.Check(e.Leaf, keys)
	e.Broken = err != nil
	return nil
}

// ComparedLog is what came of holding the log against a checkpoint that somebody kept outside.
type ComparedLog struct {
	Brought   ledger.Signed // with those who are known to have signed it along
	Newest    LogCheckpoint // what it was held against
	Continues bool          // the log at Newest is the one at Brought with entries appended
	Proof     []ledger.Hash // of that; empty where both are the same state
	Why       string        // it does not continue, in sentences
}

// LogNoteMost is how long a checkpoint may be, in bytes: with fifty signatures it has some eight thousand (our own value).
const LogNoteMost = 64 << 10

// CompareLog holds the centre's log against a checkpoint that was kept outside, and says whether the log goes on from there.
func (a *App) CompareLog(ctx context.Context, c account.Caller, text string) (ComparedLog, error) {
	if err := a.mayReadLog(ctx, c); err != nil {
		return ComparedLog{}, err
	}
	v, err := a.db.LogView(ctx, c.Centre, 0, 0)
	if err != nil {
		return ComparedLog{}, err
	}
	if v.Newest == nil {
		return ComparedLog{}, errUnsigned
	}
	brought, err := readBrought(text, v)
	if err != nil {
		return ComparedLog{}, err
	}
	now := *v.Newest
	out := ComparedLog{Brought: brought, Newest: now}
	if brought.Size > now.Size {
		out.Why = "This log had more entries when your checkpoint was signed than are signed now: entries were taken away, or an older backup was put back. " + askWhy
		return out, nil
	}
	out.Proof, err = ledger.Continues(brought.Checkpoint, now.Size, ledger.Hash(now.Root), a.db.LogHashes(ctx, c.Centre))
	if out.Continues = err == nil; !out.Continues {
		out.Why = "An entry that your checkpoint stands for was changed or taken away since. " + askWhy
	}
	return out, nil
}

const askWhy = "Keep your checkpoint, and ask the centre why. Where an older state was accepted on purpose, the log has an entry that says so."

// readBrought reads a checkpoint of the log and checks its signatures; what is wrong with it is said in a sentence.
func readBrought(text string, v store.LogView) (s ledger.Signed, err error) {
	const field = "checkpoint"
	text = strings.TrimSpace(strings.ReplaceAll(text, "\r\n", "\n")) + "\n"
	switch {
	case text == "\n":
		return s, fault.Invalid(field, "Paste a checkpoint, or choose the file that has it.")
	case len(text) > LogNoteMost:
		return s, fault.Invalid(field, "This is too long for a checkpoint, which has a few lines.")
	}
	said, _, _ := strings.Cut(text, "\n\n")
	c, err := ledger.ParseCheckpoint(said + "\n")
	if err != nil {
		return s, fault.Invalid(field, "This is no checkpoint of a decision log. One begins with three lines, the log's name, its size and its root, and ends with signatures after an empty line. Copy all of it.")
	}
	keys, err := logVerifiers(v.Keys)
	if err != nil {
		return s, err
	}
	if own := keys[len(keys)-1].Name(); c.Origin != own {
		return s, fault.Invalid(field, "This is a checkpoint of the log %s, and the log here is %s. Take one that was signed by this centre.", c.Origin, own)
	}
	var witnesses []*ledger.Witness
	for _, w := range v.Witnesses {
		known, err := ledger.ParseWitness(w.Key)
		if err != nil {
			return s, err
		}
		witnesses = append(witnesses, known)
	}
	if s, err = ledger.OpenCheckpoint(text, keys, witnesses...); err != nil {
		return s, fault.Invalid(field, "The signature under this checkpoint is not that of this log: it was altered or cut short, or somebody else made it. Nothing can be told from it.")
	}
	return s, nil
}
