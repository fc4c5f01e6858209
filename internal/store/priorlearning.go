package store

import (
	"context"
	"encoding/hex"
	"slices"
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
	Unseen      int       // of those that are met, how many an internal quality assurer has yet to look at; only read
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
	At        time.Time  `db:"decided_at"`
	Look      *PriorLook `db:"-"` // nil where nobody looked at it
}

// PriorLook is what an internal quality assurer found of a criterion that was recognised.
type PriorLook struct {
	Criterion string
	Outcome   decision.SampleOutcome
	Words     string
	By        uuid.UUID `db:"looked_by"`
	ByName    string    // only read
	At        time.Time `db:"looked_at"`
}

// InUse says whether a criterion counts as met by the decision.
func (d PriorDecision) InUse() bool {
	return d.Outcome == decision.Met && (d.Look == nil || d.Look.Outcome != decision.Disagree)
}

// Unseen says whether an internal quality assurer has yet to look at it.
func (d PriorDecision) Unseen() bool { return d.Outcome == decision.Met && d.Look == nil }

// PriorSheet is a claim with what proves it and what was decided.
type PriorSheet struct {
	Prior
	Files     []PriorFile     // in the order of receipt
	Decisions []PriorDecision // by criterion
	Tutors    []PriorTutor    // of the trainee's cohorts, by name
	Apart     []uuid.UUID     // with whom the trainee has a conflict of interest that stands
	ApartFrom []uuid.UUID     // with whom somebody who decided has one
	Claimed   bool            // the unit is claimed for the trainee
	Actions   []Action        // open ones, because of what was found
}

// PriorTutor is a tutor of the trainee.
type PriorTutor struct {
	Person uuid.UUID `db:"person_id"`
	Name   string
}

// Teaches says whether somebody is a tutor of the trainee.
func (p PriorSheet) Teaches(person uuid.UUID) bool {
	return slices.ContainsFunc(p.Tutors, func(t PriorTutor) bool { return t.Person == person })
}

// HadPart says whether somebody claimed it, whose it is, or added or decided any of it.
func (p PriorSheet) HadPart(person uuid.UUID) bool {
	return p.By == person || p.Trainee == person || slices.ContainsFunc(p.Decisions, func(d PriorDecision) bool { return d.By == person }) ||
		slices.ContainsFunc(p.Files, func(f PriorFile) bool { return f.By == person })
}

// Looked says whether somebody looked at any of it.
func (p PriorSheet) Looked(person uuid.UUID) bool {
	return slices.ContainsFunc(p.Decisions, func(d PriorDecision) bool { return d.Look != nil && d.Look.By == person })
}

// priorUnseen counts of a claim l the criteria that are met and wait to be looked at; what was claimed before that was asked does not.
const priorUnseen = `(SELECT count(*) FROM prior_decision d WHERE d.centre_id = l.centre_id AND d.prior_id = l.prior_id AND d.outcome = 'met'
	AND NOT EXISTS (SELECT FROM prior_look k WHERE k.centre_id = d.centre_id AND k.prior_id = d.prior_id AND k.criterion = d.criterion)
	AND NOT EXISTS (SELECT FROM claim_item i WHERE i.centre_id = l.centre_id AND i.trainee_id = l.trainee_id AND i.unit_code = l.unit_code))`

const priorSQL = `SELECT l.prior_id, l.trainee_id, w.name AS trainee_name, l.unit_code, l.criteria, l.words, l.claimed_by, p.name AS by_name, l.claimed_at,
	(SELECT count(*) FROM prior_decision d WHERE d.centre_id = l.centre_id AND d.prior_id = l.prior_id) AS decided,
	` + priorUnseen + ` AS unseen
	FROM prior_learning l
	JOIN person w ON w.centre_id = l.centre_id AND w.person_id = l.trainee_id
	JOIN person p ON p.centre_id = l.centre_id AND p.person_id = l.claimed_by `

