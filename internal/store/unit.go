package store

import (
	"context"
	"slices"
)

// Unit is a qualification unit with its learning outcomes, in order.
type Unit struct {
	Code     string `db:"unit_code"`
	Title    string
	Edition  string
	Outcomes []Outcome `db:"-"`
}

// Outcome is a learning outcome with its assessment criteria, in order.
type Outcome struct {
	Unit     string `db:"unit_code"`
	Code     string
	Title    string
	Criteria []Criterion `db:"-"`
}

// Criterion is an assessment criterion.
type Criterion struct {
	Unit    string `db:"unit_code"`
	Outcome string `db:"outcome_code"`
	Code    string
	Text    string
}

// Units lists the centre's qualification units by code, each with its outcomes and criteria.
func (s *Store) Units(ctx context.Context, centre int64) ([]Unit, error) {
	return readUnits(s.reading(ctx, centre), "", args{})
}

// Unit reads one qualification unit.
func (s *Store) Unit(ctx context.Context, centre int64, code string) (Unit, error) {
	units, err := readUnits(s.reading(ctx, centre), ` WHERE unit_code = @unit`, args{"unit": code})
	return first(units, "qualification unit", err)
}

func readUnits(r *reader, where string, a args) ([]Unit, error) {
	var units []Unit
	var outcomes []Outcome
	var criteria []Criterion
	queue(r, &units, `SELECT unit_code, title, edition FROM qualification_unit`+where+` ORDER BY unit_code`, a)
	queue(r, &outcomes, `SELECT unit_code, code, title FROM learning_outcome`+where+` ORDER BY unit_code, position, code`, a)
	queue(r, &criteria, `SELECT unit_code, outcome_code, code, text FROM criterion`+where+` ORDER BY unit_code, position, code`, a)
	if err := r.send("qualification units"); err != nil {
		return nil, err
	}
	for i := range outcomes {
		for _, c := range criteria {
			if c.Unit == outcomes[i].Unit && c.Outcome == outcomes[i].Code {
				outcomes[i].Criteria = append(outcomes[i].Criteria, c)
			}
		}
		if u := slices.IndexFunc(units, func(u Unit) bool { return u.Code == outcomes[i].Unit }); u >= 0 {
			units[u].Outcomes = append(units[u].Outcomes, outcomes[i])
		}
	}
	return units, nil
}

// SaveUnit keeps the unit as given, with its outcomes and criteria in the order given; what was there under the same
// codes is written over, and nothing is taken away.
func (t *Tx) SaveUnit(ctx context.Context, u Unit) error {
	var oCode, oTitle, cCode, cOutcome, cText []string
	for _, o := range u.Outcomes {
		oCode, oTitle = append(oCode, o.Code), append(oTitle, o.Title)
		for _, c := range o.Criteria {
			cCode, cOutcome, cText = append(cCode, c.Code), append(cOutcome, o.Code), append(cText, c.Text)
		}
	}
	if _, err := t.exec(ctx, "save unit", `
		INSERT INTO qualification_unit (centre_id, unit_code, title, edition) VALUES (@centre, @unit, @title, @edition)
		ON CONFLICT (centre_id, unit_code) DO UPDATE SET title = excluded.title, edition = excluded.edition`,
		args{"centre": t.centre, "unit": u.Code, "title": u.Title, "edition": u.Edition}); err != nil {
		return err
	}
	if _, err := t.exec(ctx, "save outcomes", `
		INSERT INTO learning_outcome (centre_id, unit_code, code, title, position)
		SELECT @centre, @unit, o.code, o.title, o.position
		FROM unnest(@codes::text[], @titles::text[]) WITH ORDINALITY AS o (code, title, position)
		ON CONFLICT (centre_id, unit_code, code) DO UPDATE SET title = excluded.title, position = excluded.position`,
		args{"centre": t.centre, "unit": u.Code, "codes": oCode, "titles": oTitle}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "save criteria", `
		INSERT INTO criterion (centre_id, unit_code, code, outcome_code, text, position)
		SELECT @centre, @unit, c.code, c.outcome, c.text, c.position
		FROM unnest(@codes::text[], @outcomes::text[], @texts::text[]) WITH ORDINALITY AS c (code, outcome, text, position)
		ON CONFLICT (centre_id, unit_code, code) DO UPDATE
		SET outcome_code = excluded.outcome_code, text = excluded.text, position = excluded.position`,
		args{"centre": t.centre, "unit": u.Code, "codes": cCode, "outcomes": cOutcome, "texts": cText})
	return err
}
