package store

import (
	"context"

	"github.com/google/uuid"
)

// PictureAlike is a file of an attempt that stands, or one that looks the same, in another trainee's attempt.
type PictureAlike struct {
	Evidence    uuid.UUID `db:"evidence_id"` // of the attempt that was asked about
	Item        string
	Exact       bool   // the very bytes; else a picture that looks the same
	TraineeName string // of the other attempt
	SameCohort  bool
}

// ReadingsAlike is another trainee of the same cohort whose readings at the same brief are all the same.
type ReadingsAlike struct {
	TraineeName string
	Same        int // readings
}

// Alike is what an attempt has in common with those of others.
type Alike struct {
	Pictures []PictureAlike
	Readings []ReadingsAlike
}

// picturesAlike finds the very bytes anywhere in the centre, and what looks the same at the same item of the same brief in the
// same cohort: a picture that was only sent through another program stays within 2 bits of both hashes (photo.VisualHash).
const picturesAlike = `
	WITH mine AS (SELECT v.*, t.cohort_id, t.brief_id, a.trainee_id FROM evidence v
		JOIN attempt a ON a.centre_id = v.centre_id AND a.attempt_id = v.attempt_id
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
		WHERE v.attempt_id = @attempt AND v.media_type LIKE 'image/%'),
	found AS (
		SELECT m.evidence_id, m.item, m.trainee_id, m.cohort_id, o.attempt_id, true AS exact
		FROM mine m JOIN evidence o ON o.centre_id = m.centre_id AND o.digest = m.digest AND o.attempt_id <> m.attempt_id
		UNION ALL
		SELECT m.evidence_id, m.item, m.trainee_id, m.cohort_id, o.attempt_id, false
		FROM mine m
		JOIN task ot ON ot.centre_id = m.centre_id AND ot.cohort_id = m.cohort_id AND ot.brief_id = m.brief_id
		JOIN attempt oa ON oa.centre_id = ot.centre_id AND oa.task_id = ot.task_id AND oa.trainee_id <> m.trainee_id
		JOIN evidence o ON o.centre_id = oa.centre_id AND o.attempt_id = oa.attempt_id AND o.item = m.item AND o.digest <> m.digest
		WHERE m.phash <> 0 AND o.phash <> 0
			AND bit_count((m.phash # o.phash)::bit(64)) <= 2 AND bit_count((m.dhash # o.dhash)::bit(64)) <= 2
	)
	SELECT DISTINCT f.evidence_id, f.item, f.exact, p.name AS trainee_name, t.cohort_id = f.cohort_id AS same_cohort
	FROM found f
	JOIN attempt a ON a.attempt_id = f.attempt_id AND a.trainee_id <> f.trainee_id
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN person p ON p.centre_id = a.centre_id AND p.person_id = a.trainee_id
	ORDER BY f.item, f.evidence_id, f.exact DESC, p.name`

// readingsAlike finds those whose readings are the same to the last digit: all of them, and three at least.
const readingsAlike = `
	WITH here AS (SELECT a.centre_id, a.attempt_id, a.trainee_id, t.cohort_id, t.brief_id FROM attempt a
		JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id WHERE a.attempt_id = @attempt),
	others AS (SELECT a.centre_id, a.attempt_id, a.trainee_id FROM here h
		JOIN task t ON t.centre_id = h.centre_id AND t.cohort_id = h.cohort_id AND t.brief_id = h.brief_id
		JOIN attempt a ON a.centre_id = t.centre_id AND a.task_id = t.task_id AND a.trainee_id <> h.trainee_id),
	latest AS (SELECT DISTINCT ON (e.attempt_id, e.item, e.part, e.phase) e.attempt_id, e.item, e.part, e.phase, e.text
		FROM entry e WHERE e.attempt_id IN (SELECT attempt_id FROM others UNION SELECT attempt_id FROM here) AND e.item = ANY(@items)
		ORDER BY e.attempt_id, e.item, e.part, e.phase, e.seq DESC),
	mine AS (SELECT item, part, phase, text FROM latest WHERE attempt_id = @attempt AND text <> '')
	SELECT p.name AS trainee_name, count(*) AS same
	FROM latest l
	JOIN mine m USING (item, part, phase, text)
	JOIN others o ON o.attempt_id = l.attempt_id
	JOIN person p ON p.centre_id = o.centre_id AND p.person_id = o.trainee_id
	GROUP BY l.attempt_id, p.name
	HAVING count(*) = (SELECT count(*) FROM mine) AND count(*) >= 3
	ORDER BY p.name, l.attempt_id`

// Alike reads what an attempt has in common with those of others; readings are the keys of its brief's readings. It is a reason
// to ask, and proves nothing: people share rigs.
func (s *Store) Alike(ctx context.Context, centre int64, attempt uuid.UUID, readings []string) (Alike, error) {
	r := s.reading(ctx, centre)
	var a Alike
	queue(r, &a.Pictures, picturesAlike, args{"attempt": attempt})
	queue(r, &a.Readings, readingsAlike, args{"attempt": attempt, "items": append([]string{}, readings...)})
	return a, r.send("what is alike")
}
