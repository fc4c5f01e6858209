package store

import (
	"context"
	"crypto/rand"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
)

// pendingLeaf is a leaf that waits for the commit; record is that of a decision, else the zero UUID.
type pendingLeaf struct {
	ledger.Leaf
	record uuid.UUID
	ofRow  bool // what it says is read of its row before the commit
}

// recordSecret is the name of the commitment to a record's canonical bytes, basisSecret of that to what a decision rests on.
const (
	recordSecret = ledger.SecretRecord
	basisSecret  = ledger.SecretBasis
)

// Log has the leaf appended to the centre's decision log with the commit: the transaction's effect and its entry stay together,
// or neither does. Entries are numbered in the order in which transactions commit.
func (t *Tx) Log(_ context.Context, l ledger.Leaf) { t.leaves = append(t.leaves, pendingLeaf{Leaf: l}) }

// logRecord is Log for a record of an attempt, which AppendRecord calls.
func (t *Tx) logRecord(r decision.Record, canonical []byte) {
	t.leaves = append(t.leaves, pendingLeaf{record: r.ID, Leaf: ledger.Leaf{Kind: string(r.Kind), Subject: r.Attempt, At: r.At,
		Secrets: map[string]string{recordSecret: string(canonical)}}})
}

// logLock is the first number of the advisory locks of the logs; the centre is the second.
const logLock = 0x6c6f6720 // "log "

// appendLog puts the waiting leaves into the tree. The lock that keeps two transactions from the same place is taken here, after
// everything else that the transaction locks, and given back by the commit, which is the caller's next round trip.
func (t *Tx) appendLog(ctx context.Context) error {
	if len(t.leaves) == 0 {
		return nil
	}
	r := t.reading(ctx)
	t.queueBases(r)
	t.queueStatements(r)
	size := queueLogSize(r, t.centre)
	if err := r.send("the log's end"); err != nil {
		return err
	}
	return t.placeLeaves(ctx, size())
}

// queueLogSize takes the log's lock, which is held until the transaction ends, and then reads how many entries there are.
func queueLogSize(r *reader, centre int64) func() int64 {
	var size []int64
	r.batch.Queue(`SELECT pg_advisory_xact_lock($1, $2)`, logLock, int32(centre))
	queueColumn(r, &size, logSizeSQL, args{"centre": centre})
	return func() int64 { return append(size, 0)[0] }
}

const logSizeSQL = `SELECT idx + 1 FROM log_entry WHERE centre_id = @centre ORDER BY idx DESC LIMIT 1`

// placeLeaves numbers the leaves from size on, works out the tree's new hashes and queues both for the commit.
func (t *Tx) placeLeaves(ctx context.Context, size int64) error {
	leaves := make([][]byte, len(t.leaves))
	var rows logRows
	for i, l := range t.leaves {
		leaf, openings, err := l.Seal(t.centre, rand.Reader)
		if err != nil {
			return err
		}
		leaves[i] = leaf
		rows.add(size+int64(i), l, leaf, openings)
	}
	hashes, err := ledger.Grow(size, leaves, logReader{func() *reader { return t.reading(ctx) }})
	if err != nil {
		return err
	}
	rows.send(t, hashes)
	t.leaves = nil
	return nil
}

// logRows are the columns of what is inserted at once.
type logRows struct {
	idx                []int64
	leaf               [][]byte
	kind               []string
	subject            []uuid.UUID
	record             []*uuid.UUID
	at                 []time.Time
	secretIdx          []int64
	secretName         []string
	salt, secretValues [][]byte
}

func (r *logRows) add(idx int64, l pendingLeaf, leaf []byte, openings []ledger.Opening) {
	r.idx, r.leaf, r.kind = append(r.idx, idx), append(r.leaf, leaf), append(r.kind, l.Kind)
	r.subject, r.record, r.at = append(r.subject, l.Subject), append(r.record, uuidOrNull(l.record)), append(r.at, l.At)
	for _, o := range openings {
		value := o.Value
		if o.Name == recordSecret && l.record != uuid.Nil {
			value = nil // it stands in the record
		}
		r.secretIdx, r.secretName = append(r.secretIdx, idx), append(r.secretName, o.Name)
		r.salt, r.secretValues = append(r.salt, o.Salt), append(r.secretValues, value)
	}
}

// send queues the rows: leaves, hashes and openings, in one statement each.
func (r *logRows) send(t *Tx, hashes []ledger.StoredHash) {
	index, bytes := make([]int64, len(hashes)), make([][]byte, len(hashes))
	for i := range hashes {
		index[i], bytes[i] = hashes[i].Index, hashes[i].Hash[:]
	}
	whole := func(int64) error { return nil }
	t.later(`INSERT INTO log_entry (centre_id, idx, leaf, kind, subject_id, record_id, created_at)
		SELECT @centre, * FROM unnest(@idx::bigint[], @leaf::bytea[], @kind::text[], @subject::uuid[], @record::uuid[], @at::timestamptz[])`,
		args{"centre": t.centre, "idx": r.idx, "leaf": r.leaf, "kind": r.kind, "subject": r.subject, "record": r.record, "at": r.at}, whole)
	t.later(`INSERT INTO log_hash (centre_id, i, h) SELECT @centre, * FROM unnest(@i::bigint[], @h::bytea[])`,
		args{"centre": t.centre, "i": index, "h": bytes}, whole)
	if len(r.secretIdx) > 0 {
		t.later(`INSERT INTO log_secret (centre_id, idx, name, salt, value)
			SELECT @centre, * FROM unnest(@idx::bigint[], @name::text[], @salt::bytea[], @value::bytea[])`,
			args{"centre": t.centre, "idx": r.secretIdx, "name": r.secretName, "salt": r.salt, "value": r.secretValues}, whole)
	}
}

// logReader reads stored hashes for the tree's arithmetic; each call is a batch of its own.
type logReader struct {
	next func() *reader
}

// ReadHashes reads the hashes of the given numbers in their order.
func (l logReader) ReadHashes(at []int64) ([]ledger.Hash, error) {
	if len(at) == 0 {
		return nil, nil
	}
	r := l.next()
	found := make(ledger.Hashes, len(at))
	r.batch.Queue(`SELECT i, h FROM log_hash WHERE i = ANY(@at)`, args{"at": at}).Query(func(rows pgx.Rows) error {
		var i int64
		var h []byte
		_, err := pgx.ForEachRow(rows, []any{&i, &h}, func() error {
			found[i] = ledger.Hash(h)
			return nil
		})
		return err
	})
	if err := r.send("the log's hashes"); err != nil {
		return nil, err
	}
	return found.ReadHashes(at)
}
