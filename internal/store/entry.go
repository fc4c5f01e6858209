package store

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgtype"

	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// Entry is one thing that was typed, with its times. Entries are appended: of the same item, part and phase the latest
// counts (see inOrder).
type Entry struct {
	ID      uuid.UUID `db:"entry_id"` // made where it was typed
	Attempt uuid.UUID `db:"attempt_id"`
	marking.Entry
	Note       string    // what was done in between, who helped
	CapturedAt time.Time // on the phone; zero where unknown
	ReceivedAt time.Time
	Clock
	Instrument uuid.UUID `db:"instrument_id"` // read with; zero where none was named
	By         uuid.UUID `db:"by_id"`
	ByName     string    // only read
}

const entryColumns = `e.entry_id, e.attempt_id, e.item, e.part, e.phase, e.text, e.unit, e.working, e.note,
	coalesce(e.captured_at, '0001-01-01 00:00Z') AS captured_at, e.received_at, e.offset_ms, e.clock_steady,
	coalesce(e.instrument_id, '00000000-0000-0000-0000-000000000000') AS instrument_id, e.by_id, b.name AS by_name`

// overtaken is Moment.Overtaken in the database, with its ClockSlack: of the entry x by one of its item, part and phase that
// came before it.
const overtaken = `EXISTS (SELECT FROM entry o WHERE o.centre_id = x.centre_id AND o.attempt_id = x.attempt_id AND o.item = x.item
	AND o.part = x.part AND o.phase = x.phase AND o.seq < x.seq AND o.clock_steady AND x.clock_steady
	AND CASE WHEN abs(o.offset_ms - x.offset_ms) <= 120000 THEN x.captured_at < o.captured_at
		ELSE x.captured_at + (x.offset_ms + 120000) * interval '1 millisecond' < o.captured_at + o.offset_ms * interval '1 millisecond' END)`

const entryFrom = ` FROM entry e JOIN person b ON b.centre_id = e.centre_id AND b.person_id = e.by_id `

// insertEntries adds the entries of one attempt in one statement; %s gives the attempt's id as attempt_id, or no row. An
// entry that is there already stays as it is.
const insertEntries = `
	INSERT INTO entry (centre_id, entry_id, attempt_id, item, part, phase, text, unit, working, note, captured_at, received_at, offset_ms, clock_steady, instrument_id, by_id)
	SELECT @centre, n.id, m.attempt_id, n.item, n.part, n.phase, n.text, n.unit, n.working, n.note, n.captured_at, n.received_at, n.offset_ms, n.clock_steady, n.instrument_id, n.by_id
	FROM %s AS m, unnest(@ids::uuid[], @items::text[], @parts::text[], @phases::text[], @texts::text[], @units::text[], @workings::text[],
		@notes::text[], @captured::timestamptz[], @received::timestamptz[], @offsets::bigint[], @steady::boolean[],
		@instruments::uuid[], @by::uuid[]) WITH ORDINALITY
		AS n (id, item, part, phase, text, unit, working, note, captured_at, received_at, offset_ms, clock_steady, instrument_id, by_id, position)
	ORDER BY n.position
	ON CONFLICT (centre_id, entry_id) DO NOTHING`

// entryArgs is entries by column, as UNNEST takes them. A FlatArray is a slice that pgx need not look into by reflection.
func entryArgs(centre int64, entries []Entry) args {
	n := len(entries)
	ids, by := make(pgtype.FlatArray[uuid.UUID], n), make(pgtype.FlatArray[uuid.UUID], n)
	var text [7][]string
	for i := range text {
		text[i] = make([]string, n)
	}
	captured, received := make(pgtype.FlatArray[pgtype.Timestamptz], n), make([]time.Time, n)
	offsets, steady, instruments := make(pgtype.FlatArray[pgtype.Int8], n), make([]bool, n), make(pgtype.FlatArray[pgtype.UUID], n)
	for i, e := range entries {
		ids[i], by[i], received[i] = e.ID, e.By, e.ReceivedAt
		captured[i] = pgtype.Timestamptz{Time: e.CapturedAt, Valid: !e.CapturedAt.IsZero()}
		steady[i], instruments[i] = e.Steady, pgtype.UUID{Bytes: e.Instrument, Valid: e.Instrument != uuid.Nil}
		if e.OffsetMS != nil {
			offsets[i] = pgtype.Int8{Int64: *e.OffsetMS, Valid: true}
		}
		for k, v := range [7]string{e.Item, e.Part, string(e.Phase), e.Text, e.Unit, e.Working, e.Note} {
			text[k][i] = v
		}
	}
	return args{"centre": centre, "ids": ids, "items": text[0], "parts": text[1], "phases": text[2], "texts": text[3], "units": text[4],
		"workings": text[5], "notes": text[6], "captured": captured, "received": received,
		"offsets": offsets, "steady": steady, "instruments": instruments, "by": by}
}

