package store

import (
	"context"

	"github.com/google/uuid"
)

// PictureAlike is a photo of an attempt, and one of another trainee's that is the same or looks the same.
type PictureAlike struct {
	Evidence    uuid.UUID `db:"evidence_id"` // of the attempt that was asked about
	Other       uuid.UUID
	Item        string
	Exact       bool   // the very bytes; else a picture that looks the same
	TraineeName string // of the other attempt
	SameCohort  bool
}

// ReadingsAlike is another trainee of the same cohort whose readings at the same brief are all the same.
type ReadingsAlike struct {
	Attempt     uuid.UUID `db:"attempt_id"` // theirs
	TraineeName string
	Same        int // readings
}

// Alike is what an attempt has in common with those of others.
type Alike struct {
	Pictures []PictureAlike
	Readings []ReadingsAlike
}

// settled says of what a row f has found in two attempts that somebody has looked at it; spoken that the trainee of one said, at
// the stage where it stands, that the other helped.
const (
	settled = `EXISTS (SELECT FROM alike_look l WHERE l.attempt_id = least(f.attempt_id, f.other_attempt) AND l.other_id = greatest(f.attempt_id, f.other_attempt) AND l.thing = f.thing)`
	spoken  = `(` + spokenIn + `f.attempt_id AND e.item LIKE 'helped/' || f.stage AND names_person(e.text, f.other_name)` + spokenLast + ` OR ` +
		spokenIn + `f.other_attempt AND e.item LIKE 'helped/' || f.other_stage AND names_person(e.text, f.name)` + spokenLast + `)`
	spokenIn   = `EXISTS (SELECT FROM entry e WHERE e.attempt_id = `
	spokenLast = ` AND NOT EXISTS (SELECT FROM entry n WHERE n.centre_id = e.centre_id AND n.attempt_id = e.attempt_id AND n.item = e.item AND n.seq > e.seq))`
)

// picturesAlike finds the very bytes anywhere in the centre, and the pairs that lie within the centre's setting (see Candidates).
// What somebody has looked at, and what was said to be shared work, is nothing to ask about.
const picturesAlike = `
	WITH k AS (` + alikeSetting + `),
	mine AS (SELECT v.*, t.cohort_id, a.trainee_id, p.name AS trainee FROM evidence v
		JOIN attempt a ON a.centre_id = v.centre_id AND a.attempt_id = v.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
		WHERE v.attempt_id = @attempt AND v.media_type LIKE 'image/%'),
	ways AS (SELECT p.evidence_id AS own, p.other_id AS theirs, p.stage, p.other_stage, p.exact, p.pattern, p.edges, p.correlation
			FROM picture_pair p WHERE p.evidence_id IN (SELECT evidence_id FROM mine)
		UNION ALL SELECT p.other_id, p.evidence_id, p.other_stage, p.stage, p.exact, p.pattern, p.edges, p.correlation
			FROM picture_pair p WHERE p.other_id IN (SELECT evidence_id FROM mine)),
	found AS (
		SELECT m.evidence_id, m.attempt_id, m.item, m.trainee_id, m.cohort_id, m.trainee AS name, o.evidence_id AS other, o.attempt_id AS other_attempt, true AS exact, b.stage, b.other_stage
		FROM mine m JOIN evidence o ON o.centre_id = m.centre_id AND o.digest = m.digest AND o.attempt_id <> m.attempt_id
		LEFT JOIN ways b ON b.own = m.evidence_id AND b.theirs = o.evidence_id
		UNION ALL
		SELECT m.evidence_id, m.attempt_id, m.item, m.trainee_id, m.cohort_id, m.trainee, o.evidence_id, o.attempt_id, false, b.stage, b.other_stage
		FROM mine m JOIN ways b ON b.own = m.evidence_id JOIN evidence o ON o.centre_id = m.centre_id AND o.evidence_id = b.theirs, k
		WHERE NOT b.exact AND (b.pattern <= k.pattern OR b.edges <= k.edges) AND b.correlation >= k.correlation
	), f AS (SELECT x.*, p.name AS other_name, t.cohort_id = x.cohort_id AS same_cohort,
			least(x.evidence_id, x.other) || ' ' || greatest(x.evidence_id, x.other) AS thing
		FROM found x
		JOIN attempt a ON a.attempt_id = x.other_attempt AND a.trainee_id <> x.trainee_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id)
	SELECT f.evidence_id, f.other, f.item, f.exact, f.other_name AS trainee_name, f.same_cohort
	FROM f WHERE NOT ` + settled + ` AND NOT ` + spoken + `
	ORDER BY f.item, f.evidence_id, f.exact DESC, f.other_name, f.other`

// readingsAlike finds those whose readings are the same to the last digit: all of them, and three at least.
const readingsAlike = `
	WITH here AS (SELECT a.centre_id, a.attempt_id, a.trainee_id, t.cohort_id, t.brief_id, p.name FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id WHERE a.attempt_id = @attempt),
	others AS (SELECT a.centre_id, a.attempt_id, a.trainee_id FROM here h
		JOIN task t ON t.centre_id = h.centre_id AND t.cohort_id = h.cohort_id AND t.brief_id = h.brief_id
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id AND a.trainee_id <> h.trainee_id),
	latest AS (SELECT DISTINCT ON (e.attempt_id, e.item, e.part, e.phase) e.attempt_id, e.item, e.part, e.phase, e.text
		FROM entry e WHERE e.attempt_id IN (SELECT attempt_id FROM others UNION SELECT attempt_id FROM here) AND e.item = ANY(@items)
		ORDER BY e.attempt_id, e.item, e.part, e.phase, e.seq DESC),
	mine AS (SELECT item, part, phase, text FROM latest WHERE attempt_id = @attempt AND text <> ''),
	f AS (SELECT o.attempt_id AS other_attempt, @attempt::uuid AS attempt_id, p.name AS other_name, h.name, count(*) AS same, 'readings' AS thing, '%' AS stage, '%' AS other_stage
		FROM latest l
		JOIN mine m USING (item, part, phase, text)
		JOIN others o ON o.attempt_id = l.attempt_id
		JOIN person p ON p.centre_id = o.centre_id AND p.person_id = o.trainee_id, here h
		GROUP BY o.attempt_id, p.name, h.name
		HAVING count(*) = (SELECT count(*) FROM mine) AND count(*) >= 3)
	SELECT f.other_attempt AS attempt_id, f.other_name AS trainee_name, f.same FROM f WHERE NOT ` + settled + ` AND NOT ` + spoken + `
	ORDER BY f.other_name, f.other_attempt`

// Alike reads what an attempt has in common with those of others; readings are the keys of its brief's readings. It is a reason
// to ask, and proves nothing: people share rigs.
func (s *Store) Alike(ctx context.Context, centre int64, attempt uuid.UUID, readings []string) (Alike, error) {
	r := s.reading(ctx, centre)
	var a Alike
	queue(r, &a.Pictures, picturesAlike, args{"attempt": attempt})
	queue(r, &a.Readings, readingsAlike, args{"attempt": attempt, "items": append([]string{}, readings...)})
	return a, r.send("what is alike")
}
