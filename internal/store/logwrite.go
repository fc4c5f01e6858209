package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/ledger"
)

// Centres lists every centre's number, by the function that may read before a centre is known.
func (s *Store) Centres(ctx context.Context) ([]int64, error) {
	r := s.outside(ctx)
	var centres []int64
	queueColumn(r, &centres, `SELECT centre_id FROM lookup_centres()`, args{})
	return centres, r.send("centres")
}

// AddLogKey adds the public key that signs from now on. The one before, if any, signs along until the given time.
func (t *Tx) AddLogKey(ctx context.Context, k LogKey, overlap time.Time) error {
	if _, err := t.exec(ctx, "end the log's key", `UPDATE log_key SET last_size = @size, signs_until = @until WHERE signs_until IS NULL`,
		args{"size": k.FromSize, "until": overlap}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "add the log's key", `INSERT INTO log_key (centre_id, key_id, vkey, from_size, made_at) VALUES (@centre, @key, @vkey, @size, @at)`,
		args{"centre": t.centre, "key": k.ID, "vkey": k.Text, "size": k.FromSize, "at": k.MadeAt})
	return err
}

// AddLogCheckpoint keeps a signed state of the log; the same size again has no effect.
func (t *Tx) AddLogCheckpoint(ctx context.Context, c LogCheckpoint) error {
	_, err := t.exec(ctx, "keep the log's checkpoint", `
		INSERT INTO log_checkpoint (centre_id, size, root, note, created_at) VALUES (@centre, @size, @root, @note, @at)
		ON CONFLICT (centre_id, size) DO NOTHING`,
		args{"centre": t.centre, "size": c.Size, "root": c.Root, "note": c.Note, "at": c.CreatedAt})
	return err
}

// AddCosignature keeps a witness's signature under the state of the given size; the same again has no effect.
func (t *Tx) AddCosignature(ctx context.Context, size int64, name, vkey, line string, at time.Time) error {
	_, err := t.exec(ctx, "keep a witness's signature", `
		INSERT INTO log_cosignature (centre_id, size, name, vkey, line, at) VALUES (@centre, @size, @name, @vkey, @line, @at)
		ON CONFLICT (centre_id, size, name) DO NOTHING`,
		args{"centre": t.centre, "size": size, "name": name, "vkey": vkey, "line": line, "at": at})
	return err
}

// ForgetLogSecrets erases what opens the entries about a thing, such as an attempt. The tree stays whole; nobody can tell any
// more what the entries said.
func (t *Tx) ForgetLogSecrets(ctx context.Context, subject uuid.UUID) error {
	_, err := t.exec(ctx, "erase what opens the log", `DELETE FROM log_secret WHERE idx IN (SELECT e.idx FROM log_entry e WHERE e.subject_id = @subject)`,
		args{"subject": subject})
	return err
}

// backfillAtOnce is how many records are appended in one transaction.
const backfillAtOnce = 2000

type unlogged struct {
	ID, Attempt uuid.UUID
	Kind        string
	At          time.Time
	Canonical   []byte
}

// BackfillLog appends the records and other decisions that have no entry in the log, each in their order and marked as late, and says
// how many.
func (s *Store) BackfillLog(ctx context.Context, centre int64) (int, error) {
	for n := 0; ; {
		var rows []unlogged
		err := s.Write(ctx, centre, func(t *Tx) (err error) {
			r := t.reading(ctx)
			// Locked first here, so that two programs that start at once do not append the same records.
			r.batch.Queue(`SELECT pg_advisory_xact_lock($1, $2)`, logLock, int32(centre))
			queue(r, &rows, `
				SELECT r.record_id AS id, r.attempt_id AS attempt, r.kind, r.at, r.canonical FROM record r
				WHERE NOT EXISTS (SELECT FROM log_entry e WHERE e.centre_id = r.centre_id AND e.record_id = r.record_id)
				ORDER BY r.seq LIMIT @limit`, args{"limit": backfillAtOnce})
			if err := r.send("records that are not in the log"); err != nil {
				return err
			}
			for _, u := range rows {
				t.leaves = append(t.leaves, pendingLeaf{record: u.ID, Leaf: ledger.Leaf{Kind: u.Kind, Subject: u.Attempt, At: u.At, Backfilled: true,
					Secrets: map[string]string{recordSecret: string(u.Canonical)}}})
			}
			return nil
		})
		if n += len(rows); err != nil {
			return n, err
		}
		if len(rows) < backfillAtOnce {
			late, err := s.backfillStatements(ctx, centre)
			return n + late, err
		}
	}
}
