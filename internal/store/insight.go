package store

import (
	"context"

	"github.com/google/uuid"

	"witnessmark/internal/marking"
)

// InsightLine is what the marker last said of one line of an attempt.
type InsightLine struct {
	Attempt uuid.UUID `db:"attempt_id"`
	Item    string
	Part    string
	Verdict marking.Verdict
	Slip    string // what it is; "" where none is named
}

// InsightLines reads what the marker said of the asked figures and choices of a brief version in first attempts, at most so many
// of those handed over last, by attempt. Nothing of the trainees comes with it.
func (s *Store) InsightLines(ctx context.Context, centre int64, brief uuid.UUID, version, most int) ([]InsightLine, error) {
	return all[InsightLine](s.reading(ctx, centre), "what the marker said", `
		SELECT a.attempt_id, f.item, coalesce(f.part, '') AS part, f.verdict, coalesce(f.slip ->> 'is', '') AS slip
		FROM (
			SELECT a.centre_id, a.attempt_id FROM attempt a
			JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			LEFT JOIN remark m ON m.centre_id = a.centre_id AND m.remark_id = a.corrected_by
			WHERE t.brief_id = @brief AND coalesce(m.to_version, t.version) = @version AND a.number = 1 AND a.handed_over_at IS NOT NULL
			ORDER BY a.handed_over_at DESC, a.attempt_id LIMIT @most
		) a, LATERAL (
			SELECT k.result FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id ORDER BY k.seq DESC LIMIT 1
		) k, jsonb_to_recordset(k.result -> 'findings') AS f (item text, part text, verdict text, available int, slip jsonb)
		WHERE f.available > 0
		ORDER BY a.attempt_id, f.item, f.part`, args{"brief": brief, "version": version, "most": most})
}
