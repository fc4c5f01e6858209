package store

import (
	"context"
	"encoding/base64"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
)

// LogKey is a public key that a centre's log was signed with.
type LogKey struct {
	ID         string    `db:"key_id"` // eight digits, hex
	Text       string    `db:"vkey"`   // as others are given it
	FromSize   int64     // the log's size when it took over
	LastSize   int64     // the log's size when another did; 0 while it is in use
	SignsUntil time.Time // end of the overlap with the next one; zero while it is in use
	MadeAt     time.Time
}

// LogCheckpoint is a state of the log that was signed.
type LogCheckpoint struct {
	Size      int64
	Root      []byte
	Note      string // with its signatures, witnesses' included
	CreatedAt time.Time
}

// RootText is the root in base64, as the note has it.
func (c LogCheckpoint) RootText() string { return base64.StdEncoding.EncodeToString(c.Root) }

// LogState is what signing a log goes by.
type LogState struct {
	Size   int64
	Keys   []LogKey // the newest last
	Newest *LogCheckpoint
}

const logKeyColumns = `k.key_id, k.vkey, k.from_size, coalesce(k.last_size, 0) AS last_size, coalesce(k.signs_until, '0001-01-01 00:00Z') AS signs_until, k.made_at`

const logCheckpointColumns = `c.size, c.root, c.note || coalesce((SELECT string_agg(g.line, '' ORDER BY g.at, g.name) FROM log_cosignature g
	WHERE g.centre_id = c.centre_id AND g.size = c.size), '') AS note, c.created_at`

func queueLogState(r *reader, centre int64) func() LogState {
	var sizes []int64
	var keys []LogKey
	var newest []LogCheckpoint
	queueColumn(r, &sizes, logSizeSQL, args{"centre": centre})
	queue(r, &keys, `SELECT `+logKeyColumns+` FROM log_key k ORDER BY k.made_at, k.key_id`, args{})
	queue(r, &newest, `SELECT `+logCheckpointColumns+` FROM log_checkpoint c WHERE c.centre_id = @centre ORDER BY c.size DESC LIMIT 1`, args{"centre": centre})
	return func() LogState {
		s := LogState{Size: append(sizes, 0)[0], Keys: keys}
		if len(newest) > 0 {
			s.Newest = &newest[0]
		}
		return s
	}
}

// LogState reads where a centre's log stands.
func (s *Store) LogState(ctx context.Context, centre int64) (LogState, error) {
	r := s.reading(ctx, centre)
	state := queueLogState(r, centre)
	if err := r.send("the log's state"); err != nil {
		return LogState{}, err
	}
	return state(), nil
}

// LogState reads where the log stands, with its lock held until the transaction ends: nobody appends meanwhile.
func (t *Tx) LogState(ctx context.Context) (LogState, error) {
	r := t.reading(ctx)
	r.batch.Queue(`SELECT pg_advisory_xact_lock($1, $2)`, logLock, int32(t.centre))
	state := queueLogState(r, t.centre)
	if err := r.send("the log's state"); err != nil {
		return LogState{}, err
	}
	return state(), nil
}

// LogHashes reads the stored hashes of a centre's log for the tree's arithmetic.
func (s *Store) LogHashes(ctx context.Context, centre int64) ledger.HashReader {
	return logReader{func() *reader { return s.reading(ctx, centre) }}
}

// LogHashes is the same within the transaction.
func (t *Tx) LogHashes(ctx context.Context) ledger.HashReader {
	return logReader{func() *reader { return t.reading(ctx) }}
}

// LogCheckpoint reads the signed state of the given size, NotFound where that was not signed.
func (s *Store) LogCheckpoint(ctx context.Context, centre, size int64) (LogCheckpoint, error) {
	return one[LogCheckpoint](s.reading(ctx, centre), "checkpoint of the log", `SELECT `+logCheckpointColumns+` FROM log_checkpoint c WHERE c.size = @size`, args{"size": size})
}

// LogCheckpoints reads every signed state, the smallest first.
func (s *Store) LogCheckpoints(ctx context.Context, centre int64) ([]LogCheckpoint, error) {
	return all[LogCheckpoint](s.reading(ctx, centre), "checkpoints of the log", `SELECT `+logCheckpointColumns+` FROM log_checkpoint c ORDER BY c.size`, args{})
}

// LogEntry is one entry, with what opens its commitments as far as that is not erased.
type LogEntry struct {
	Index     int64 `db:"idx"`
	Leaf      []byte
	Kind      string
	Subject   uuid.UUID
	Record    uuid.UUID // zero where it is of no record
	CreatedAt time.Time
	Openings  []ledger.Opening `db:"-"`
}

