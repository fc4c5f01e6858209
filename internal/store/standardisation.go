package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
)

// Standardisation is the same attempts judged by several people, who do not see what the others say until it is shown.
type Standardisation struct {
	ID       uuid.UUID `db:"standardisation_id"`
	Title    string
	Words    string
	Brief    uuid.UUID `db:"brief_id"`
	Version  int
	Of       string    // the brief version's title; only read
	Digest   string    // of the brief version's text, hex; only read
	Seed     int64     // of the interval beside its figures
	By       uuid.UUID `db:"opened_by"`
	ByName   string    // only read
	At       time.Time `db:"opened_at"`
	ClosedBy string    // the name; "" while it is open; only read
	ClosedAt time.Time // zero while it is open
	Due      int       // attempts times judges, without those who had part in them; only read
	Done     int       // of them judged; only read
	Sits     bool      // the reader is among the judges; only read
}

// In says whether all have judged all that they are to.
func (s Standardisation) In() bool { return s.Done >= s.Due }

// Shown says whether what was judged may be seen.
func (s Standardisation) Shown() bool { return s.In() || !s.ClosedAt.IsZero() }

// BlindAttempt is an attempt of a standardisation; place, from 1, is all that it is called by while it is judged.
type BlindAttempt struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	Place       int
	TraineeName string
	State       decision.State
}

// BlindJudge is one of the people who judge.
type BlindJudge struct {
	Person uuid.UUID `db:"person_id"`
	Name   string
}

// BlindJudgement is what one person says of one criterion of one attempt.
type BlindJudgement struct {
	Attempt   uuid.UUID `db:"attempt_id"`
	Person    uuid.UUID `db:"person_id"`
	Criterion string    // UNIT/code
	Outcome   decision.Outcome
	Reason    decision.Reason
	Words     string
	At        time.Time `db:"judged_at"`
}

// HadPart says that a judge had part in an attempt, and so does not judge it blind.
type HadPart struct {
	Attempt uuid.UUID `db:"attempt_id"`
	Person  uuid.UUID `db:"person_id"`
}

// StandardisationSheet is a standardisation with everything that was said.
type StandardisationSheet struct {
	Standardisation
	Attempts   []BlindAttempt    // in the order of their places
	Judges     []BlindJudge      // by name
	Parts      []HadPart         // of the judges in the attempts, their trainees among them
	Judgements []BlindJudgement  // by attempt, criterion and judge
	Standing   []decision.Record // the decisions that stand on the attempts, by attempt and criterion
}

const standardisationColumns = `s.standardisation_id, s.title, s.words, s.brief_id, s.version, v.title AS of, v.digest, s.seed, s.opened_by, p.name AS by_name, s.opened_at,
	coalesce(q.name, '') AS closed_by, coalesce(s.closed_at, '0001-01-01 00:00Z') AS closed_at, due.n AS due, done.n AS done,
	EXISTS (SELECT FROM standardisation_judge j WHERE j.centre_id = s.centre_id AND j.standardisation_id = s.standardisation_id AND j.person_id = @reader) AS sits`

const standardisationFrom = ` FROM standardisation s
	JOIN brief_version v ON v.centre_id = s.centre_id AND v.brief_id = s.brief_id AND v.version = s.version
	JOIN person p ON p.centre_id = s.centre_id AND p.person_id = s.opened_by
	LEFT JOIN person q ON q.centre_id = s.centre_id AND q.person_id = s.closed_by
	JOIN LATERAL (SELECT count(*) AS n FROM standardisation_judge j
		JOIN standardisation_attempt a ON a.centre_id = j.centre_id AND a.standardisation_id = j.standardisation_id
		WHERE j.centre_id = s.centre_id AND j.standardisation_id = s.standardisation_id AND NOT had_part(a.centre_id, a.attempt_id, j.person_id)) due ON true
	JOIN LATERAL (SELECT count(DISTINCT (b.attempt_id, b.person_id)) AS n FROM blind_judgement b
		WHERE b.centre_id = s.centre_id AND b.standardisation_id = s.standardisation_id) done ON true`

// standardisationsMost is how many are listed at once.
const standardisationsMost = 100

