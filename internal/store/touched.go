package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// Touched asks which readings were taken with an instrument in a span, at which somebody may look.
type Touched struct {
	Register uuid.UUID
	Event    uuid.UUID // that puts them in question
	From, To time.Time // zero for without a bound; From is included, To is not
	Tutor    uuid.UUID // only attempts of cohorts that they teach; zero for all of the centre's
	Offset   int
	Limit    int // attempts
}

// TouchedAttempt is an attempt with such readings.
type TouchedAttempt struct {
	Attempt    uuid.UUID `db:"attempt_id"`
	Number     int
	State      decision.State
	Trainee    uuid.UUID `db:"trainee_id"`
	Name       string    // the trainee's
	Cohort     string
	Title      string // of the brief
	Brief      uuid.UUID
	Version    int
	Digest     string
	Readings   int
	Outcome    string // of the latest look; "" where nobody has looked
	Words      string
	LookedAt   time.Time
	LookedName string
}

// TouchedReading is one of the readings: of its place in the brief the last that was typed.
type TouchedReading struct {
	Attempt uuid.UUID `db:"attempt_id"`
	Item    string
	Part    string
	Phase   brief.Phase
	Text    string
	Unit    string
	At      time.Time // on the phone, else when it was received
}

// TouchedSum counts them all.
type TouchedSum struct {
	Readings int
	Attempts int
	Waiting  int // attempts at which nobody has looked
}

// TouchedList is one page of what an event puts in question.
type TouchedList struct {
	Sum      TouchedSum
	Attempts []TouchedAttempt // by cohort and name
	Readings []TouchedReading // of those attempts, in the order in which they were taken
	Records  []decision.Record
}

// touchedLines are the readings: what was read in the span with the instrument, where nothing was typed in its place later.
const touchedLines = `
	WITH hand AS (
		SELECT i.attempt_id, array_agg(i.instrument_id) AS ids FROM register_kind k
		JOIN instrument i ON i.centre_id = k.centre_id AND lower(i.kind) = k.kind AND serial_key(i.serial) = k.serial_key
		WHERE k.register_id = @register GROUP BY i.attempt_id
	), line AS (
		SELECT e.attempt_id, e.item, e.part, e.phase, e.text, e.unit, e.at
		FROM (SELECT a.centre_id, a.attempt_id, h.ids FROM hand h JOIN attempt a ON a.attempt_id = h.attempt_id JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
			WHERE (@tutor::uuid IS NULL OR EXISTS (SELECT FROM cohort_member m WHERE m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id AND m.person_id = @tutor AND m.part = 'tutor'))) a
		JOIN LATERAL (
			SELECT DISTINCT ON (x.item, x.part, x.phase) x.attempt_id, x.item, x.part, x.phase, x.text, x.unit, x.instrument_id, coalesce(x.captured_at, x.received_at) AS at
			FROM entry x WHERE x.centre_id = a.centre_id AND x.attempt_id = a.attempt_id AND NOT ` + overtaken + `
			ORDER BY x.item, x.part, x.phase, x.seq DESC) e ON true
		WHERE e.text <> '' AND e.instrument_id = ANY(a.ids)
			AND e.at >= coalesce(@from, '-infinity'::timestamptz) AND e.at < coalesce(@to, 'infinity'::timestamptz)
	)`

// touchedLooks goes on from touchedLines with the latest look at each attempt.
const touchedLooks = touchedLines + `, look AS (
		SELECT DISTINCT ON (l.attempt_id) l.attempt_id, l.outcome, l.words, l.at, p.name FROM register_look l
		JOIN person p ON p.centre_id = l.centre_id AND p.person_id = l.by_id
		WHERE l.event_id = @event ORDER BY l.attempt_id, l.at DESC, l.look_id DESC
	)`

// lines is what touchedLines takes; looks what touchedLooks does.
func (q Touched) lines() args {
	return args{"register": q.Register, "from": timeOrNull(q.From), "to": timeOrNull(q.To), "tutor": uuidOrNull(q.Tutor)}
}

func (q Touched) looks() args {
	a := q.lines()
	a["event"] = q.Event
	return a
}

