package store

import (
	"context"

	"github.com/google/uuid"
)

// RegisterMatch says which instrument of the register a row of a list names, by one of its kinds and its serial number.
type RegisterMatch struct {
	Line     int
	Kind     string    // in small letters
	Key      string    // the serial number, as serial numbers are compared
	Register uuid.UUID `db:"register_id"` // zero where there is none
}

// RegisterNames are kinds and serial numbers that a list names, of a row a place for each of its kinds; all three are as long.
type RegisterNames struct {
	Lines          []int
	Kinds, Serials []string
}

// MatchRegistered looks them up, in the order of their lines, and counts the whole register.
func (t *Tx) MatchRegistered(ctx context.Context, n RegisterNames) (matches []RegisterMatch, registered int, err error) {
	r := t.reading(ctx)
	var counted []int
	queue(r, &matches, `
		SELECT i.line, i.kind, serial_key(i.serial) AS key, coalesce(k.register_id, '00000000-0000-0000-0000-000000000000') AS register_id
		FROM unnest(@lines::int[], @kinds::text[], @serials::text[]) AS i (line, kind, serial)
		LEFT JOIN register_kind k ON k.kind = i.kind AND k.serial_key = serial_key(i.serial) ORDER BY i.line, i.kind`,
		args{"lines": n.Lines, "kinds": n.Kinds, "serials": n.Serials})
	queueColumn(r, &counted, `SELECT count(*) FROM register`, args{})
	registered, err = first(counted, "register", r.send("instruments of a list"))
	return matches, registered, err
}

// HoldRegistered reads instruments with their calibrations, those that were struck out among them, in the order in which they
// were done, and holds them until the transaction ends.
func (t *Tx) HoldRegistered(ctx context.Context, ids []uuid.UUID) (list []Registered, calibrations []RegisterEvent, err error) {
	r := t.reading(ctx)
	var held []uuid.UUID
	of := args{"ids": ids}
	queueColumn(r, &held, `SELECT register_id FROM register WHERE register_id = ANY(@ids) ORDER BY register_id FOR UPDATE`, of)
	queue(r, &list, `SELECT `+registerColumns+registerFrom+` WHERE g.register_id = ANY(@ids) ORDER BY g.register_id`, of)
	queue(r, &calibrations, `SELECT `+registerEventColumns+registerEventFrom+` WHERE e.register_id = ANY(@ids) AND e.what = 'calibration'
		ORDER BY e.done_at, e.entered_at, e.event_id`, of)
	return list, calibrations, r.send("instruments of a list")
}

// TakeInstrumentsIn puts instruments into the register and enters calibrations, all in the round trip of the commit.
func (t *Tx) TakeInstrumentsIn(fresh []Registered, calibrations []RegisterEvent, by uuid.UUID) {
	taken := func(int64) error { return nil } // what cannot be is refused by a constraint
	for _, g := range fresh {
		t.later(addRegistered, t.registeredArgs(g, by), taken)
	}
	for _, e := range calibrations {
		t.later(addRegisterEvent, t.registerEventArgs(e, by), taken)
	}
}