// Standardisations lists the newest hundred at most, the newest first: all of the centre's, or those in which the reader judges.
func (s *Store) Standardisations(ctx context.Context, centre int64, reader uuid.UUID, own bool) ([]Standardisation, error) {
	return all[Standardisation](s.reading(ctx, centre), "standardisations", `SELECT `+standardisationColumns+standardisationFrom+`
		WHERE NOT @own OR EXISTS (SELECT FROM standardisation_judge j WHERE j.centre_id = s.centre_id AND j.standardisation_id = s.standardisation_id AND j.person_id = @reader)
		ORDER BY s.opened_at DESC, s.standardisation_id DESC LIMIT @most`, args{"reader": reader, "own": own, "most": standardisationsMost})
}

// StandardisationSheet reads one with everything that was said, in one round trip.
func (s *Store) StandardisationSheet(ctx context.Context, centre int64, id, reader uuid.UUID) (StandardisationSheet, error) {
	return readStandardisation(s.reading(ctx, centre), id, reader, "")
}

// LockStandardisation reads one with everything that was said and holds it until the transaction ends: nobody judges in it or closes it
// meanwhile.
func (t *Tx) LockStandardisation(ctx context.Context, id, reader uuid.UUID) (StandardisationSheet, error) {
	return readStandardisation(t.reading(ctx), id, reader, " FOR UPDATE OF s")
}

func readStandardisation(r *reader, id, reader uuid.UUID, lock string) (StandardisationSheet, error) {
	var heads []Standardisation
	var judges []struct {
		BlindJudge
		Parts []uuid.UUID
	}
	var sheet StandardisationSheet
	a := args{"id": id}
	if lock != "" { // first, so that all else is read under it
		var locked []int
		queueColumn(r, &locked, `SELECT 1 FROM standardisation s WHERE s.standardisation_id = @id`+lock, a)
	}
	queue(r, &heads, `SELECT `+standardisationColumns+standardisationFrom+` WHERE s.standardisation_id = @id`, args{"id": id, "reader": reader})
	queue(r, &sheet.Attempts, `SELECT a.attempt_id, a.place, p.name AS trainee_name, t.state FROM standardisation_attempt a
		JOIN attempt t ON t.centre_id = a.centre_id AND t.attempt_id = a.attempt_id
		JOIN person p ON p.centre_id = t.centre_id AND p.person_id = t.trainee_id
		WHERE a.standardisation_id = @id ORDER BY a.place`, a)
	queue(r, &judges, `SELECT j.person_id, p.name, ARRAY(SELECT a.attempt_id FROM standardisation_attempt a
			WHERE a.centre_id = j.centre_id AND a.standardisation_id = j.standardisation_id AND had_part(a.centre_id, a.attempt_id, j.person_id) ORDER BY a.place) AS parts
		FROM standardisation_judge j JOIN person p ON p.centre_id = j.centre_id AND p.person_id = j.person_id
		WHERE j.standardisation_id = @id ORDER BY p.name, j.person_id`, a)
	queue(r, &sheet.Judgements, `SELECT b.attempt_id, b.person_id, b.criterion, b.outcome, b.reason, b.words, b.judged_at FROM blind_judgement b
		JOIN standardisation_attempt a ON a.centre_id = b.centre_id AND a.standardisation_id = b.standardisation_id AND a.attempt_id = b.attempt_id
		WHERE b.standardisation_id = @id ORDER BY a.place, b.criterion, b.person_id`, a)
	queue(r, &sheet.Standing, `SELECT `+recordColumns+` FROM standardisation_attempt a
		JOIN record r ON r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind = 'criterion_decision'
		WHERE a.standardisation_id = @id AND NOT EXISTS (SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id)
		ORDER BY a.place, r.subject`, a)
	err := r.send("standardisation")
	for _, j := range judges {
		sheet.Judges = append(sheet.Judges, j.BlindJudge)
		for _, attempt := range j.Parts {
			sheet.Parts = append(sheet.Parts, HadPart{Attempt: attempt, Person: j.Person})
		}
	}
	sheet.Standardisation, err = first(heads, "standardisation", err)
	return sheet, err
}