// Priors lists claims of prior learning, what waits for a decision first, then what waits to be looked at, then the newest, and says how many there are: everybody's, or
// with own those of the reader and of the trainees of the reader's cohorts.
func (s *Store) Priors(ctx context.Context, centre int64, reader uuid.UUID, own bool, span Span) ([]Prior, int, error) {
	return paged[Prior](s.reading(ctx, centre), "prior learning", `*`, ` FROM (`+priorSQL+`
		WHERE NOT @own OR l.trainee_id = @reader OR EXISTS (SELECT FROM cohort_member t JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id
			WHERE t.centre_id = l.centre_id AND t.person_id = l.trainee_id AND t.part = 'trainee' AND m.person_id = @reader AND m.part = 'tutor')) x`,
		`x.decided >= cardinality(x.criteria), x.unseen = 0, x.claimed_at DESC, x.prior_id`, args{"reader": reader, "own": own}, span)
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
	var looks []PriorLook
	var apart []struct {
		Apart     []uuid.UUID
		ApartFrom []uuid.UUID
		Claimed   bool
	}
	a := args{"id": id}
	queue(r, &heads, priorSQL+`WHERE l.prior_id = @id`, a)
	queue(r, &p.Files, priorFileSQL+`WHERE f.prior_id = @id ORDER BY f.added_at, f.file_id`, a)
	queue(r, &p.Decisions, `SELECT d.criterion, d.outcome, d.words, d.decided_by, p.name AS by_name, d.decided_at FROM prior_decision d
		JOIN person p ON p.centre_id = d.centre_id AND p.person_id = d.decided_by WHERE d.prior_id = @id ORDER BY d.criterion`, a)
	queue(r, &p.Tutors, `SELECT DISTINCT m.person_id, p.name FROM prior_learning l
		JOIN cohort_member t ON t.centre_id = l.centre_id AND t.person_id = l.trainee_id AND t.part = 'trainee'
		JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor'
		JOIN person p ON p.centre_id = m.centre_id AND p.person_id = m.person_id
		WHERE l.prior_id = @id ORDER BY p.name, m.person_id`, a)
	queue(r, &apart, `SELECT
			ARRAY(SELECT CASE c.person_id WHEN l.trainee_id THEN c.other_id ELSE c.person_id END FROM conflict c
				WHERE c.centre_id = l.centre_id AND l.trainee_id IN (c.person_id, c.other_id) AND c.ended_at IS NULL ORDER BY c.conflict_id) AS apart,
			ARRAY(SELECT CASE c.person_id WHEN d.decided_by THEN c.other_id ELSE c.person_id END FROM prior_decision d
				JOIN conflict c ON c.centre_id = d.centre_id AND d.decided_by IN (c.person_id, c.other_id) AND c.ended_at IS NULL
				WHERE d.centre_id = l.centre_id AND d.prior_id = l.prior_id ORDER BY c.conflict_id) AS apart_from,
			EXISTS (SELECT FROM claim_item i WHERE i.centre_id = l.centre_id AND i.trainee_id = l.trainee_id AND i.unit_code = l.unit_code) AS claimed
		FROM prior_learning l WHERE l.prior_id = @id`, a)
	queue(r, &looks, `SELECT k.criterion, k.outcome, k.words, k.looked_by, p.name AS by_name, k.looked_at FROM prior_look k
		JOIN person p ON p.centre_id = k.centre_id AND p.person_id = k.looked_by WHERE k.prior_id = @id ORDER BY k.criterion`, a)
	queue(r, &p.Actions, actionSQL+`WHERE x.source = 'prior_learning' AND x.source_id = @id AND x.closed_at IS NULL ORDER BY x.due_on, x.action_id`, a)
	err := r.send("prior learning")
	p.Prior, err = first(heads, "claim", err)
	for _, x := range apart {
		p.Apart, p.ApartFrom, p.Claimed = x.Apart, x.ApartFrom, x.Claimed
	}
	for i, k := range looks {
		at := slices.IndexFunc(p.Decisions, func(d PriorDecision) bool { return d.Criterion == k.Criterion })
		p.Decisions[at].Look = &looks[i]
	}
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

// LookAtPrior keeps what an internal quality assurer found of a recognised criterion. A second look is Conflict.
func (t *Tx) LookAtPrior(ctx context.Context, id uuid.UUID, k PriorLook) error {
	_, err := t.exec(ctx, "look at prior learning", `
		INSERT INTO prior_look (centre_id, prior_id, criterion, outcome, words, looked_by, looked_at)
		VALUES (@centre, @id, @criterion, @outcome, @words, @by, @at)`,
		args{"centre": t.centre, "id": id, "criterion": k.Criterion, "outcome": string(k.Outcome), "words": k.Words, "by": k.By, "at": k.At})
	if err == nil {
		t.logStatement(ledger.KindPriorLook, priorSubject(id, k.Criterion))
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
	Seen      string    // who looked at it, "" where nobody has
	Acts      bool      // an action that was asked for is open
}

// priorMet has a row for each criterion that trainees met by prior learning: the one of several that stands in the way of a claim least,
// then the first. Those that were disagreed with are out of use. who is a list of trainees in SQL.
func priorMet(who string) string {
	return `SELECT DISTINCT ON (l.trainee_id, d.criterion) l.trainee_id, l.prior_id, d.criterion, p.name AS by_name, d.decided_at, coalesce(s.name, '') AS seen,
		EXISTS (SELECT FROM action x WHERE x.centre_id = l.centre_id AND x.source = 'prior_learning' AND x.source_id = l.prior_id AND x.closed_at IS NULL) AS acts
	FROM prior_learning l JOIN prior_decision d ON d.centre_id = l.centre_id AND d.prior_id = l.prior_id AND d.outcome = 'met'
	JOIN person p ON p.centre_id = d.centre_id AND p.person_id = d.decided_by
	LEFT JOIN prior_look k ON k.centre_id = d.centre_id AND k.prior_id = d.prior_id AND k.criterion = d.criterion
	LEFT JOIN person s ON s.centre_id = k.centre_id AND s.person_id = k.looked_by
	WHERE l.trainee_id ` + who + ` AND k.outcome IS DISTINCT FROM 'disagree'
	ORDER BY l.trainee_id, d.criterion, k.outcome IS NULL, acts, d.decided_at`
}

// PriorMet lists the criteria that the trainees met by prior learning, by trainee and criterion.
func (s *Store) PriorMet(ctx context.Context, centre int64, trainees []uuid.UUID) ([]PriorMet, error) {
	return all[PriorMet](s.reading(ctx, centre), "prior learning", priorMet(`= ANY(@trainees)`), args{"trainees": trainees})
}
