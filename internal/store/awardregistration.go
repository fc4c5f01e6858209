package store

import (
	"context"
	"time"

	"github.com/google/uuid"
)

// AwardRegistration is a trainee's registration with the awarding organisation.
type AwardRegistration struct {
	ID           uuid.UUID `db:"registration_id"`
	Person       uuid.UUID `db:"person_id"`
	Unit         string    `db:"unit_code"` // "" for every unit
	Number       string
	RegisteredOn time.Time // date, included
	EndsOn       time.Time // date, included; zero where it does not end
	EnteredBy    uuid.UUID
	EnteredAt    time.Time
}

// Holds says whether it is for the unit, and in force on the day.
func (r AwardRegistration) Holds(unit string, day time.Time) bool {
	return (r.Unit == "" || r.Unit == unit) && !day.Before(r.RegisteredOn) && (r.EndsOn.IsZero() || !day.After(r.EndsOn))
}

const awardRegistrationColumns = `g.registration_id, g.person_id, g.unit_code, g.number, g.registered_on, coalesce(g.ends_on, '0001-01-01') AS ends_on, g.entered_by, g.entered_at`

const awardRegistrationsOf = `SELECT ` + awardRegistrationColumns + ` FROM award_registration g
	WHERE g.person_id = ANY(@people) AND g.taken_back_at IS NULL ORDER BY g.person_id, g.registered_on, g.registration_id`

// AwardRegistrations holds the registrations of those people with the awarding organisation by person, the earliest first.
// Whoever has none is not in it; what was taken back is left out, what has ended is not.
func (s *Store) AwardRegistrations(ctx context.Context, centre int64, people []uuid.UUID) (map[uuid.UUID][]AwardRegistration, error) {
	return readAwardRegistrations(s.reading(ctx, centre), people)
}

// AwardRegistrations is the same within the transaction.
func (t *Tx) AwardRegistrations(ctx context.Context, people []uuid.UUID) (map[uuid.UUID][]AwardRegistration, error) {
	return readAwardRegistrations(t.reading(ctx), people)
}

func readAwardRegistrations(r *reader, people []uuid.UUID) (map[uuid.UUID][]AwardRegistration, error) {
	rows, err := all[AwardRegistration](r, "registrations", awardRegistrationsOf, args{"people": people})
	if err != nil {
		return nil, err
	}
	out := map[uuid.UUID][]AwardRegistration{}
	for _, g := range rows {
		out[g.Person] = append(out[g.Person], g)
	}
	return out, nil
}

// AddAwardRegistration keeps a registration. The same number for the same person and unit once more is Invalid.
func (t *Tx) AddAwardRegistration(ctx context.Context, g AwardRegistration) error {
	_, err := t.exec(ctx, "add registration", `
		INSERT INTO award_registration (centre_id, registration_id, person_id, unit_code, number, registered_on, ends_on, entered_by, entered_at)
		VALUES (@centre, @id, @person, @unit, @number, @registered_on, @ends_on, @by, @at)`,
		args{"centre": t.centre, "id": g.ID, "person": g.Person, "unit": g.Unit, "number": g.Number, "registered_on": g.RegisteredOn,
			"ends_on": timeOrNull(g.EndsOn), "by": g.EnteredBy, "at": g.EnteredAt})
	return err
}

// EndAwardRegistration gives a registration its last day.
func (t *Tx) EndAwardRegistration(ctx context.Context, id uuid.UUID, on time.Time) error {
	return t.mustFind(ctx, "registration", "end registration", `
		UPDATE award_registration SET ends_on = @on WHERE registration_id = @id AND taken_back_at IS NULL`, args{"id": id, "on": on})
}

// TakeBackAwardRegistration has a registration count no longer, as one that was entered by mistake.
func (t *Tx) TakeBackAwardRegistration(ctx context.Context, id, by uuid.UUID, at time.Time) error {
	return t.mustFind(ctx, "registration", "take a registration back", `
		UPDATE award_registration SET taken_back_by = @by, taken_back_at = @at WHERE registration_id = @id AND taken_back_at IS NULL`,
		args{"id": id, "by": by, "at": at})
}
