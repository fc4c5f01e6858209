package api

import (
	"context"
	"time"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
)

// LogState is where a centre's decision log stands.
type LogState struct {
	Origin    string       `json:"origin,omitzero" about:"The log's name; absent before it has a key."`
	Size      int64        `json:"size" about:"Entries."`
	Signed    *SignedLog   `json:"signed,omitzero" validate:"omitempty" about:"The newest signed state; absent before the first."`
	Keys      []LogKey     `json:"keys" about:"Public keys, the newest last."`
	Witnesses []LogWitness `json:"witnesses"`
}

// SignedLog is a signed state of the log.
type SignedLog struct {
	Size     int64     `json:"size"`
	Root     string    `json:"root" about:"Base64, as the note has it."`
	Note     string    `json:"note" about:"The checkpoint as it was signed, with every signature (C2SP tlog-checkpoint)."`
	SignedAt time.Time `json:"signed_at" about:"By the centre's clock."`
}

// LogKey is a public key of the log.
type LogKey struct {
	Key        string    `json:"key" about:"NAME+HASH+KEY (C2SP signed-note)."`
	SHA256     string    `json:"sha256" about:"Of the key's text, hex."`
	MadeAt     time.Time `json:"made_at"`
	SignsUntil time.Time `json:"signs_until,omitzero" about:"Absent while it is in use."`
}

// LogWitness is somebody else who signs the log.
type LogWitness struct {
	Name       string    `json:"name"`
	Key        string    `json:"key"`
	Size       int64     `json:"size" about:"Entries when they last signed."`
	ReceivedAt time.Time `json:"received_at"`
}

func (s *service) logCheckpoint(ctx context.Context, who account.Caller, _ none, _ none, _ none) (LogState, error) {
	l, err := s.app.Log(ctx, who, 1)
	return logStateOf(l), err
}

func logStateOf(l app.DecisionLog) LogState {
	return LogState{Origin: l.Origin, Size: l.Size, Signed: signedLogOf(l.Signed),
		Keys: each(l.Keys, func(k app.LogKeyFacts) LogKey {
			return LogKey{k.Text, k.Fingerprint, k.MadeAt.UTC(), k.SignsUntil.UTC()}
		}),
		Witnesses: each(l.Witnesses, func(w app.LogWitness) LogWitness { return LogWitness{w.Name, w.Key, w.Size, w.At.UTC()} })}
}

// signedLogOf is a signed state, nil where nothing is signed.
func signedLogOf(c app.LogCheckpoint) *SignedLog {
	if c.Size == 0 {
		return nil
	}
	return &SignedLog{c.Size, c.RootText(), c.Note, c.CreatedAt.UTC()}
}

type logEntriesQuery struct {
	From  int `query:"from" validate:"omitempty,min=0" about:"The first entry's number, from 0."`
	Limit int `query:"limit" validate:"omitempty,min=1,max=1000" about:"At most so many; 1000 without it."`
}

// LogEntries is entries of the log in their order.
type LogEntries struct {
	Size    int64      `json:"size" about:"Entries of the log."`
	Entries []LogEntry `json:"entries"`
}

// LogEntry is one entry.
type LogEntry struct {
	Index int64  `json:"index"`
	Leaf  string `json:"leaf" about:"Its exact bytes, which are JSON in its canonical form (RFC 8785)."`
	Hash  string `json:"hash" about:"SHA-256 of a zero byte and the leaf, base64 (RFC 6962)."`
}

func (s *service) logEntries(ctx context.Context, who account.Caller, _ none, q logEntriesQuery, _ none) (LogEntries, error) {
	size, leaves, err := s.app.LogLeaves(ctx, who, int64(q.From), q.Limit)
	return LogEntries{size, each(leaves, func(l app.LogLeaf) LogEntry { return LogEntry{l.Index, string(l.Leaf), l.Hash.String()} })}, err
}

type logProofQuery struct {
	Entry int `query:"entry" validate:"min=0" about:"The entry's number, from 0."`
}

