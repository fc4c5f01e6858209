package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
)

// SmallFile is an adjustment or an appeal, as the list of small files has it; the attempt has it whole.
type SmallFile struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	TraineeName string
	CohortName  string
	Title       string // of the brief version
	Number      int
	State       decision.State
	Kind        decision.Kind
	Outcome     string
	Words       string
	ByName      string
	At          time.Time
}

// SmallFiles lists the adjustments and appeals, the newest first, and says how many there are: the centre's, or with own those of the
// reader's cohorts.
func (s *Store) SmallFiles(ctx context.Context, centre int64, reader uuid.UUID, own bool, span Span) ([]SmallFile, int, error) {
	return paged[SmallFile](s.reading(ctx, centre), "small files",
		`a.attempt_id, p.name AS trainee_name, c.name AS cohort_name, v.title, a.number, a.state, r.kind, r.outcome, r.words, r.by_name, r.at`, `
		FROM record r
		JOIN attempt a ON a.centre_id = r.centre_id AND a.attempt_id = r.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE r.kind IN ('adjustment', 'appeal') AND (NOT @own OR EXISTS (SELECT FROM cohort_member m
			WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.person_id = @reader AND m.part = 'tutor'))`,
		`r.at DESC, r.record_id DESC`, args{"reader": reader, "own": own}, span)
}
