package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/decision"
	"witnessmark/internal/ledger"
)

// Ruling says how a criterion is to be read from a day on.
type Ruling struct {
	ID              uuid.UUID `db:"ruling_id"`
	Standardisation uuid.UUID `db:"standardisation_id"` // that led to it; zero for none
	Criterion       string    // UNIT/code
	Words           string
	Doubts          Doubts
	EffectiveOn     time.Time // a date
	Since           time.Time // a date: how far back it puts decisions in question; zero for all
	By              uuid.UUID `db:"made_by"`
	ByName          string
	At              time.Time `db:"made_at"`
}

// Doubts says which earlier decisions a ruling puts in question.
type Doubts string

// The kinds of doubt.
const (
	DoubtsMet    Doubts = "met"
	DoubtsNotYet Doubts = "not_yet_met"
	DoubtsBoth   Doubts = "both"
	DoubtsNone   Doubts = "none"
)

const rulingColumns = `g.ruling_id, coalesce(g.standardisation_id, '00000000-0000-0000-0000-000000000000') AS standardisation_id, g.criterion, g.words, g.doubts,
	g.effective_on, coalesce(g.since, '0001-01-01') AS since, g.made_by, p.name AS by_name, g.made_at`

const rulingFrom = ` FROM ruling g JOIN person p ON p.centre_id = g.centre_id AND p.person_id = g.made_by `

// rulingsMost is how many rulings are listed at once.
const rulingsMost = 200

// Rulings lists the centre's rulings, the newest first, two hundred at most.
func (s *Store) Rulings(ctx context.Context, centre int64) ([]Ruling, error) {
	return all[Ruling](s.reading(ctx, centre), "rulings", `SELECT `+rulingColumns+rulingFrom+` ORDER BY g.effective_on DESC, g.ruling_id DESC LIMIT @most`,
		args{"most": rulingsMost})
}

// RulingsOn lists the rulings on some criteria, the newest first, two hundred at most.
func (s *Store) RulingsOn(ctx context.Context, centre int64, criteria []string) ([]Ruling, error) {
	return all[Ruling](s.reading(ctx, centre), "rulings", `SELECT `+rulingColumns+rulingFrom+` WHERE g.criterion = ANY(@criteria)
		ORDER BY g.effective_on DESC, g.ruling_id DESC LIMIT @most`, args{"criteria": criteria, "most": rulingsMost})
}

// Ruling reads one ruling.
func (s *Store) Ruling(ctx context.Context, centre int64, id uuid.UUID) (Ruling, error) {
	return one[Ruling](s.reading(ctx, centre), "ruling", `SELECT `+rulingColumns+rulingFrom+` WHERE g.ruling_id = @id`, args{"id": id})
}

// AddRuling keeps a ruling.
func (t *Tx) AddRuling(ctx context.Context, g Ruling) error {
	_, err := t.exec(ctx, "add ruling", `
		INSERT INTO ruling (centre_id, ruling_id, standardisation_id, criterion, words, doubts, effective_on, since, made_by, made_at)
		VALUES (@centre, @id, @standardisation, @criterion, @words, @doubts, @effective::date, @since::date, @by, @at)`,
		args{"centre": t.centre, "id": g.ID, "standardisation": uuidOrNull(g.Standardisation), "criterion": g.Criterion, "words": g.Words, "doubts": string(g.Doubts),
			"effective": g.EffectiveOn, "since": timeOrNull(g.Since), "by": g.By, "at": g.At})
	if err == nil {
		t.logStatement(ledger.KindRuling, g.ID)
	}
	return err
}

// Questioned is an earlier decision that a ruling puts in question.
type Questioned struct {
	Record      uuid.UUID `db:"record_id"`
	Attempt     uuid.UUID `db:"attempt_id"`
	Number      int
	State       decision.State
	TraineeName string
	CohortName  string
	Outcome     decision.Outcome
	Words       string
	ByName      string
	At          time.Time
	Looked      string // the outcome of the last look, "" where nobody has looked
	LookedWords string
	LookedBy    string
	LookedAt    time.Time
}

// After is where a list of decisions goes on: after this one. The zero After is the start.
type After struct {
	At     time.Time
	Record uuid.UUID
}

// QuestionedPage is the decisions that a ruling puts in question, as many as a page has and one more, the earliest first.
const QuestionedPage = 100

// RulingSheet is a ruling with a page of what it puts in question, of all of it how much, and how much of that was looked at.
type RulingSheet struct {
	Ruling
	Rows        []Questioned
	All, Looked int
}

// questionedWhere says which decisions a ruling g puts in question: those that stand, were made on the attempt itself, before its
// day, on attempts that still count.
const questionedWhere = ` r.kind = 'criterion_decision' AND r.subject = g.criterion AND r.value = '' AND r.outcome IN ('met', 'not_yet_met')
		AND g.doubts IN (r.outcome, 'both') AND r.at < g.effective_on::timestamp AT TIME ZONE 'Europe/London'
		AND (g.since IS NULL OR r.at >= g.since::timestamp AT TIME ZONE 'Europe/London')
		AND NOT EXISTS (SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id)
		AND a.state NOT IN ('withdrawn', 'set_aside', 'archived', 'destroyed')`

// questionedSeen narrows them to the cohorts that @tutor teaches, if anybody is named.
const questionedSeen = ` AND (@tutor::uuid IS NULL OR EXISTS (SELECT FROM task k JOIN cohort_member m ON m.centre_id = k.centre_id AND m.cohort_id = k.cohort_id
		AND m.person_id = @tutor AND m.part = 'tutor' WHERE k.centre_id = a.centre_id AND k.task_id = a.task_id))`

