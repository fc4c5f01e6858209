package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// AlikeSide is one of two photos that are alike.
type AlikeSide struct {
	Evidence
	TraineeName string
	Trainee     uuid.UUID `db:"trainee_id"`
	Cohort      uuid.UUID `db:"cohort_id"`
	CohortName  string
	Title       string // of the brief
	Number      int
}

// AlikeLook is what somebody found out about two attempts that have something in common.
type AlikeLook struct {
	Outcome string
	Words   string
	ByName  string
	At      time.Time
}

// AlikePair is two photos side by side, with what was found out, the latest first.
type AlikePair struct {
	Sides []AlikeSide // two, the one that came first first
	Found []Pair      // how near they are; none where that is not worked out
	Looks []AlikeLook
}

// AlikePair reads two photos.
func (s *Store) AlikePair(ctx context.Context, centre int64, one, other uuid.UUID) (AlikePair, error) {
	var p AlikePair
	r := s.reading(ctx, centre)
	queue(r, &p.Sides, `SELECT `+evidenceColumns+`, p.name AS trainee_name, a.trainee_id, t.cohort_id, c.name AS cohort_name, w.title, a.number `+evidenceFrom+`
		JOIN attempt a ON a.centre_id = v.centre_id AND a.attempt_id = v.attempt_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN cohort c ON c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
		JOIN brief_version w ON w.centre_id = t.centre_id AND w.brief_id = t.brief_id AND w.version = t.version
		WHERE v.evidence_id IN (@one, @other) ORDER BY v.received_at, v.evidence_id`, args{"one": one, "other": other})
	queue(r, &p.Found, `SELECT other_id AS other, exact, pattern, edges, correlation, stage, other_stage, found_at FROM picture_pair
		WHERE evidence_id = least(@one::uuid, @other::uuid) AND other_id = greatest(@one::uuid, @other::uuid) ORDER BY found_at`, args{"one": one, "other": other})
	queue(r, &p.Looks, alikeLooks+` WHERE l.thing = least(@one::uuid, @other::uuid) || ' ' || greatest(@one::uuid, @other::uuid) ORDER BY l.at DESC, l.look_id DESC`, args{"one": one, "other": other})
	return p, r.send("two photos")
}

const alikeLooks = `SELECT l.outcome, l.words, p.name AS by_name, l.at FROM alike_look l JOIN person p ON p.centre_id = l.centre_id AND p.person_id = l.by_id`

// ReadingsLooks reads what was found out about the readings of two attempts, the latest first.
func (s *Store) ReadingsLooks(ctx context.Context, centre int64, one, other uuid.UUID) ([]AlikeLook, error) {
	return all[AlikeLook](s.reading(ctx, centre), "what was found out", alikeLooks+`
		WHERE l.attempt_id = least(@one::uuid, @other::uuid) AND l.other_id = greatest(@one::uuid, @other::uuid) AND l.thing = 'readings' ORDER BY l.at DESC, l.look_id DESC`,
		args{"one": one, "other": other})
}

// NewAlikeLook is what somebody found out, to be kept. Thing is the photos' ids, the smaller first, with a space between, or
// "readings".
type NewAlikeLook struct {
	ID             uuid.UUID
	Attempt, Other uuid.UUID
	Thing          string
	Outcome, Words string
	By             uuid.UUID
	At             time.Time
}

// LookAtAlike keeps what somebody found out; the same id again has no effect.
func (t *Tx) LookAtAlike(ctx context.Context, l NewAlikeLook) error {
	_, err := t.exec(ctx, "look at what is alike", `
		INSERT INTO alike_look (centre_id, look_id, attempt_id, other_id, thing, outcome, words, by_id, at)
		VALUES (@centre, @look, least(@attempt::uuid, @other::uuid), greatest(@attempt::uuid, @other::uuid), @thing, @outcome, @words, @by, @at)
		ON CONFLICT (centre_id, look_id) DO NOTHING`,
		args{"centre": t.centre, "look": l.ID, "attempt": l.Attempt, "other": l.Other, "thing": l.Thing, "outcome": l.Outcome, "words": l.Words, "by": l.By, "at": l.At})
	return err
}

// AlikeRow is two photos of different trainees that are worth a look.
type AlikeRow struct {
	One, Other  uuid.UUID
	Exact       bool
	Name        string
	OtherName   string
	Title       string // of the brief of One
	FoundAt     time.Time
	Correlation float64
}

// AlikeRows lists the photos at which nobody has looked yet and that were not said to be shared work, the newest first: to a tutor
// those of cohorts that they teach both of, with a zero tutor all.
func (s *Store) AlikeRows(ctx context.Context, centre int64, tutor uuid.UUID, offset, limit int) ([]AlikeRow, error) {
	return all[AlikeRow](s.reading(ctx, centre), "photos that are alike", `
		WITH k AS (`+alikeSetting+`), f AS (
			SELECT p.evidence_id AS one, p.other_id AS other, p.exact, p.correlation, p.found_at, p.stage, p.other_stage, x.attempt_id, y.attempt_id AS other_attempt,
				n.name, m.name AS other_name, v.title, p.evidence_id || ' ' || p.other_id AS thing
			FROM picture_pair p
			JOIN evidence x ON x.centre_id = p.centre_id AND x.evidence_id = p.evidence_id
			JOIN evidence y ON y.centre_id = p.centre_id AND y.evidence_id = p.other_id
			JOIN attempt a ON a.centre_id = x.centre_id AND a.attempt_id = x.attempt_id
			JOIN attempt b ON b.centre_id = y.centre_id AND b.attempt_id = y.attempt_id
			JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			JOIN task u ON u.centre_id = b.centre_id AND u.task_id = b.task_id
			JOIN brief_version v ON v.centre_id = t.centre_id AND v.brief_id = t.brief_id AND v.version = t.version
			JOIN person n ON n.centre_id = a.centre_id AND n.person_id = a.trainee_id
			JOIN person m ON m.centre_id = b.centre_id AND m.person_id = b.trainee_id, k
			WHERE (p.exact OR (p.pattern <= k.pattern OR p.edges <= k.edges) AND p.correlation >= k.correlation)
			AND (@tutor::uuid IS NULL OR (SELECT count(DISTINCT c.cohort_id) FROM cohort_member c
				WHERE c.person_id = @tutor AND c.part = 'tutor' AND c.cohort_id IN (t.cohort_id, u.cohort_id)) = CASE WHEN t.cohort_id = u.cohort_id THEN 1 ELSE 2 END)
		)
		SELECT f.one, f.other, f.exact, f.name, f.other_name, f.title, f.found_at, f.correlation FROM f WHERE NOT `+settled+` AND NOT `+spoken+`
		ORDER BY f.found_at DESC, f.one, f.other LIMIT @limit OFFSET @offset`, args{"tutor": uuidOrNull(tutor), "limit": limit, "offset": offset})
}
