package store

import (
	"encoding/hex"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5/pgtype"

	"witnessmark/internal/decision"
)

// sealRow is an attempt's sealed list as the database has it, the list by columns.
type sealRow struct {
	ID         uuid.UUID `db:"seal_id"`
	Attempt    uuid.UUID `db:"attempt_id"`
	MadeAt     time.Time
	ReceivedAt time.Time
	Clock
	Listed  []uuid.UUID
	Kinds   []string
	Digests []string
}

// sealColumns ask for every column of the list in one order, that of its ids.
const sealColumns = `s.seal_id, s.attempt_id, s.made_at, s.received_at, s.offset_ms, s.clock_steady, l.listed, l.kinds, l.digests`

const sealFrom = ` FROM seal s, LATERAL (
		SELECT coalesce(array_agg(i.listed_id ORDER BY i.listed_id), '{}') AS listed, coalesce(array_agg(i.kind ORDER BY i.listed_id), '{}') AS kinds,
			coalesce(array_agg(encode(i.digest, 'hex') ORDER BY i.listed_id), '{}') AS digests
		FROM seal_item i WHERE i.centre_id = s.centre_id AND i.attempt_id = s.attempt_id) l `

func (r sealRow) seal() *decision.Seal {
	s := &decision.Seal{ID: r.ID, Made: r.moment(r.MadeAt), ReceivedAt: r.ReceivedAt, Items: make([]decision.Listed, len(r.Listed))}
	for i := range r.Listed {
		s.Items[i] = decision.Listed{ID: r.Listed[i], Kind: decision.SealKind(r.Kinds[i]), Digest: r.Digests[i]}
	}
	return s
}

// moment is something that the phone says was at the time, with what is known of its clock.
func (c Clock) moment(at time.Time) decision.Moment {
	m := decision.Moment{At: at, Steady: c.Steady}
	if c.OffsetMS != nil {
		m.Offset = time.Duration(*c.OffsetMS) * time.Millisecond
	}
	return m
}

// Captured is when an entry was typed.
func (e Entry) Captured() decision.Moment { return e.moment(e.CapturedAt) }

// Captured is when a file was captured, by the phone.
func (e Evidence) Captured() decision.Moment { return e.moment(e.DeviceAt) }

// insertSeal adds the list of one attempt; %s gives the attempt's id as attempt_id, or no row.
const insertSeal = `
		INSERT INTO seal (centre_id, attempt_id, seal_id, made_at, offset_ms, clock_steady, received_at)
		SELECT @centre, m.attempt_id, @seal, @made_at, @seal_offset, @seal_steady, @at FROM %[1]s AS m
	), listed AS (
		INSERT INTO seal_item (centre_id, attempt_id, listed_id, kind, digest)
		SELECT @centre, m.attempt_id, n.id, n.kind, n.digest
		FROM %[1]s AS m, unnest(@listed::uuid[], @kinds::text[], @digests::bytea[]) AS n (id, kind, digest)`

// withSeal adds to a statement's arguments what insertSeal takes.
func (a args) withSeal(s decision.Seal) (args, error) {
	n := len(s.Items)
	ids, kinds, digests := make(pgtype.FlatArray[uuid.UUID], n), make([]string, n), make(pgtype.FlatArray[[]byte], n)
	for i, it := range s.Items {
		raw, err := hex.DecodeString(it.Digest)
		if err != nil {
			return nil, fmt.Errorf("keep a sealed list: %w", err)
		}
		ids[i], kinds[i], digests[i] = it.ID, string(it.Kind), raw
	}
	a["listed"], a["kinds"], a["digests"] = ids, kinds, digests
	a["seal"], a["made_at"], a["seal_steady"] = s.ID, s.Made.At, s.Made.Steady
	a["seal_offset"] = s.Made.Offset.Milliseconds()
	return a, nil
}

// set leaves in the sheet's entries and evidence what belongs to the set, and puts what is held back beside it.
func (j *JobSheet) set() {
	if j.Seal == nil && decision.Latest(j.Records, decision.KindSuspend, "") == nil && decision.Latest(j.Records, decision.KindLeave, "") == nil {
		return
	}
	closed := j.closed()
	here := make(map[uuid.UUID]bool, len(j.Entries)+len(j.Evidence))
	entries, evidence := j.Entries[:0:0], j.Evidence[:0:0]
	for _, e := range j.Entries {
		here[e.ID] = true
		if j.Seal.Holds(e.ID, e.ReceivedAt, closed, j.Records) || decision.HeldWhileFrozen(j.Seal, e.ID, e.ReceivedAt, j.Records) {
			j.Held.Entries = append(j.Held.Entries, e)
		} else {
			entries = append(entries, e)
		}
	}
	for _, e := range j.Evidence {
		here[e.ID] = true
		if j.Seal.Holds(e.ID, e.ReceivedAt, closed, j.Records) || decision.HeldWhileFrozen(j.Seal, e.ID, e.ReceivedAt, j.Records) {
			j.Held.Evidence = append(j.Held.Evidence, e)
		} else {
			evidence = append(evidence, e)
		}
	}
	j.Entries, j.Evidence = entries, evidence
	j.Awaited = j.Seal.Awaited(func(id uuid.UUID) bool { return here[id] })
}

// closed is when the attempt was judged to its end; zero before.
func (j *JobSheet) closed() time.Time {
	var at time.Time
	for _, k := range []decision.Kind{decision.KindSignOff, decision.KindMoreToDo} {
		if r := decision.Latest(j.Records, k, ""); r != nil {
			at = r.At
		}
	}
	return at
}