// LogProof is an entry with the proof that it stands in the log.
type LogProof struct {
	Entry  LogEntry   `json:"entry"`
	Signed *SignedLog `json:"signed,omitzero" validate:"omitempty" about:"The state that it is proved under; absent where what was signed last does not reach it yet."`
	Proof  string     `json:"proof,omitzero" about:"The proof as a file (C2SP tlog-proof); absent likewise."`
	Holds  bool       `json:"holds" about:"The proof was checked just now, and holds."`
}

func (s *service) logProof(ctx context.Context, who account.Caller, _ none, q logProofQuery, _ none) (LogProof, error) {
	e, err := s.app.LogEntry(ctx, who, int64(q.Entry))
	out := LogProof{Entry: LogEntry{e.Index, string(e.Leaf), e.Hash.String()}, Signed: signedLogOf(e.Signed)}
	if out.Signed != nil {
		out.Proof, out.Holds = e.Proof.Text(), !e.Broken
	}
	return out, err
}

type witnessedQuery struct {
	Size    int    `query:"size" validate:"min=1" about:"Entries of the log when the portfolio was made; checking it tells the number."`
	Witness string `query:"witness" validate:"omitempty,max=200" about:"The witness's name; whoever signed first without it."`
}

// WitnessedLog is a state of the log that a witness signed after another.
type WitnessedLog struct {
	Note string `json:"note" about:"From how many entries it goes on, the proof of that, and the checkpoint with its signatures: a file to keep beside the portfolio (C2SP tlog-witness, add-checkpoint)."`
}

func (s *service) logWitnessed(ctx context.Context, who account.Caller, _ none, q witnessedQuery, _ none) (WitnessedLog, error) {
	r, err := s.app.WitnessedLog(ctx, who, int64(q.Size), q.Witness)
	return WitnessedLog{r.Text()}, err
}

// KeptCheckpoint is a checkpoint that somebody kept outside.
type KeptCheckpoint struct {
	Checkpoint string `json:"checkpoint" validate:"required" about:"The note as it was signed."`
}

// LogComparison is what came of holding the log against it.
type LogComparison struct {
	Continues bool       `json:"continues" about:"The log is the one that the checkpoint is of, with entries appended or none."`
	Why       string     `json:"why,omitzero" about:"It does not."`
	Size      int64      `json:"size" about:"Entries of the checkpoint."`
	Newest    *SignedLog `json:"newest" about:"What it was held against."`
	Proof     []string   `json:"proof" about:"Hashes that prove that it continues, base64 (RFC 6962, section 2.1.2)."`
}

func (s *service) compareLog(ctx context.Context, who account.Caller, _ none, _ none, b KeptCheckpoint) (LogComparison, error) {
	f, err := s.app.CompareLog(ctx, who, b.Checkpoint)
	if err != nil {
		return LogComparison{}, err
	}
	return LogComparison{f.Continues, f.Why, f.Brought.Size, signedLogOf(f.Newest), each(f.Proof, app.LogHash.String)}, nil
}

func (s *service) logRoutes() []Route {
	return []Route{
		route("logCheckpoint", get, "/api/log/checkpoint", account.SeeLog, "Says where the centre's decision log stands: its size, the newest signed state, the keys and who signs along.", s.logCheckpoint),
		route("logEntries", get, "/api/log/entries", account.SeeLog, "Gives entries of the log with their hashes, from which anybody can build the tree again.", s.logEntries),
		route("logProof", get, "/api/log/proof", account.SeeLog, "Gives an entry of the log with the proof that it stands there.", s.logProof),
		route("logWitnessed", get, "/api/log/witnessed", account.SeeLog, "Gives the first state of the log that a witness signed since it had so many entries, with the proof that it goes on from there.", s.logWitnessed),
		route("compareLog", post, "/api/log/comparison", account.SeeLog, "Says whether the log goes on from a checkpoint that somebody kept, and keeps nothing of it.", s.compareLog),
	}
}
