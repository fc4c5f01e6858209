package store

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

const recordColumns = `r.record_id AS id, r.centre_id AS centre, r.attempt_id AS attempt, r.kind, r.subject, r.outcome, r.reason, r.words, r.value,
	r.evidence, r.by_id AS by, r.by_name, r.role, r.at, coalesce(r.supersedes, '00000000-0000-0000-0000-000000000000') AS supersedes`

// AppendRecord appends a record with its canonical bytes, and with the commit an entry of the decision log. r.Centre must be the transaction's centre. Appending the same id
// again has no effect; superseding what somebody else superseded first is Conflict. Save the attempt in the same
// transaction, so that its revision rises.
func (t *Tx) AppendRecord(ctx context.Context, r decision.Record) error {
	canonical, err := r.Canonical()
	if err != nil {
		return err
	}
	added, err := t.exec(ctx, "append record", `
		INSERT INTO record (centre_id, record_id, attempt_id, kind, subject, outcome, reason, words, value, evidence, by_id, by_name, role, at, supersedes, canonical)
		VALUES (@centre, @record, @attempt, @kind, @subject, @outcome, @reason, @words, @value, @evidence, @by, @by_name, @role, @at, @supersedes, @canonical)
		ON CONFLICT (centre_id, record_id) DO NOTHING`,
		args{"centre": r.Centre, "record": r.ID, "attempt": r.Attempt, "kind": string(r.Kind), "subject": r.Subject, "outcome": r.Outcome,
			"reason": string(r.Reason), "words": r.Words, "value": r.Value, "evidence": append([]string{}, r.Evidence...), "by": r.By,
			"by_name": r.ByName, "role": r.Role, "at": r.At, "supersedes": uuidOrNull(r.Supersedes), "canonical": canonical})
	if added > 0 {
		t.logRecord(r, canonical)
	}
	return err
}

// Records reads an attempt's records in the order in which they were appended.
func (t *Tx) Records(ctx context.Context, attempt uuid.UUID) ([]decision.Record, error) {
	return all[decision.Record](t.reading(ctx), "records", `SELECT `+recordColumns+` FROM record r WHERE r.attempt_id = @attempt ORDER BY r.seq`,
		args{"attempt": attempt})
}

// RecordBytes reads the canonical bytes of an attempt's records in the order in which they were appended.
func (s *Store) RecordBytes(ctx context.Context, centre int64, attempt uuid.UUID) ([][]byte, error) {
	r := s.reading(ctx, centre)
	var rows [][]byte
	queueColumn(r, &rows, `SELECT canonical FROM record WHERE attempt_id = @attempt ORDER BY seq`, args{"attempt": attempt})
	return rows, r.send("records")
}
