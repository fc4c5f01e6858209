package store

import (
	"context"
	"encoding/hex"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
)

// Prior is what somebody learned and showed elsewhere, claimed for criteria of a unit.
type Prior struct {
	ID          uuid.UUID `db:"prior_id"`
	Trainee     uuid.UUID `db:"trainee_id"`
	TraineeName string    // only read
	Unit        string    `db:"unit_code"`
	Criteria    []string  // UNIT/code
	Words       string
	By          uuid.UUID `db:"claimed_by"`
	ByName      string    // only read
	At          time.Time `db:"claimed_at"`
	Decided     int       // of the criteria; only read
}

// PriorFile is what proves a claim: a document or a photo.
type PriorFile struct {
	ID        uuid.UUID `db:"file_id"`
	Prior     uuid.UUID `db:"prior_id"`
	Name      string
	MediaType string
	Size      int64
	Digest    string    // hex
	By        uuid.UUID `db:"added_by"`
	At        time.Time `db:"added_at"`
}

// PriorDecision is what a tutor decided of one criterion that was claimed for.
type PriorDecision struct {
	Criterion string
	Outcome   decision.Outcome
	Words     string
	By        uuid.UUID `db:"decided_by"`
	ByName    string
	At        time.Time `db:"decided_at"`
}

// PriorSheet is a claim with what proves it and what was decided.
type PriorSheet struct {
	Prior
	Files     []PriorFile     // in the order of receipt
	Decisions []PriorDecision // by criterion
	Tutors    []uuid.UUID     // of the trainee's cohorts
	Apart     []uuid.UUID     // with whom the trainee has a conflict of interest that stands
}

const priorSQL = `SELECT l.prior_id, l.trainee_id, w.name AS trainee_name, l.unit_code, l.criteria, l.words, l.claimed_by, p.name AS by_name, l.claimed_at,
	(SELECT count(*) FROM prior_decision d WHERE d.centre_id = l.centre_id AND d.prior_id = l.prior_id) AS decided
	FROM prior_learning l
	JOIN person w ON w.centre_id = l.centre_id AND w.person_id = l.trainee_id
	JOIN person p ON p.centre_id = l.centre_id AND p.person_id = l.claimed_by `

// Priors lists claims of prior learning, what waits for a decision first, then the newest, and says how many there are: everybody's, or
// with own those of the reader and of the trainees of the reader's cohorts.
func (s *Store) Priors(ctx context.Context, centre int64, reader uuid.UUID, own bool, span Span) ([]Prior, int, error) {
	return paged[Prior](s.reading(ctx, centre), "prior learning", `*`, ` FROM (`+priorSQL+`
		WHERE NOT @own OR l.trainee_id = @reader OR EXISTS (SELECT FROM cohort_member t JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id
			WHERE t.centre_id = l.centre_id AND t.person_id = l.trainee_id AND t.part = 'trainee' AND m.person_id = @reader AND m.part = 'tutor')) x`,
		`x.decided >= cardinality(x.criteria), x.claimed_at DESC, x.prior_id`, args{"reader": reader, "own": own}, span)
}

// PriorSheet reads one claim with everything.
func (s *Store) PriorSheet(ctx context.Context, centre int64, id uuid.UUID) (PriorSheet, error) {
	return readPrior(s.reading(ctx, centre), id)
}

// PriorSheet reads the same within the transaction. Nothing of a claim changes, and a criterion is decided once, so nothing is held.
func (t *Tx) PriorSheet(ctx context.Context, id uuid.UUID) (PriorSheet, error) {
	return readPrior(t.reading(ctx), id)
}

func readPrior(r *reader, id uuid.UUID) (PriorSheet, error) {
	var heads []Prior
	var p PriorSheet
	a := args{"id": id}
	queue(r, &heads, priorSQL+`WHERE l.prior_id = @id`, a)
	queue(r, &p.Files, priorFileSQL+`WHERE f.prior_id = @id ORDER BY f.added_at, f.file_id`, a)
	queue(r, &p.Decisions, `SELECT d.criterion, d.outcome, d.words, d.decided_by, p.name AS by_name, d.decided_at FROM prior_decision d
		JOIN person p ON p.centre_id = d.centre_id AND p.person_id = d.decided_by WHERE d.prior_id = @id ORDER BY d.criterion`, a)
	queueColumn(r, &p.Tutors, `SELECT DISTINCT m.person_id FROM prior_learning l
		JOIN cohort_member t ON t.centre_id = l.centre_id AND t.person_id = l.trainee_id AND t.part = 'trainee'
		JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor'
		WHERE l.prior_id = @id ORDER BY m.person_id`, a)
	queueColumn(r, &p.Apart, `SELECT CASE c.person_id WHEN l.trainee_id THEN c.other_id ELSE c.person_id END FROM prior_learning l
		JOIN conflict c ON c.centre_id = l.centre_id AND l.trainee_id IN (c.person_id, c.other_id) AND c.ended_at IS NULL
		WHERE l.prior_id = @id ORDER BY c.conflict_id`, a)
	err := r.send("prior learning")
	p.Prior, err = first(heads, "claim", err)
	return p, err
}

