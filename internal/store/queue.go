package store

import (
	"context"

	"github.com/google/uuid"
)

// NextUp is the attempt that a tutor goes on to, and how many wait in all.
type NextUp struct {
	Attempt     uuid.UUID `db:"attempt_id"`
	TraineeName string
	Title       string
	Waiting     int // attempts to be judged or signed off, this one among them
}

// toJudge is what waits for a tutor once the marker has been.
const toJudge = `
	FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.part = 'tutor' AND m.person_id = @tutor
	WHERE a.state IN ('checked', 'decided')`

// queueNext asks for what comes after an attempt in the order of waiting; after the last the first comes again. No row comes
// where nothing else waits.
func queueNext(r *reader, dst *[]NextUp, tutor, after uuid.UUID) {
	queue(r, dst, `
		WITH waits AS (SELECT a.attempt_id, a.handed_over_at, a.trainee_id, t.brief_id, t.version, count(*) OVER () AS waiting, a.centre_id`+toJudge+`),
		here AS (SELECT handed_over_at, attempt_id FROM attempt WHERE attempt_id = @after)
		SELECT w.attempt_id, p.name AS trainee_name, v.title, w.waiting
		FROM waits w
		LEFT JOIN here h ON true
		JOIN person p ON p.centre_id = w.centre_id AND p.person_id = w.trainee_id
		JOIN brief_version v ON v.centre_id = w.centre_id AND v.brief_id = w.brief_id AND v.version = w.version
		WHERE w.attempt_id <> @after
		ORDER BY coalesce((w.handed_over_at, w.attempt_id) <= (h.handed_over_at, h.attempt_id), false), w.handed_over_at, w.attempt_id
		LIMIT 1`, args{"tutor": tutor, "after": after})
}

// NextWaiting is the attempt that the tutor goes on to after another one, and their stock remarks; the zero NextUp where
// nothing else waits.
func (s *Store) NextWaiting(ctx context.Context, centre int64, tutor, after uuid.UUID) (NextUp, []string, error) {
	r := s.reading(ctx, centre)
	var next []NextUp
	var remarks []string
	queueNext(r, &next, tutor, after)
	queueRemarks(r, &remarks, tutor)
	err := r.send("the next attempt")
	if err != nil || len(next) == 0 {
		return NextUp{}, remarks, err
	}
	return next[0], remarks, nil
}

// queueRemarks asks for a tutor's stock remarks in their order.
func queueRemarks(r *reader, dst *[]string, tutor uuid.UUID) {
	queueColumn(r, dst, `SELECT u.remark FROM stock_remark s, unnest(s.remarks) WITH ORDINALITY AS u (remark, n) WHERE s.person_id = @tutor ORDER BY u.n`,
		args{"tutor": tutor})
}

// StockRemarks lists a tutor's stock remarks in their order.
func (s *Store) StockRemarks(ctx context.Context, centre int64, tutor uuid.UUID) ([]string, error) {
	r := s.reading(ctx, centre)
	var remarks []string
	queueRemarks(r, &remarks, tutor)
	return remarks, r.send("stock remarks")
}

// KeepStockRemarks puts a tutor's stock remarks in place of those they had.
func (t *Tx) KeepStockRemarks(ctx context.Context, tutor uuid.UUID, remarks []string) error {
	_, err := t.exec(ctx, "keep stock remarks", `
		INSERT INTO stock_remark (centre_id, person_id, remarks) VALUES (@centre, @tutor, @remarks)
		ON CONFLICT (centre_id, person_id) DO UPDATE SET remarks = EXCLUDED.remarks`,
		args{"centre": t.centre, "tutor": tutor, "remarks": append([]string{}, remarks...)})
	return err
}
