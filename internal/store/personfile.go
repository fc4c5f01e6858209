package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
)

// PersonFile is what is kept of a person's standing at the centre.
type PersonFile struct {
	Person
	Awards  []AwardRegistration // with the awarding organisation, the earliest first
	Cohorts []PersonCohort      // by name
	Left    []Withdrawal        // from cohorts, the first first
	Leaving []Leavable          // cohorts that they can be withdrawn from, by name
}

// PersonCohort is a cohort that a person belongs to.
type PersonCohort struct {
	ID   uuid.UUID `db:"cohort_id"`
	Name string
	Part Part
}

// PersonFile reads a person with their registrations and cohorts.
func (s *Store) PersonFile(ctx context.Context, centre int64, id uuid.UUID) (PersonFile, error) {
	var f PersonFile
	r, a := s.reading(ctx, centre), args{"person": id}
	queue(r, &f.Awards, awardRegistrationsOf, args{"people": []uuid.UUID{id}})
	queue(r, &f.Cohorts, `SELECT c.cohort_id, c.name, m.part FROM cohort_member m
		JOIN cohort c ON c.centre_id = m.centre_id AND c.cohort_id = m.cohort_id WHERE m.person_id = @person ORDER BY c.name, c.cohort_id, m.part`, a)
	queue(r, &f.Left, withdrawalsOf, a)
	queue(r, &f.Leaving, leavable, a)
	p, err := readPerson(r, id)
	f.Person = p
	return f, err
}

// AddRegistration keeps a registration, approval or award of a person; one of that kind and number once more is Invalid.
func (t *Tx) AddRegistration(ctx context.Context, person uuid.UUID, g account.Registration) error {
	_, err := t.exec(ctx, "add registration", `
		INSERT INTO registration (centre_id, person_id, kind, number, valid_from, valid_to) VALUES (@centre, @person, @kind, @number, @from, @to)`,
		args{"centre": t.centre, "person": person, "kind": g.Kind, "number": g.Number, "from": g.ValidFrom, "to": g.ValidTo})
	return err
}

// EndRegistration gives a registration its last day, which is not before its first.
func (t *Tx) EndRegistration(ctx context.Context, person uuid.UUID, kind, number string, on time.Time) error {
	return t.mustFind(ctx, "registration", "end registration", `
		UPDATE registration SET valid_to = @on WHERE person_id = @person AND kind = @kind AND number = @number AND valid_from <= @on`,
		args{"person": person, "kind": kind, "number": number, "on": on})
}

// Uninvited lists the members of a cohort who may sign in and have no password yet, by name. A cohort that is not there is NotFound.
func (s *Store) Uninvited(ctx context.Context, centre int64, cohort uuid.UUID) ([]Member, error) {
	r := s.reading(ctx, centre)
	var there []uuid.UUID
	var members []Member
	queueColumn(r, &there, `SELECT c.cohort_id FROM cohort c WHERE c.cohort_id = @cohort`, args{"cohort": cohort})
	queue(r, &members, `SELECT DISTINCT ON (p.name, m.person_id) `+memberColumns+memberFrom+`
		WHERE m.cohort_id = @cohort AND p.password_hash = '' AND p.disabled_at IS NULL AND NOT `+memberLeft+` ORDER BY p.name, m.person_id, m.part`, args{"cohort": cohort})
	_, err := first(there, "cohort", r.send("cohort"))
	return members, err
}