// AddStandardisation keeps a new one with its attempts, in their order, and its judges.
func (t *Tx) AddStandardisation(ctx context.Context, s Standardisation, attempts, judges []uuid.UUID) error {
	_, err := t.exec(ctx, "add standardisation", `
		WITH s AS (INSERT INTO standardisation (centre_id, standardisation_id, title, words, brief_id, version, seed, opened_by, opened_at)
			VALUES (@centre, @id, @title, @words, @brief, @version, @seed, @by, @at) RETURNING centre_id),
		a AS (INSERT INTO standardisation_attempt (centre_id, standardisation_id, attempt_id, place)
			SELECT s.centre_id, @id, x.id, x.place FROM s, unnest(@attempts::uuid[]) WITH ORDINALITY AS x (id, place))
		INSERT INTO standardisation_judge (centre_id, standardisation_id, person_id) SELECT s.centre_id, @id, x FROM s, unnest(@judges::uuid[]) x`,
		args{"centre": t.centre, "id": s.ID, "title": s.Title, "words": s.Words, "brief": s.Brief, "version": s.Version, "seed": s.Seed, "by": s.By, "at": s.At,
			"attempts": attempts, "judges": judges})
	return err
}

// JudgeBlind keeps what one person says of one attempt, all criteria at once. Saying it twice is Conflict.
func (t *Tx) JudgeBlind(ctx context.Context, id uuid.UUID, js []BlindJudgement) error {
	for _, j := range js {
		t.later(`INSERT INTO blind_judgement (centre_id, standardisation_id, attempt_id, person_id, criterion, outcome, reason, words, judged_at)
			VALUES (@centre, @id, @attempt, @person, @criterion, @outcome, @reason, @words, @at)`,
			args{"centre": t.centre, "id": id, "attempt": j.Attempt, "person": j.Person, "criterion": j.Criterion, "outcome": string(j.Outcome),
				"reason": string(j.Reason), "words": j.Words, "at": j.At}, func(int64) error { return nil })
	}
	return nil
}

// CloseStandardisation has nobody judge in it any more.
func (t *Tx) CloseStandardisation(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	_, err := t.exec(ctx, "close standardisation", `UPDATE standardisation SET closed_by = @by, closed_at = @at WHERE standardisation_id = @id AND closed_at IS NULL`,
		args{"id": id, "by": by, "at": at})
	return err
}

// SitsOn says whether the person judges the attempt in a standardisation, now or before.
func (s *Store) SitsOn(ctx context.Context, centre int64, attempt, person uuid.UUID) (bool, error) {
	r := s.reading(ctx, centre)
	var found []bool
	queueColumn(r, &found, `SELECT EXISTS (SELECT FROM standardisation_attempt a
		JOIN standardisation_judge j ON j.centre_id = a.centre_id AND j.standardisation_id = a.standardisation_id
		WHERE a.attempt_id = @attempt AND j.person_id = @person)`, args{"attempt": attempt, "person": person})
	return first(found, "standardisation", r.send("standardisation"))
}

// BlindChoice is an attempt that a standardisation may be held on.
type BlindChoice struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	TraineeName string
	CohortName  string
	Number      int
	State       decision.State
	HandedOver  time.Time
}

// blindChoicesMost is how many attempts are offered.
const blindChoicesMost = 200

// BlindChoices lists the attempts at a brief version that the marker has looked at and that nobody froze, the newest first, two
// hundred at most.
func (s *Store) BlindChoices(ctx context.Context, centre int64, brief uuid.UUID, version int) ([]BlindChoice, error) {
	return all[BlindChoice](s.reading(ctx, centre), "attempts", `
		SELECT a.attempt_id, (SELECT p.name FROM person p WHERE p.centre_id = a.centre_id AND p.person_id = a.trainee_id) AS trainee_name,
			(SELECT c.name FROM cohort c WHERE c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id) AS cohort_name, a.number, a.state, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over
		FROM brief_version v`+underVersion+`v.brief_id = @brief AND v.version = @version
			AND a.state IN ('checked', 'decided', 'signed_off', 'more_to_do', 'under_appeal', 'cleared', 'claimed', 'archived')
		ORDER BY a.handed_over_at DESC, a.attempt_id LIMIT @most`, args{"brief": brief, "version": version, "most": blindChoicesMost})
}

// assessorsMost is how many people who may judge are offered.
const assessorsMost = 200

// Assessors lists the tutors and quality assurers who may sign in, by name, two hundred at most.
func (s *Store) Assessors(ctx context.Context, centre int64) ([]BlindJudge, error) {
	return all[BlindJudge](s.reading(ctx, centre), "assessors", `SELECT p.person_id, p.name FROM person p
		WHERE p.disabled_at IS NULL AND EXISTS (SELECT FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id AND r.role = ANY(@roles))
		ORDER BY p.name, p.person_id LIMIT @most`,
		args{"roles": []string{string(account.Tutor), string(account.QualityAssurer)}, "most": assessorsMost})
}
