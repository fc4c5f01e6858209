package app

import (
	"context"
	"errors"
	"math"
	"time"

	"github.com/google/uuid"
	"golang.org/x/mod/sumdb/note"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// Parts of the log, for the ways in.
type (
	LogRow        = store.LogRow
	LogWitness    = store.LogWitness
	LogCheckpoint = store.LogCheckpoint
	LogHash       = ledger.Hash
)

// LogPageSize is how many entries of the log stand on one page.
const LogPageSize = 50

// DecisionLog is a centre's log as those see it who want to hold it against something: what was signed, by which keys, who else
// signed it, and a page of entries. It tells what was decided when and in which role, and nothing of what was said.
type DecisionLog struct {
	Origin    string        // the log's name; "" before it has a key
	Size      int64         // entries
	Signed    LogCheckpoint // the newest signed state; of size 0 where nothing is signed yet
	Keys      []LogKeyFacts // the newest last
	Witnesses []LogWitness
	Rows      []LogRow // the newest first; on a visit without names
	Refused   string   // why it cannot be signed, in sentences; "" where it can, and on a visit
}

// LogKeyFacts is a public key that the log is or was signed with.
type LogKeyFacts struct {
	Text        string
	Fingerprint string // SHA-256 of Text, hex
	MadeAt      time.Time
	SignsUntil  time.Time // zero while it is in use
}

// mayReadLog lets in whom the table lets in, and a verifier on their visit, whose look is kept.
func (a *App) mayReadLog(ctx context.Context, c account.Caller) error {
	if c.Visit == uuid.Nil {
		return account.May(c, account.SeeLog)
	}
	if _, err := a.visit(ctx, c); err != nil {
		return err
	}
	return a.looks(ctx, c, store.LookedLog, uuid.Nil)
}

// Log gives the centre's decision log, with its entries below a number; 0 for the newest.
func (a *App) Log(ctx context.Context, c account.Caller, below int64) (DecisionLog, error) {
	if err := a.mayReadLog(ctx, c); err != nil {
		return DecisionLog{}, err
	}
	if below <= 0 {
		below = math.MaxInt64
	}
	v, err := a.db.LogView(ctx, c.Centre, below, LogPageSize)
	if err != nil {
		return DecisionLog{}, err
	}
	d := DecisionLog{Size: v.Size, Witnesses: v.Witnesses, Rows: v.Rows}
	if v.Newest != nil {
		d.Signed = *v.Newest
	}
	for _, k := range v.Keys {
		d.Origin = ledger.KeyName(k.Text)
		d.Keys = append(d.Keys, LogKeyFacts{k.Text, sum([]byte(k.Text)), k.MadeAt, k.SignsUntil})
	}
	if c.Visit != uuid.Nil {
		for i := range d.Rows {
			d.Rows[i].ByName = "" // most of it is about others than those on the visit's list
		}
		return d, nil
	}
	if a.keys != nil && v.Size > 0 {
		d.Refused = refusedWords(a.logRefused(ctx, store.Centre{ID: c.Centre}, v.LogState))
	}
	return d, nil
}

// refusedWords says to somebody of the centre why the log is not signed.
func refusedWords(err error) string {
	var older *OlderLogError
	switch {
	case err == nil:
		return ""
	case errors.As(err, &older):
		return "The log is not the one that was signed last: an older backup was put back, or the database was changed by hand. Nothing is signed until whoever runs the program says that this was on purpose."
	}
	return "The log cannot be signed, because its key cannot be read where keys are kept. Ask whoever runs the program: witnessmark doctor tells more."
}

// LogEntryWords is the kind of an entry as people read it.
func LogEntryWords(kind string) string {
	switch kind {
	case ledger.KindKey:
		return "key of the log"
	case ledger.KindRollback:
		return "older state accepted"
	case ledger.KindSample:
		return "sample drawn"
	case ledger.KindErasure:
		return "erased"
	case ledger.KindCountersigning:
		return "who is countersigned"
	case ledger.KindAward:
		return "assessor’s award"
	case ledger.KindPortfolio:
		return "portfolio"
	case ledger.KindRuling:
		return "ruling"
	case ledger.KindRulingLook:
		return "looked at under a ruling"
	case ledger.KindAction:
		return "action"
	case ledger.KindActionClosed:
		return "action closed"
	case ledger.KindStrike:
		return "calibration or check struck out"
	case ledger.KindConflict:
		return "conflict of interest"
	case ledger.KindConflictEnded:
		return "conflict of interest ended"
	case ledger.KindPrior:
		return "prior learning decided"
	case ledger.KindPriorLook:
		return "prior learning looked at"
	case ledger.KindWithdrawal:
		return "trainee withdrawn from a cohort"
	case ledger.KindWithdrawalBack:
		return "withdrawal taken back"
	}
	return decision.Kind(kind).Words()
}

// SignedLog gives the newest signed state and the log's public keys. It is NotFound before the log was signed.
func (a *App) SignedLog(ctx context.Context, c account.Caller) (LogCheckpoint, []LogKeyFacts, error) {
	d, err := a.Log(ctx, c, 1)
	if err == nil && d.Signed.Size == 0 {
		err = errUnsigned
	}
	return d.Signed, d.Keys, err
}

// errUnsigned is asking for what only a signed log has.
var errUnsigned = fault.NotFound("The log is not signed yet. That is done a short while after its first entry.")

// logVerifiers reads the public keys of a log.
func logVerifiers(keys []store.LogKey) (vs []note.Verifier, err error) {
	for _, k := range keys {
		v, err := ledger.ParseKey(k.Text)
		if err != nil {
			return nil, err
		}
		vs = append(vs, v)
	}
	return vs, nil
}

// LogLeaf is an entry's bytes, and their hash in the tree.
type LogLeaf struct {
	Index int64
	Leaf  []byte
	Hash  ledger.Hash
}

// LogLeavesMost is how many entries are given at once.
const LogLeavesMost = 1000

// LogLeaves gives the log's size, and its entries from a number on, at most limit, or as many as are given at once where that is 0:
// enough to build the tree again.
func (a *App) LogLeaves(ctx context.Context, c account.Caller, from int64, limit int) (size int64, leaves []LogLeaf, err error) {
	if err := a.mayReadLog(ctx, c); err != nil {
		return 0, nil, err
	}
	if limit <= 0 || limit > LogLeavesMost {
		limit = LogLeavesMost
	}
	st, err := a.db.LogState(ctx, c.Centre)
	if err != nil {
		return 0, nil, err
	}
	entries, err := a.db.LogEntries(ctx, c.Centre, from, limit)
	for _, e := range entries {
		leaves = append(leaves, LogLeaf{e.Index, e.Leaf, ledger.LeafHash(e.Leaf)})
	}
	return max(st.Size, from+int64(len(entries))), leaves, err
}
