package store

import (
	"encoding/json"
	"fmt"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// basis is what a decision on a criterion rests on, as its leaf commits to it: digests in hex.
type basis struct {
	Brief   string   `json:"brief"`   // of the brief's text that the marker went by
	Engine  string   `json:"engine"`  // the marker's edition
	Marking string   `json:"marking"` // of the marker's last result
	Files   []string `json:"files"`   // "ITEM DIGEST" of each file of an item that the decision names, sorted
}

// queueBases reads, for the leaves of records that name evidence, what they rest on.
func (t *Tx) queueBases(r *reader) {
	at := map[uuid.UUID]int{}
	var ids []uuid.UUID
	for i, l := range t.leaves {
		if l.record != uuid.Nil && !l.Backfilled {
			at[l.record], ids = i, append(ids, l.record)
		}
	}
	if len(ids) == 0 {
		return
	}
	r.batch.Queue(`
		SELECT r.record_id, coalesce(k.brief_digest, ''), coalesce(k.engine, ''), coalesce(encode(sha256(convert_to(k.result::text, 'UTF8')), 'hex'), ''),
			ARRAY(SELECT e.item || ' ' || encode(e.digest, 'hex') FROM evidence e WHERE e.centre_id = r.centre_id AND e.attempt_id = r.attempt_id
				AND e.item = ANY(r.evidence) ORDER BY 1)
		FROM record r LEFT JOIN LATERAL (SELECT m.brief_digest, m.engine, m.result FROM marking m
			WHERE m.centre_id = r.centre_id AND m.attempt_id = r.attempt_id ORDER BY m.seq DESC LIMIT 1) k ON true
		WHERE r.record_id = ANY(@ids) AND r.evidence <> '{}'`, args{"ids": ids}).Query(func(rows pgx.Rows) error {
		var id uuid.UUID
		var b basis
		_, err := pgx.ForEachRow(rows, []any{&id, &b.Brief, &b.Engine, &b.Marking, &b.Files}, func() error {
			text, err := json.Marshal(b)
			if err != nil {
				return fmt.Errorf("what a decision rests on to JSON: %w", err)
			}
			t.leaves[at[id]].Secrets[basisSecret] = string(text)
			return nil
		})
		return err
	})
}