const priorFileSQL = `SELECT f.file_id, f.prior_id, f.name, f.media_type, f.size, encode(f.digest, 'hex') AS digest, f.added_by, f.added_at FROM prior_file f `

// AddPrior keeps a claim.
func (t *Tx) AddPrior(ctx context.Context, p Prior) error {
	_, err := t.exec(ctx, "claim prior learning", `
		INSERT INTO prior_learning (centre_id, prior_id, trainee_id, unit_code, criteria, words, claimed_by, claimed_at)
		VALUES (@centre, @id, @trainee, @unit, @criteria, @words, @by, @at)`,
		args{"centre": t.centre, "id": p.ID, "trainee": p.Trainee, "unit": p.Unit, "criteria": p.Criteria, "words": p.Words, "by": p.By, "at": p.At})
	return err
}

// AddPriorFile keeps the row of a file whose bytes are here; the same id again has no effect.
func (t *Tx) AddPriorFile(ctx context.Context, f PriorFile) error {
	digest, err := hex.DecodeString(f.Digest)
	if err != nil {
		return err
	}
	_, err = t.exec(ctx, "add a file of prior learning", `
		INSERT INTO prior_file (centre_id, file_id, prior_id, name, media_type, size, digest, added_by, added_at)
		VALUES (@centre, @file, @prior, @name, @media, @size, @digest, @by, @at) ON CONFLICT (centre_id, file_id) DO NOTHING`,
		args{"centre": t.centre, "file": f.ID, "prior": f.Prior, "name": f.Name, "media": f.MediaType, "size": f.Size, "digest": digest, "by": f.By, "at": f.At})
	return err
}

// DecidePrior keeps what was decided of one criterion; a second decision is Conflict, one's own claim Forbidden.
func (t *Tx) DecidePrior(ctx context.Context, id uuid.UUID, d PriorDecision) error {
	_, err := t.exec(ctx, "decide on prior learning", `
		INSERT INTO prior_decision (centre_id, prior_id, criterion, outcome, words, decided_by, decided_at)
		VALUES (@centre, @id, @criterion, @outcome, @words, @by, @at)`,
		args{"centre": t.centre, "id": id, "criterion": d.Criterion, "outcome": string(d.Outcome), "words": d.Words, "by": d.By, "at": d.At})
	if err == nil {
		t.logStatement(ledger.KindPrior, priorSubject(id, d.Criterion))
	}
	return err
}

// PriorMet is a criterion that a trainee met by prior learning.
type PriorMet struct {
	Trainee   uuid.UUID `db:"trainee_id"`
	Prior     uuid.UUID `db:"prior_id"`
	Criterion string
	ByName    string
	At        time.Time `db:"decided_at"`
}

// priorMetSelect has a row for each criterion that a trainee met by prior learning; a WHERE and an order by trainee and criterion follow.
const priorMetSelect = `SELECT DISTINCT ON (l.trainee_id, d.criterion) l.trainee_id, l.prior_id, d.criterion, p.name AS by_name, d.decided_at
	FROM prior_learning l JOIN prior_decision d ON d.centre_id = l.centre_id AND d.prior_id = l.prior_id AND d.outcome = 'met'
	JOIN person p ON p.centre_id = d.centre_id AND p.person_id = d.decided_by`

// PriorMet lists the criteria that the trainees met by prior learning, by trainee and criterion.
func (s *Store) PriorMet(ctx context.Context, centre int64, trainees []uuid.UUID) ([]PriorMet, error) {
	return all[PriorMet](s.reading(ctx, centre), "prior learning", priorMetSelect+`
		WHERE l.trainee_id = ANY(@trainees) ORDER BY l.trainee_id, d.criterion, d.decided_at`, args{"trainees": trainees})
}
