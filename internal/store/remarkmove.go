package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/decision"
)

// PastSheet is an attempt that was marked, with what the marker looks at and the result that holds, as JSON.
type PastSheet struct {
	JobSheet // of it Attempt, without tutors, Entries and Records, of which those that the marker or a decision on a criterion is about
	Result   []byte
}

type pastAttempt struct {
	ID           uuid.UUID `db:"attempt_id"`
	Revision     int
	Given        map[string]string
	HandedOverAt time.Time
}

// PastSheets reads attempts that were marked, within the transaction, in the order of ids.
func (t *Tx) PastSheets(ctx context.Context, ids []uuid.UUID) ([]PastSheet, error) {
	r, a := t.reading(ctx), args{"ids": ids}
	var attempts []pastAttempt
	queue(r, &attempts, `
		SELECT a.attempt_id, a.revision, a.given, coalesce(a.handed_over_at, '0001-01-01 00:00Z') AS handed_over_at
		FROM attempt a WHERE a.attempt_id = ANY(@ids) ORDER BY array_position(@ids::uuid[], a.attempt_id)`, a)
	sheets, at := make([]PastSheet, 0, len(ids)), make(map[uuid.UUID]*PastSheet, len(ids))
	r.batch.Queue(`
		SELECT e.entry_id, e.attempt_id, e.item, e.part, e.phase, e.text, e.unit, e.working, e.captured_at, e.received_at,
			e.offset_ms, e.clock_steady
		FROM entry e WHERE e.attempt_id = ANY(@ids) ORDER BY e.attempt_id, e.seq`, a).Query(func(rows pgx.Rows) error {
		for _, p := range attempts {
			j := PastSheet{JobSheet: JobSheet{Attempt: Attempt{ID: p.ID, Revision: p.Revision, Given: p.Given, HandedOverAt: p.HandedOverAt}}}
			sheets = append(sheets, j)
			at[p.ID] = &sheets[len(sheets)-1]
		}
		var e Entry
		var captured *time.Time
		for rows.Next() {
			if err := rows.Scan(&e.ID, &e.Attempt, &e.Item, &e.Part, &e.Phase, &e.Text, &e.Unit, &e.Working, &captured, &e.ReceivedAt, &e.OffsetMS, &e.Steady); err != nil {
				return err
			}
			e.CapturedAt = time.Time{}
			if captured != nil {
				e.CapturedAt = *captured
			}
			if j, ok := at[e.Attempt]; ok {
				j.Entries = append(j.Entries, e)
			}
		}
		return rows.Err()
	})
	queuePastSeals(r, at, a)
	r.batch.Queue(`SELECT `+recordColumns+` FROM record r WHERE r.attempt_id = ANY(@ids) AND r.kind = ANY(@kinds) ORDER BY r.attempt_id, r.seq`,
		args{"ids": ids, "kinds": []string{string(decision.KindCheckReading), string(decision.KindCriterion), string(decision.KindTakeIn),
			string(decision.KindSignOff), string(decision.KindMoreToDo)}}).Query(func(rows pgx.Rows) error {
		records, err := pgx.CollectRows(rows, pgx.RowToStructByName[decision.Record])
		for _, d := range records {
			if j, ok := at[d.Attempt]; ok {
				j.Records = append(j.Records, d)
			}
		}
		return err
	})
	r.batch.Queue(`SELECT k.attempt_id, k.result FROM unnest(@ids::uuid[]) AS i (id), LATERAL (
			SELECT k.attempt_id, k.result FROM marking k WHERE k.attempt_id = i.id ORDER BY k.seq DESC LIMIT 1) k`, a).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var id uuid.UUID
			var result []byte
			if err := rows.Scan(&id, &result); err != nil {
				return err
			}
			if j, ok := at[id]; ok {
				j.Result = result
			}
		}
		return rows.Err()
	})
	if err := r.send("marked attempts"); err != nil {
		return nil, err
	}
	for i := range sheets {
		sheets[i].set()
		inOrder(sheets[i].Entries)
	}
	return sheets, nil
}

// queuePastSeals reads the sealed lists, of which the digests are not looked at.
func queuePastSeals(r *reader, at map[uuid.UUID]*PastSheet, a args) {
	r.batch.Queue(`
		SELECT s.seal_id, s.attempt_id, s.made_at, s.received_at, s.offset_ms, s.clock_steady,
			ARRAY(SELECT i.listed_id FROM seal_item i WHERE i.centre_id = s.centre_id AND i.attempt_id = s.attempt_id ORDER BY i.listed_id) AS listed
		FROM seal s WHERE s.attempt_id = ANY(@ids)`, a).Query(func(rows pgx.Rows) error {
		for rows.Next() {
			var s sealRow
			if err := rows.Scan(&s.ID, &s.Attempt, &s.MadeAt, &s.ReceivedAt, &s.OffsetMS, &s.Steady, &s.Listed); err != nil {
				return err
			}
			if j, ok := at[s.Attempt]; ok {
				j.Seal = &decision.Seal{ID: s.ID, Made: s.moment(s.MadeAt), ReceivedAt: s.ReceivedAt, Items: make([]decision.Listed, len(s.Listed))}
				for i, id := range s.Listed {
					j.Seal.Items[i].ID = id
				}
			}
		}
		return rows.Err()
	})
}

// Remarked is one attempt marked again.
type Remarked struct {
	Attempt            uuid.UUID
	Revision           int // at which it was looked at
	Shift              string
	WasMarks, NowMarks int
	Lines              []byte   // those that differ, as JSON
	Rests              []string // criteria with a decision that rests on one of them
	Lacking            string   // why it cannot be marked; "" where it is
	Result             []byte   // JSON; nil where it cannot be marked
}

// AddRemarked adds what was marked again, in bulk: copied into a temporary table and from there under the centre's policy, since
// COPY into a table with row-level security is refused. What is there already stays.
func (t *Tx) AddRemarked(ctx context.Context, id uuid.UUID, at time.Time, rows []Remarked) error {
	if _, err := t.exec(ctx, "make room for markings", `
		CREATE TEMPORARY TABLE remarked (attempt_id uuid, revision int, shift text, was_marks int, now_marks int, lines jsonb, rests text[], lacking text, result jsonb)
		ON COMMIT DROP`, args{}); err != nil {
		return err
	}
	columns := []string{"attempt_id", "revision", "shift", "was_marks", "now_marks", "lines", "rests", "lacking", "result"}
	_, err := t.conn.Conn().CopyFrom(ctx, pgx.Identifier{"remarked"}, columns, pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
		r := &rows[i]
		return []any{r.Attempt, r.Revision, r.Shift, r.WasMarks, r.NowMarks, r.Lines, r.Rests, r.Lacking, r.Result}, nil
	}))
	if err != nil {
		return fmt.Errorf("copy markings: %w", err)
	}
	_, err = t.exec(ctx, "add markings", `
		INSERT INTO remark_result (centre_id, remark_id, attempt_id, revision, at, shift, was_marks, now_marks, lines, rests, lacking, result)
		SELECT @centre, @remark, n.attempt_id, n.revision, @at, n.shift, n.was_marks, n.now_marks, n.lines, n.rests, n.lacking, n.result FROM remarked n
		ON CONFLICT (centre_id, remark_id, attempt_id) DO NOTHING`, args{"centre": t.centre, "remark": id, "at": at})
	return err
}