const logEntryColumns = `e.idx, e.leaf, e.kind, e.subject_id AS subject, coalesce(e.record_id, '00000000-0000-0000-0000-000000000000') AS record, e.created_at`

// logOpenings reads what opens the entries from one number up to another: a record's own bytes stand in the record.
const logOpenings = `SELECT o.idx, o.name, o.salt, coalesce(o.value, r.canonical) FROM log_secret o
	JOIN log_entry e ON e.centre_id = o.centre_id AND e.idx = o.idx
	LEFT JOIN record r ON r.centre_id = e.centre_id AND r.record_id = e.record_id`

// LogEntries reads entries from a number on, at most limit, in their order.
func (s *Store) LogEntries(ctx context.Context, centre, from int64, limit int) ([]LogEntry, error) {
	r, a := s.reading(ctx, centre), args{"centre": centre, "from": from, "until": from + int64(limit)}
	var entries []LogEntry
	queue(r, &entries, `SELECT `+logEntryColumns+` FROM log_entry e WHERE e.centre_id = @centre AND e.idx >= @from AND e.idx < @until ORDER BY e.idx`, a)
	queueOpenings(r, &entries, ` WHERE o.centre_id = @centre AND o.idx >= @from AND o.idx < @until ORDER BY o.idx, o.name`, a)
	return entries, r.send("entries of the log")
}

// LogEntriesOf reads the entries about a thing, such as an attempt, in their order.
func (s *Store) LogEntriesOf(ctx context.Context, centre int64, subject uuid.UUID) ([]LogEntry, error) {
	r, a := s.reading(ctx, centre), args{"subject": subject}
	var entries []LogEntry
	queue(r, &entries, `SELECT `+logEntryColumns+` FROM log_entry e WHERE e.subject_id = @subject ORDER BY e.idx`, a)
	queueOpenings(r, &entries, ` WHERE e.subject_id = @subject ORDER BY o.idx, o.name`, a)
	return entries, r.send("entries of the log")
}

func queueOpenings(r *reader, entries *[]LogEntry, where string, a args) {
	r.batch.Queue(logOpenings+where, a).Query(func(rows pgx.Rows) error {
		at := make(map[int64]int, len(*entries))
		for i, e := range *entries {
			at[e.Index] = i
		}
		for rows.Next() {
			var idx int64
			var o ledger.Opening
			if err := rows.Scan(&idx, &o.Name, &o.Salt, &o.Value); err != nil {
				return err
			}
			if i, ok := at[idx]; ok {
				(*entries)[i].Openings = append((*entries)[i].Openings, o)
			}
		}
		return rows.Err()
	})
}

// LogHashRows reads stored hashes from a number on, at most limit, in the order of their numbers.
func (s *Store) LogHashRows(ctx context.Context, centre, from int64, limit int) ([]ledger.StoredHash, error) {
	r := s.reading(ctx, centre)
	var out []ledger.StoredHash
	r.batch.Queue(`SELECT i, h FROM log_hash WHERE centre_id = @centre AND i >= @from ORDER BY i LIMIT @limit`,
		args{"centre": centre, "from": from, "limit": limit}).Query(func(rows pgx.Rows) error {
		var i int64
		var h []byte
		_, err := pgx.ForEachRow(rows, []any{&i, &h}, func() error {
			out = append(out, ledger.StoredHash{Index: i, Hash: ledger.Hash(h)})
			return nil
		})
		return err
	})
	return out, r.send("the log's hashes")
}

// UnloggedRecords counts the records and other decisions that have no entry in the log.
func (s *Store) UnloggedRecords(ctx context.Context, centre int64) (int, error) {
	row, err := one[struct{ N int }](s.reading(ctx, centre), "records that are not in the log", `
		SELECT (SELECT count(*) FROM record r WHERE NOT EXISTS (SELECT FROM log_entry e WHERE e.centre_id = r.centre_id AND e.record_id = r.record_id))
			+ (SELECT count(*) FROM `+unloggedStatements+`) AS n`, args{})
	return row.N, err
}

// RecordsByID reads records with the given ids, in any order.
func (s *Store) RecordsByID(ctx context.Context, centre int64, ids []uuid.UUID) ([]decision.Record, error) {
	return all[decision.Record](s.reading(ctx, centre), "records", `SELECT `+recordColumns+` FROM record r WHERE r.record_id = ANY(@ids) ORDER BY r.seq`, args{"ids": ids})
}
