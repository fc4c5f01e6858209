package store

import (
	"context"
	"encoding/json"
	"fmt"
	"time"

	"github.com/google/uuid"
)

// Unit is one edition of a qualification unit with its learning outcomes, in order.
type Unit struct {
	Code      string `db:"unit_code"`
	Edition   string
	Title     string
	ValidFrom time.Time // the first day on which it is in force; the zero time where it has been for ever
	ValidTo   time.Time // the last such day where it names one, else zero
	Outcomes  []Outcome `db:"-"`
	EnteredBy uuid.UUID // zero where whoever keeps the program brought it
	EnteredAt time.Time
}

// Outcome is a learning outcome with its assessment criteria, in order.
type Outcome struct {
	Code     string      `json:"code"`
	Title    string      `json:"title"`
	Criteria []Criterion `json:"criteria"`
}

// Criterion is an assessment criterion with its range statements.
type Criterion struct {
	Code  string   `json:"code"`
	Text  string   `json:"text"`
	Range []string `json:"range,omitempty"`
}

// unitRow is an edition as its row has it.
type unitRow struct {
	Unit
	Text []byte
}

const unitColumns = `e.unit_code, e.edition, e.title, e.valid_from, coalesce(e.valid_to, '0001-01-01') AS valid_to,
	coalesce(e.entered_by, '00000000-0000-0000-0000-000000000000') AS entered_by, e.entered_at, e.outcomes AS text`

// unitInForce orders a unit's editions with the one in force on @day first: the newest that has begun by then, or else the first to come.
const unitInForce = ` ORDER BY e.unit_code, e.valid_from > @day, CASE WHEN e.valid_from <= @day THEN -(e.valid_from - DATE '0001-01-01') ELSE e.valid_from - DATE '0001-01-01' END`

// UnitsOn lists the centre's qualification units by code, each in the edition in force on the day; one that has yet to come into
// force is given in its first.
func (s *Store) UnitsOn(ctx context.Context, centre int64, day time.Time) ([]Unit, error) {
	return readUnits(s.reading(ctx, centre), `SELECT DISTINCT ON (e.unit_code) `+unitColumns+` FROM unit_edition e`+unitInForce, args{"day": day})
}

// UnitOn reads one qualification unit in the edition in force on the day.
func (s *Store) UnitOn(ctx context.Context, centre int64, code string, day time.Time) (Unit, error) {
	units, err := readUnits(s.reading(ctx, centre), `SELECT DISTINCT ON (e.unit_code) `+unitColumns+` FROM unit_edition e WHERE e.unit_code = @unit`+unitInForce,
		args{"unit": code, "day": day})
	return first(units, "qualification unit", err)
}

// UnitEditions lists every edition of every unit, by code, the newest first.
func (s *Store) UnitEditions(ctx context.Context, centre int64) ([]Unit, error) {
	return readUnits(s.reading(ctx, centre), `SELECT `+unitColumns+` FROM unit_edition e ORDER BY e.unit_code, e.valid_from DESC`, args{})
}

func readUnits(r *reader, sql string, a args) ([]Unit, error) {
	rows, err := all[unitRow](r, "qualification units", sql, a)
	if err != nil {
		return nil, err
	}
	units := make([]Unit, len(rows))
	for i, row := range rows {
		if err := json.Unmarshal(row.Text, &row.Outcomes); err != nil {
			return nil, fmt.Errorf("read unit %s, edition %s: %w", row.Code, row.Edition, err)
		}
		units[i] = row.Unit
	}
	return units, nil
}

// SaveUnit keeps a new edition; the unit itself comes with its first. An edition of that name or with that first day, which
// the unit has already, is Invalid: what was entered stays.
func (t *Tx) SaveUnit(ctx context.Context, u Unit) error {
	if u.Outcomes == nil {
		u.Outcomes = []Outcome{}
	}
	text, err := json.Marshal(u.Outcomes)
	if err != nil {
		return fmt.Errorf("write the text of unit %s: %w", u.Code, err)
	}
	if _, err := t.exec(ctx, "add unit", `
		INSERT INTO qualification_unit (centre_id, unit_code, title, edition) VALUES (@centre, @unit, @title, @edition)
		ON CONFLICT (centre_id, unit_code) DO UPDATE SET title = excluded.title, edition = excluded.edition
		WHERE NOT EXISTS (SELECT FROM unit_edition e WHERE e.unit_code = @unit AND e.valid_from > @valid_from)`,
		args{"centre": t.centre, "unit": u.Code, "title": u.Title, "edition": u.Edition, "valid_from": u.ValidFrom}); err != nil {
		return err
	}
	_, err = t.exec(ctx, "add unit edition", `
		INSERT INTO unit_edition (centre_id, unit_code, edition, title, valid_from, valid_to, outcomes, entered_by, entered_at)
		VALUES (@centre, @unit, @edition, @title, @valid_from, @valid_to, @outcomes, @by, coalesce(@at, now()))`,
		args{"centre": t.centre, "unit": u.Code, "edition": u.Edition, "title": u.Title, "valid_from": u.ValidFrom, "valid_to": timeOrNull(u.ValidTo),
			"outcomes": text, "by": uuidOrNull(u.EnteredBy), "at": timeOrNull(u.EnteredAt)})
	return err
}

// LockUnit holds a unit until the transaction ends and gives the first day of its newest edition.
func (t *Tx) LockUnit(ctx context.Context, code string) (time.Time, error) {
	if err := t.mustFind(ctx, "qualification unit", "lock unit", `SELECT FROM qualification_unit WHERE unit_code = @unit FOR UPDATE`, args{"unit": code}); err != nil {
		return time.Time{}, err
	}
	r := t.reading(ctx)
	var days []time.Time
	queueColumn(r, &days, `SELECT e.valid_from FROM unit_edition e WHERE e.unit_code = @unit ORDER BY e.valid_from DESC LIMIT 1`, args{"unit": code})
	return first(days, "edition", r.send("edition"))
}
