package store

import (
	"context"
	"time"

	"github.com/google/uuid"
	"github.com/riverqueue/river"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// RemarkState says how far a correction has come.
type RemarkState string

// The states of a correction.
const (
	RemarkMarking RemarkState = "marking" // attempts are being marked again; nothing counts yet
	RemarkStopped RemarkState = "stopped" // by a person, and can go on
	RemarkMarked  RemarkState = "marked"  // the report is whole and waits for somebody's word
	RemarkTaking  RemarkState = "taking"  // it is taking effect, attempt by attempt
	RemarkTaken   RemarkState = "taken"
	RemarkDropped RemarkState = "dropped" // it never counts
)

// Remark is a correction: a published version of a brief applied to the attempts of an earlier one.
type Remark struct {
	ID        uuid.UUID `db:"remark_id"`
	Brief     uuid.UUID `db:"brief_id"`
	Key       string    // of the brief
	Title     string    // of the correcting version
	From      int       `db:"from_version"`
	To        int       `db:"to_version"`
	Words     string    // why
	By        uuid.UUID
	ByName    string
	At        time.Time
	State     RemarkState
	Total     int // attempts to be marked again
	Done      int // of them, by the rows that there are
	Settled   uuid.UUID
	SettledBy string    // who let it take effect, or dropped it; "" before
	SettledAt time.Time // zero before
	SettledAs string    `db:"settled_role"` // in which role
	Took      int       // attempts on which it has taken effect
	Taking    int       // attempts on which it has yet to, were it to: neither signed off nor closed
}

// remarkable says of an attempt a at a task t that its work is held against a version, @brief and @version: as it was set, or
// since a correction m took effect on it.
const remarkable = ` FROM attempt a
	JOIN task t ON t.centre_id = a.centre_id AND t.task_id = a.task_id
	LEFT JOIN remark m ON m.centre_id = a.centre_id AND m.remark_id = a.corrected_by `

const heldAgainst = ` t.brief_id = w.brief_id AND coalesce(m.to_version, t.version) = w.from_version `

// liveStates are the states in which a correction takes effect: neither signed off nor closed otherwise.
const liveStates = `('planned', 'open', 'handed_over', 'checked', 'decided', 'safety_stop', 'suspended')`

// markedStates are those in which an attempt that was marked is marked again, if only to say how it would have come out.
const markedStates = `('checked', 'decided', 'more_to_do', 'signed_off', 'cleared', 'claimed', 'archived', 'under_appeal')`

const remarkColumns = `w.remark_id, w.brief_id, b.key, v.title, w.from_version, w.to_version, w.words, w.asked_by AS by, p.name AS by_name, w.asked_at AS at, w.state, w.total,
	(SELECT count(*) FROM remark_result x WHERE x.centre_id = w.centre_id AND x.remark_id = w.remark_id) AS done,
	coalesce(w.settled_by, '00000000-0000-0000-0000-000000000000') AS settled, coalesce(s.name, '') AS settled_by,
	coalesce(w.settled_at, '0001-01-01 00:00Z') AS settled_at, w.settled_role,
	(SELECT count(*) FROM attempt a WHERE a.centre_id = w.centre_id AND a.corrected_by = w.remark_id) AS took,
	(SELECT count(*)` + remarkable + `WHERE a.centre_id = w.centre_id AND` + heldAgainst + `AND a.state IN ` + liveStates + `) AS taking`

// remarkHead is remarkColumns without the counts, which read every attempt of the brief.
const remarkHead = `w.remark_id, w.brief_id, b.key, v.title, w.from_version, w.to_version, w.words, w.asked_by AS by, p.name AS by_name, w.asked_at AS at, w.state, w.total,
	0 AS done, coalesce(w.settled_by, '00000000-0000-0000-0000-000000000000') AS settled, coalesce(s.name, '') AS settled_by,
	coalesce(w.settled_at, '0001-01-01 00:00Z') AS settled_at, w.settled_role, 0 AS took, 0 AS taking`

const remarkFrom = ` FROM remark w
	JOIN brief b ON b.centre_id = w.centre_id AND b.brief_id = w.brief_id
	JOIN brief_version v ON v.centre_id = w.centre_id AND v.brief_id = w.brief_id AND v.version = w.to_version
	JOIN person p ON p.centre_id = w.centre_id AND p.person_id = w.asked_by
	LEFT JOIN person s ON s.centre_id = w.centre_id AND s.person_id = w.settled_by `

// Remark reads one correction with its progress, counted in the rows that there are.
func (s *Store) Remark(ctx context.Context, centre int64, id uuid.UUID) (Remark, error) {
	return one[Remark](s.reading(ctx, centre), "correction", `SELECT `+remarkColumns+remarkFrom+` WHERE w.remark_id = @remark`, args{"remark": id})
}

// RemarkHead reads one correction without its counts, Done, Took and Taking.
func (s *Store) RemarkHead(ctx context.Context, centre int64, id uuid.UUID) (Remark, error) {
	return one[Remark](s.reading(ctx, centre), "correction", `SELECT `+remarkHead+remarkFrom+` WHERE w.remark_id = @remark`, args{"remark": id})
}

// Remarks lists the corrections of a brief, the newest first.
func (s *Store) Remarks(ctx context.Context, centre int64, brief uuid.UUID) ([]Remark, error) {
	return all[Remark](s.reading(ctx, centre), "corrections", `
		SELECT `+remarkColumns+remarkFrom+` WHERE w.brief_id = @brief ORDER BY w.asked_at DESC, w.remark_id`, args{"brief": brief})
}

// AddRemark keeps a correction with how many attempts it is to mark again, and asks for that. Of w are read ID, Brief, From, To,
// Words, By and At. Where another correction of the version is under way it is Conflict.
func (t *Tx) AddRemark(ctx context.Context, w Remark) error {
	_, err := t.exec(ctx, "add correction", `
		INSERT INTO remark (centre_id, remark_id, brief_id, from_version, to_version, words, asked_by, asked_at, state, total)
		SELECT @centre, @remark, @brief, @from, @to, @words, @by, @at, 'marking', (
			SELECT count(*)`+remarkable+`
			JOIN (SELECT @brief::uuid AS brief_id, @from::int AS from_version) w ON`+heldAgainst+`
			WHERE a.state IN `+markedStates+` AND EXISTS (SELECT FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id))`,
		args{"centre": t.centre, "remark": w.ID, "brief": w.Brief, "from": w.From, "to": w.To, "words": w.Words, "by": w.By, "at": w.At})
	if err != nil {
		return err
	}
	return t.EnqueueRemark(ctx, w.ID)
}

// MoveRemark moves a correction from one state to another. Where it is not in that state it is Conflict.
func (t *Tx) MoveRemark(ctx context.Context, id uuid.UUID, from, to RemarkState) error {
	n, err := t.exec(ctx, "move correction", `UPDATE remark SET state = @to WHERE remark_id = @remark AND state = @from`,
		args{"remark": id, "from": string(from), "to": string(to)})
	if err == nil && n == 0 {
		return fault.Conflict("This correction has moved on since you opened the page. Load it again to see where it stands.")
	}
	return err
}

// SettleRemark keeps who said that a correction takes effect, or that it is dropped, and in which role.
func (t *Tx) SettleRemark(ctx context.Context, id, by uuid.UUID, role string, at time.Time) error {
	_, err := t.exec(ctx, "settle correction", `UPDATE remark SET settled_by = @by, settled_role = @role, settled_at = @at WHERE remark_id = @remark`,
		args{"remark": id, "by": by, "role": role, "at": at})
	return err
}

// EndRemarking says that every attempt is marked again, which are as many as there are rows. A correction that was stopped stays stopped.
func (t *Tx) EndRemarking(ctx context.Context, id uuid.UUID) error {
	_, err := t.exec(ctx, "end correction", `
		UPDATE remark w SET state = 'marked', total = (SELECT count(*) FROM remark_result x WHERE x.centre_id = w.centre_id AND x.remark_id = w.remark_id)
		WHERE w.remark_id = @remark AND w.state = 'marking'`, args{"remark": id})
	return err
}

// HoldRemark keeps a correction in the state until the transaction ends; false where it is in another.
func (t *Tx) HoldRemark(ctx context.Context, id uuid.UUID, state RemarkState) (bool, error) {
	rows, err := all[struct{}](t.reading(ctx), "correction", `SELECT FROM remark WHERE remark_id = @remark AND state = @state FOR SHARE`,
		args{"remark": id, "state": string(state)})
	return len(rows) == 1, err
}

// RemarkLeft lists the attempts that a correction has yet to mark again, in the order of their ids.
func (s *Store) RemarkLeft(ctx context.Context, centre int64, id uuid.UUID) ([]uuid.UUID, error) {
	r := s.reading(ctx, centre)
	var ids []uuid.UUID
	queueColumn(r, &ids, `
		SELECT a.attempt_id`+remarkable+`
		JOIN remark w ON w.centre_id = a.centre_id AND w.remark_id = @remark
		WHERE`+heldAgainst+`AND a.state IN `+markedStates+`
		AND EXISTS (SELECT FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id)
		AND NOT EXISTS (SELECT FROM remark_result x WHERE x.centre_id = a.centre_id AND x.remark_id = w.remark_id AND x.attempt_id = a.attempt_id)
		ORDER BY a.attempt_id`, args{"remark": id})
	return ids, r.send("attempts")
}

// RemarkArgs asks for a correction to go on: marking again, or taking effect.
type RemarkArgs struct {
	Centre int64     `json:"centre"`
	Remark uuid.UUID `json:"remark"`
}

// Kind names the job in the queue.
func (RemarkArgs) Kind() string { return "remark" }

// InsertOpts lets the next job be asked for while this one ends.
func (RemarkArgs) InsertOpts() river.InsertOpts { return river.InsertOpts{} }

// EnqueueRemark asks, within the transaction, for a correction to go on.
func (t *Tx) EnqueueRemark(ctx context.Context, id uuid.UUID) error {
	return t.enqueue(ctx, RemarkArgs{Centre: t.centre, Remark: id})
}

// Corrected is an attempt on which a correction takes effect.
type Corrected struct {
	Attempt    uuid.UUID `db:"attempt_id"`
	Trainee    uuid.UUID `db:"trainee_id"`
	Same       bool      // it stands as it stood when it was marked again, so that the result holds
	Marked     bool      // it has a result, if an older one
	Supersedes uuid.UUID // the record of the correction before; zero where there is none
}

const correctedColumns = `a.attempt_id, a.trainee_id, coalesce(x.revision = a.revision AND x.result IS NOT NULL, false) AS same,
			EXISTS (SELECT FROM marking k WHERE k.centre_id = a.centre_id AND k.attempt_id = a.attempt_id) AS marked,
			coalesce((SELECT r.record_id FROM record r WHERE r.centre_id = a.centre_id AND r.attempt_id = a.attempt_id AND r.kind = @kind
				ORDER BY r.seq DESC LIMIT 1), '00000000-0000-0000-0000-000000000000') AS supersedes`

// PassedBy finds the newest correction that takes effect, or did since a moment, and passed a held attempt by since it was withdrawn; nil
// where there is none. It keeps each that might be one as it is until the transaction ends, so that none passes it by after this.
func (t *Tx) PassedBy(ctx context.Context, attempt uuid.UUID, since time.Time) (Remark, *Corrected, error) {
	r, a := t.reading(ctx), args{"attempt": attempt}
	var locked []uuid.UUID
	var ws []Remark
	var held []Corrected
	queueColumn(r, &locked, `SELECT w.remark_id`+remarkable+`JOIN remark w ON w.centre_id = a.centre_id
		WHERE a.attempt_id = @attempt AND w.brief_id = t.brief_id AND w.state <> 'dropped' ORDER BY w.remark_id FOR SHARE OF w`, a)
	queue(r, &ws, `SELECT `+remarkHead+remarkFrom+` WHERE w.state IN ('taking', 'taken') AND w.settled_at >= @since
		AND EXISTS (SELECT`+remarkable+`WHERE`+heldAgainst+`AND a.centre_id = w.centre_id AND a.attempt_id = @attempt) ORDER BY w.settled_at DESC, w.remark_id LIMIT 1`, args{"attempt": attempt, "since": since})
	queue(r, &held, `SELECT `+correctedColumns+` FROM attempt a LEFT JOIN remark_result x ON false WHERE a.attempt_id = @attempt`, args{"attempt": attempt, "kind": string(decision.KindCorrected)})
	if err := r.send("corrections"); err != nil || len(ws) == 0 {
		return Remark{}, nil, err
	}
	return ws[0], &held[0], nil
}

// LockCorrected holds the attempts on which a correction has yet to take effect, at most so many, in the order of their ids.
func (t *Tx) LockCorrected(ctx context.Context, id uuid.UUID, most int) ([]Corrected, error) {
	return all[Corrected](t.reading(ctx), "attempts", `
		SELECT `+correctedColumns+remarkable+`
		JOIN remark w ON w.centre_id = a.centre_id AND w.remark_id = @remark
		LEFT JOIN remark_result x ON x.centre_id = a.centre_id AND x.remark_id = w.remark_id AND x.attempt_id = a.attempt_id
		WHERE`+heldAgainst+`AND a.state IN `+liveStates+`
		ORDER BY a.attempt_id LIMIT @most FOR UPDATE OF a`, args{"remark": id, "most": most, "kind": string(decision.KindCorrected)})
}

// Correct lets a correction take effect on held attempts, each with its record: the results of those that stand as they stood are
// added to the earlier ones, the others that were marked are to be marked again by a job. Revisions rise, so that open pages are stale.
func (t *Tx) Correct(ctx context.Context, id uuid.UUID, at time.Time, held []Corrected, records []decision.Record) error {
	var all, same, anew []uuid.UUID
	for _, c := range held {
		all = append(all, c.Attempt)
		switch {
		case c.Same:
			same = append(same, c.Attempt)
		case c.Marked:
			anew = append(anew, c.Attempt)
		}
	}
	for _, r := range records {
		if err := t.AppendRecord(ctx, r); err != nil {
			return err
		}
	}
	if _, err := t.exec(ctx, "correct attempts", `UPDATE attempt SET corrected_by = @remark, revision = revision + 1 WHERE attempt_id = ANY(@ids)`,
		args{"remark": id, "ids": all}); err != nil {
		return err
	}
	for _, a := range anew {
		if err := t.EnqueueMark(ctx, a); err != nil {
			return err
		}
	}
	// The id follows from what is kept, so that a second time has no effect.
	_, err := t.exec(ctx, "add corrected markings", `
		INSERT INTO marking (centre_id, marking_id, attempt_id, at, engine, brief_digest, result)
		SELECT x.centre_id, md5(x.remark_id::text || x.attempt_id::text)::uuid, x.attempt_id, @at, x.result ->> 'engine', x.result ->> 'brief_digest', x.result
		FROM remark_result x WHERE x.remark_id = @remark AND x.attempt_id = ANY(@ids)
		ORDER BY x.attempt_id ON CONFLICT (centre_id, marking_id) DO NOTHING`, args{"remark": id, "ids": same, "at": at})
	return err
}