// AddEntries appends entries to the attempt, in their order, and says how many were new: one with an id that is there
// already has no effect. It does not ask for the attempt's state: lock and ask first.
func (t *Tx) AddEntries(ctx context.Context, attempt uuid.UUID, entries []Entry) (int, error) {
	a := entryArgs(t.centre, entries)
	a["attempt"] = attempt
	n, err := t.exec(ctx, "add entries", addEntries, a)
	return int(n), err
}

var (
	addEntries = fmt.Sprintf(insertEntries, `(SELECT @attempt::uuid AS attempt_id)`)
	handOver   = `
	WITH moved AS (
		UPDATE attempt SET state = 'handed_over', revision = revision + 1, handed_over_at = @at, declaration = @declaration
		WHERE attempt_id = @attempt AND trainee_id = @trainee AND state = 'open' RETURNING attempt_id
	), kept AS (` + fmt.Sprintf(insertEntries, `moved`) + `
	), sealed AS (` + fmt.Sprintf(insertSeal, `moved`) + `
	), job AS (` + fmt.Sprintf(insertMark, `(SELECT attempt_id FROM moved WHERE @complete::boolean)`) + `)
	SELECT FROM moved`
)

// HandOver is a trainee's work as it is handed over.
type HandOver struct {
	Attempt     uuid.UUID
	Trainee     uuid.UUID
	At          time.Time
	Declaration string  // the words that the trainee agreed to
	Entries     []Entry // those not sent before; sent before does no harm
	Seal        decision.Seal
	Awaiting    int // things on the sealed list that have not come yet, so that it is not marked
}

// HandOver moves an open attempt to handed over, keeps its entries and the sealed list, and asks for it to be marked: one
// transaction of the centre and one statement, in one round trip. The same hand-over sent twice is fine. An attempt in another state is
// Conflict and keeps nothing; somebody else's attempt is NotFound.
func (s *Store) HandOver(ctx context.Context, centre int64, h HandOver) error {
	err := s.Write(ctx, centre, func(t *Tx) error {
		return t.HandOver(h)
	})
	if errors.Is(err, errNotMoved) {
		return s.Write(ctx, centre, func(t *Tx) error { return t.notMoved(ctx, h) })
	}
	return err
}

// errNotMoved says that an attempt was not there, not open, or not the trainee's to hand over: nothing was written.
var errNotMoved = errors.New("the attempt was not handed over")

// HandOver is Store.HandOver within a transaction that holds the attempt (LockWork) and found it open and the trainee's. It
// is sent with the commit.
func (t *Tx) HandOver(h HandOver) error {
	a, err := entryArgs(t.centre, h.Entries).withMark(t.centre).withSeal(h.Seal)
	if err != nil {
		return err
	}
	a["attempt"], a["trainee"], a["at"], a["declaration"], a["complete"] = h.Attempt, h.Trainee, h.At, h.Declaration, h.Awaiting == 0
	t.later(handOver, a, func(moved int64) error {
		if moved != 1 {
			return errNotMoved
		}
		return nil
	})
	return nil
}

// notMoved finds out why an attempt was not handed over. It is no trouble where it was handed over before with all that
// is sent now: the answer to the first sending got lost.
func (t *Tx) notMoved(ctx context.Context, h HandOver) error {
	now, err := t.LockAttempt(ctx, h.Attempt)
	if err != nil {
		return err
	}
	if now.Trainee != h.Trainee {
		return notFound("attempt")
	}
	r := t.reading(ctx)
	var kept []int
	ids := make([]uuid.UUID, len(h.Entries))
	for i, e := range h.Entries {
		ids[i] = e.ID
	}
	queueColumn(r, &kept, `SELECT count(*) FROM entry WHERE attempt_id = @attempt AND entry_id = ANY(@ids)`, args{"attempt": h.Attempt, "ids": ids})
	if err := r.send("entries"); err != nil {
		return err
	}
	if !now.HandedOverAt.IsZero() && kept[0] == len(h.Entries) {
		return nil
	}
	if _, err := decision.Next(now.State, decision.EventHandOver); err != nil {
		return err
	}
	return fault.Conflict("This attempt changed while you were handing it over. Load the page again and hand it over once more.")
}
