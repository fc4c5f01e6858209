package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/marking"
)

// Marking is one run of the marker over an attempt. Markings are appended; the latest is shown.
type Marking struct {
	ID          uuid.UUID `db:"marking_id"`
	Attempt     uuid.UUID `db:"attempt_id"`
	At          time.Time
	Engine      string
	BriefDigest string // hex
	Result      marking.Result
}

const markingColumns = `k.marking_id, k.attempt_id, k.at, k.engine, k.brief_digest, k.result`

// AddMarking appends a marking; the same id again has no effect. Engine and BriefDigest are taken from the result.
func (t *Tx) AddMarking(ctx context.Context, m Marking) error {
	_, err := t.exec(ctx, "add marking", `
		INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result)
		VALUES (@centre, @marking, @attempt, @at, @engine, @brief_digest, @result)
		ON CONFLICT (centre_id, marking_id) DO NOTHING`,
		args{"centre": t.centre, "marking": m.ID, "attempt": m.Attempt, "at": m.At, "engine": m.Result.Engine,
			"brief_digest": m.Result.BriefDigest, "result": m.Result})
	return err
}

// Markings reads every marking of an attempt, the latest first.
func (s *Store) Markings(ctx context.Context, centre int64, attempt uuid.UUID) ([]Marking, error) {
	return all[Marking](s.reading(ctx, centre), "markings", `
		SELECT `+markingColumns+` FROM marking k WHERE k.attempt_id = @attempt ORDER BY k.seq DESC`, args{"attempt": attempt})
}
