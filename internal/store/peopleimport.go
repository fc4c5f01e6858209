package store

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"witnessmark/internal/account"
)

// PeopleRow is one row of a list of people to be taken in. The ids are used where the row brings something new.
type PeopleRow struct {
	Line             int
	Person           uuid.UUID
	Name, SignInName string
	Email            string // "" leaves what is there
	Roles            []string
	Cohort           string // by name; "" for none
	Part             Part   // in the cohort
	Registration     uuid.UUID
	Number           string // of the registration with the awarding organisation; "" for none
	RegisteredOn     time.Time
}

// KnownPerson is somebody of the centre whom a row of the list names by the sign-in name.
type KnownPerson struct {
	Line  int
	Name  string
	Email string
	Roles []account.Role
}

// StagePeople copies a list into a temporary table of the transaction and says which of its rows name somebody who is there
// already, in the order of their lines. Once in a transaction.
func (t *Tx) StagePeople(ctx context.Context, rows []PeopleRow) ([]KnownPerson, error) {
	if _, err := t.exec(ctx, "make room for a list", `
		CREATE TEMPORARY TABLE people_list (line int, person_id uuid, name text, sign_in_name text, email text, roles text[], cohort text, part text,
			registration_id uuid, number text, registered_on date) ON COMMIT DROP`, args{}); err != nil {
		return nil, err
	}
	columns := []string{"line", "person_id", "name", "sign_in_name", "email", "roles", "cohort", "part", "registration_id", "number", "registered_on"}
	_, err := t.conn.Conn().CopyFrom(ctx, pgx.Identifier{"people_list"}, columns, pgx.CopyFromSlice(len(rows), func(i int) ([]any, error) {
		r := &rows[i]
		return []any{r.Line, r.Person, r.Name, r.SignInName, r.Email, r.Roles, r.Cohort, string(r.Part), r.Registration, r.Number, timeOrNull(r.RegisteredOn)}, nil
	}))
	if err != nil {
		return nil, fmt.Errorf("copy a list of people: %w", err)
	}
	return all[KnownPerson](t.reading(ctx), "people of a list", `
		SELECT i.line, p.name, p.email, ARRAY(SELECT r.role FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id ORDER BY r.role) AS roles
		FROM people_list i JOIN person p ON p.sign_in_name = i.sign_in_name ORDER BY i.line`, args{})
}

// TakenIn is what taking a list in changed.
type TakenIn struct {
	People, Changed, Roles, Members, Registrations int64
	Cohorts                                        []string // opened, by name
	Elsewhere                                      []int    // lines whose sign-in name somebody at another centre has; nothing else was then done
	OtherPart                                      []int    // lines of who has the other part in their cohort; nothing else was then done
}

// TakePeopleIn takes in what was staged: who is new, names and addresses that changed, roles that lack, cohorts, who belongs to
// them, and registrations that are not there yet. Nothing is ever taken away, so that the same list once more changes nothing.
func (t *Tx) TakePeopleIn(ctx context.Context, by uuid.UUID, at time.Time, newID func() (uuid.UUID, error)) (in TakenIn, err error) {
	if in.People, err = t.exec(ctx, "add people", `
		INSERT INTO person (centre_id, person_id, name, sign_in_name, email, created_at)
		SELECT @centre, i.person_id, i.name, i.sign_in_name, i.email, @at FROM people_list i
		WHERE NOT EXISTS (SELECT FROM person p WHERE p.sign_in_name = i.sign_in_name) ORDER BY i.line
		ON CONFLICT (sign_in_name) DO NOTHING`, args{"centre": t.centre, "at": at}); err != nil {
		return in, err
	}
	r := t.reading(ctx)
	queueColumn(r, &in.Elsewhere, `
		SELECT i.line FROM people_list i WHERE NOT EXISTS (SELECT FROM person p WHERE p.sign_in_name = i.sign_in_name) ORDER BY i.line`, args{})
	if err = r.send("people of a list"); err != nil || len(in.Elsewhere) > 0 {
		return in, err
	}
	r = t.reading(ctx)
	queueColumn(r, &in.OtherPart, `
		SELECT i.line FROM people_list i JOIN person p ON p.sign_in_name = i.sign_in_name JOIN cohort c ON c.name = i.cohort
		JOIN cohort_member m ON m.centre_id = c.centre_id AND m.cohort_id = c.cohort_id AND m.person_id = p.person_id
		WHERE m.part <> i.part ORDER BY i.line`, args{})
	if err = r.send("parts of a list"); err != nil || len(in.OtherPart) > 0 {
		return in, err
	}
	if err = t.openCohorts(ctx, &in, at, newID); err != nil {
		return in, err
	}
	for _, step := range []struct {
		what string
		rows *int64
		sql  string
		args args
	}{
		{"change people", &in.Changed, `
			UPDATE person p SET name = i.name, email = CASE i.email WHEN '' THEN p.email ELSE i.email END FROM people_list i
			WHERE p.sign_in_name = i.sign_in_name AND (p.name <> i.name OR i.email <> '' AND p.email <> i.email)`, args{}},
		{"give roles", &in.Roles, `
			INSERT INTO person_role (centre_id, person_id, role) SELECT @centre, p.person_id, unnest(i.roles)
			FROM people_list i JOIN person p ON p.sign_in_name = i.sign_in_name ON CONFLICT DO NOTHING`, args{"centre": t.centre}},
		{"add members", &in.Members, `
			INSERT INTO cohort_member (centre_id, cohort_id, person_id, part) SELECT @centre, c.cohort_id, p.person_id, i.part
			FROM people_list i JOIN person p ON p.sign_in_name = i.sign_in_name JOIN cohort c ON c.name = i.cohort
			ON CONFLICT (centre_id, cohort_id, person_id, part) DO NOTHING`, args{"centre": t.centre}},
		{"add registrations", &in.Registrations, `
			INSERT INTO award_registration (centre_id, registration_id, person_id, unit_code, number, registered_on, entered_by, entered_at)
			SELECT @centre, i.registration_id, p.person_id, '', i.number, i.registered_on, @by, @at
			FROM people_list i JOIN person p ON p.sign_in_name = i.sign_in_name WHERE i.number <> ''
			ON CONFLICT (centre_id, person_id, unit_code, number) WHERE taken_back_at IS NULL DO NOTHING`, args{"centre": t.centre, "by": by, "at": at}},
	} {
		if *step.rows, err = t.exec(ctx, step.what, step.sql, step.args); err != nil {
			return in, err
		}
	}
	return in, nil
}

// openCohorts opens the cohorts that the list names and the centre does not have.
func (t *Tx) openCohorts(ctx context.Context, in *TakenIn, at time.Time, newID func() (uuid.UUID, error)) error {
	r := t.reading(ctx)
	queueColumn(r, &in.Cohorts, `
		SELECT DISTINCT i.cohort FROM people_list i WHERE i.cohort <> '' AND NOT EXISTS (SELECT FROM cohort c WHERE c.name = i.cohort) ORDER BY 1`, args{})
	if err := r.send("cohorts of a list"); err != nil {
		return err
	}
	for _, name := range in.Cohorts {
		id, err := newID()
		if err != nil {
			return err
		}
		if err := t.AddCohort(ctx, id, name, at); err != nil {
			return err
		}
	}
	return nil
}