const questionedFrom = ` FROM ruling g
	JOIN record r ON r.centre_id = g.centre_id
	JOIN attempt a ON a.centre_id = r.centre_id AND a.attempt_id = r.attempt_id `

// questionedCounts counts those of the ruling @id, and of them the ones that somebody looked at.
const questionedCounts = `SELECT (SELECT count(*)` + questionedFrom + `WHERE g.ruling_id = @id AND` + questionedWhere + questionedSeen + `) AS all,
	(SELECT count(*)` + questionedFrom + `WHERE g.ruling_id = @id AND` + questionedWhere + questionedSeen + `
		AND r.record_id IN (SELECT l.record_id FROM ruling_look l WHERE l.ruling_id = @id)) AS looked`

// questionedRows is a page of those of the ruling @id. The page is cut before anything is put beside its rows: the index on a criterion's
// decisions has them in order, and a page of thirty thousand would else take as long as all of them.
const questionedRows = `SELECT r.record_id, r.attempt_id, r.number, r.state, p.name AS trainee_name, c.name AS cohort_name, r.outcome, r.words, r.by_name, r.at,
		coalesce(l.outcome, '') AS looked, coalesce(l.words, '') AS looked_words, coalesce(q.name, '') AS looked_by, coalesce(l.looked_at, '0001-01-01 00:00Z') AS looked_at
	FROM ruling g, LATERAL (
		SELECT r.centre_id, r.record_id, r.attempt_id, r.outcome, r.words, r.by_name, r.at, a.number, a.state, a.trainee_id, a.task_id
		FROM record r JOIN attempt a ON a.centre_id = r.centre_id AND a.attempt_id = r.attempt_id
		WHERE r.centre_id = g.centre_id AND` + questionedWhere + questionedSeen + ` AND (r.at, r.record_id) > (@at, @record) ORDER BY r.at, r.record_id LIMIT @most) r
	LEFT JOIN LATERAL (SELECT l.outcome, l.words, l.looked_at, l.looked_by FROM ruling_look l
		WHERE l.centre_id = g.centre_id AND l.ruling_id = g.ruling_id AND l.record_id = r.record_id ORDER BY l.looked_at DESC, l.look_id DESC LIMIT 1) l ON true
	JOIN person p ON p.centre_id = r.centre_id AND p.person_id = r.trainee_id
	JOIN task t ON t.centre_id = r.centre_id AND t.task_id = r.task_id
	JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
	LEFT JOIN person q ON q.centre_id = r.centre_id AND q.person_id = l.looked_by
	WHERE g.ruling_id = @id ORDER BY r.at, r.record_id`

// RulingSheet reads a ruling with the decisions that it puts in question, from after on: all of them, or those of the cohorts that a tutor
// teaches, where one is named.
func (s *Store) RulingSheet(ctx context.Context, centre int64, id, tutor uuid.UUID, after After) (RulingSheet, error) {
	r := s.reading(ctx, centre)
	var sheet RulingSheet
	var heads []Ruling
	var counts []struct{ All, Looked int }
	queue(r, &heads, `SELECT `+rulingColumns+rulingFrom+` WHERE g.ruling_id = @id`, args{"id": id})
	queue(r, &counts, questionedCounts, args{"id": id, "tutor": uuidOrNull(tutor)})
	queue(r, &sheet.Rows, questionedRows, args{"id": id, "tutor": uuidOrNull(tutor), "at": after.At, "record": after.Record, "most": QuestionedPage + 1})
	err := r.send("ruling")
	if sheet.Ruling, err = first(heads, "ruling", err); err == nil && len(counts) == 1 {
		sheet.All, sheet.Looked = counts[0].All, counts[0].Looked
	}
	return sheet, err
}

// Look is that somebody looked at a decision that a ruling puts in question.
type Look struct {
	ID      uuid.UUID
	Ruling  uuid.UUID
	Attempt uuid.UUID
	Record  uuid.UUID
	Outcome string // LookStands or LookAfresh
	Words   string
	By      uuid.UUID
	At      time.Time
}

// The outcomes of a look.
const (
	LookStands = "stands"
	LookAfresh = "afresh" // it is to be decided afresh; nothing is undone by that alone
)

// Seen is the decision that a look was at.
type Seen struct {
	Attempt uuid.UUID `db:"attempt_id"`
	By      uuid.UUID `db:"by_id"` // who made it
}

// LookUnderRuling keeps a look. NotFound where the ruling does not put the decision in question.
func (t *Tx) LookUnderRuling(ctx context.Context, l Look) (Seen, error) {
	seen, err := one[Seen](t.reading(ctx), "decision", `
		WITH q AS (SELECT g.centre_id, g.ruling_id, r.attempt_id, r.record_id, r.by_id`+questionedFrom+`WHERE g.ruling_id = @ruling AND r.record_id = @record AND`+questionedWhere+`),
		kept AS (INSERT INTO ruling_look (centre_id, look_id, ruling_id, attempt_id, record_id, outcome, words, looked_by, looked_at)
			SELECT q.centre_id, @look, q.ruling_id, q.attempt_id, q.record_id, @outcome, @words, @by, @at FROM q)
		SELECT q.attempt_id, q.by_id FROM q`,
		args{"look": l.ID, "ruling": l.Ruling, "record": l.Record, "outcome": l.Outcome, "words": l.Words, "by": l.By, "at": l.At})
	if err == nil {
		t.logStatement(ledger.KindRulingLook, l.ID)
	}
	return seen, err
}