const touchedSum = touchedLooks + `
	SELECT count(*) AS readings, count(DISTINCT l.attempt_id) AS attempts, count(DISTINCT l.attempt_id) FILTER (WHERE k.outcome IS NULL) AS waiting
	FROM line l LEFT JOIN look k ON k.attempt_id = l.attempt_id`

const touchedAttempts = touchedLooks + `, sum AS (SELECT attempt_id, count(*) AS readings FROM line GROUP BY attempt_id)
	SELECT a.attempt_id, a.number, a.state, a.trainee_id, p.name, c.name AS cohort, v.title, v.brief_id AS brief, v.version, v.digest, n.readings,
		coalesce(k.outcome, '') AS outcome, coalesce(k.words, '') AS words, coalesce(k.at, '0001-01-01 00:00Z') AS looked_at, coalesce(k.name, '') AS looked_name
	FROM sum n LEFT JOIN look k ON k.attempt_id = n.attempt_id, person p, cohort c, brief_version v ` + underVersion + `a.attempt_id = n.attempt_id
		AND p.centre_id = a.centre_id AND p.person_id = a.trainee_id AND c.centre_id = t.centre_id AND c.cohort_id = t.cohort_id
	ORDER BY c.name, p.name, v.title, a.number, a.attempt_id LIMIT @limit OFFSET @offset`

// TouchedSum counts what an event puts in question.
func (s *Store) TouchedSum(ctx context.Context, centre int64, q Touched) (TouchedSum, error) {
	return one[TouchedSum](s.reading(ctx, centre), "sum", touchedSum, q.looks())
}

// Touched reads a page of the attempts with their readings, and with what was decided last of each criterion: two round trips.
func (s *Store) Touched(ctx context.Context, centre int64, q Touched) (TouchedList, error) {
	var l TouchedList
	var sum []TouchedSum
	r, page := s.reading(ctx, centre), q.looks()
	page["limit"], page["offset"] = q.Limit, q.Offset
	queue(r, &sum, touchedSum, q.looks())
	queue(r, &l.Attempts, touchedAttempts, page)
	counted, err := first(sum, "sum", r.send("attempts that are touched"))
	if l.Sum = counted; err != nil || len(l.Attempts) == 0 {
		return l, err
	}
	ids := make([]uuid.UUID, len(l.Attempts))
	for i, a := range l.Attempts {
		ids[i] = a.Attempt
	}
	r, page = s.reading(ctx, centre), q.lines()
	page["ids"] = ids
	queue(r, &l.Readings, touchedLines+` SELECT * FROM line WHERE attempt_id = ANY(@ids) ORDER BY attempt_id, at, item, part, phase`, page)
	queue(r, &l.Records, `SELECT `+recordColumns+` FROM record r WHERE r.attempt_id = ANY(@ids) AND r.kind = 'criterion_decision' AND NOT EXISTS (
		SELECT FROM record n WHERE n.centre_id = r.centre_id AND n.supersedes = r.record_id) ORDER BY r.attempt_id, r.subject, r.seq`, args{"ids": ids})
	return l, r.send("readings that are touched")
}

// Touches says whether an event puts a reading of the attempt in question.
func (t *Tx) Touches(ctx context.Context, q Touched, attempt uuid.UUID) (bool, error) {
	r, a := t.reading(ctx), q.lines()
	var found []bool
	a["attempt"] = attempt
	queueColumn(r, &found, touchedLines+` SELECT EXISTS (SELECT FROM line WHERE attempt_id = @attempt)`, a)
	err := r.send("readings that are touched")
	return len(found) == 1 && found[0], err
}

// LookAtTouched keeps what somebody found of the readings of an attempt that an event puts in question.
func (t *Tx) LookAtTouched(ctx context.Context, id, event, attempt uuid.UUID, outcome, words string, by uuid.UUID, at time.Time) error {
	_, err := t.exec(ctx, "look at readings", `
		INSERT INTO register_look (centre_id, look_id, event_id, attempt_id, outcome, words, by_id, at)
		VALUES (@centre, @look, @event, @attempt, @outcome, @words, @by, @at) ON CONFLICT (centre_id, look_id) DO NOTHING`,
		args{"centre": t.centre, "look": id, "event": event, "attempt": attempt, "outcome": outcome, "words": words, "by": by, "at": at})
	return err
}
