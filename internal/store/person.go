package store

import (
	"context"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
)

// Person is somebody of a centre.
type Person struct {
	Centre       int64     `db:"centre_id"`
	ID           uuid.UUID `db:"person_id"`
	Name         string
	SignInName   string // lower-case, unique among all centres
	Email        string
	PasswordHash string // "" until a password is chosen
	FailedCount  int    // failed sign-ins since the last good one
	FailedAt     time.Time
	DisabledAt   time.Time // zero while the person may sign in
	CreatedAt    time.Time
	// BeforeAlone is how their decisions stood before the award counted; it holds until its day.
	BeforeAlone bool
	BeforeUntil time.Time
	Roles       []account.Role // in alphabetical order
	// Registrations are in order of kind and number. Only Person, People, FindPeople and the sign-in read them.
	Registrations []account.Registration `db:"-"`
}

// Caller is the person as the table of who may do what sees them.
func (p Person) Caller() account.Caller {
	return account.Caller{Centre: p.Centre, Person: p.ID, Name: p.Name, Roles: p.Roles, Registrations: p.Registrations,
		Before: account.Before{Alone: p.BeforeAlone, Until: p.BeforeUntil}}
}

const personColumns = `p.centre_id, p.person_id, p.name, p.sign_in_name, p.email, p.password_hash, p.failed_count,
	coalesce(p.failed_at, '0001-01-01 00:00Z') AS failed_at, coalesce(p.disabled_at, '0001-01-01 00:00Z') AS disabled_at, p.created_at,
	coalesce(p.before_alone, false) AS before_alone, coalesce(p.before_until, '0001-01-01') AS before_until,
	ARRAY(SELECT r.role FROM person_role r WHERE r.centre_id = p.centre_id AND r.person_id = p.person_id ORDER BY r.role) AS roles`

// registration is a person's registration as its row has it.
type registration struct {
	Person uuid.UUID `db:"person_id"`
	account.Registration
}

const registrationColumns = `g.person_id, g.kind, g.number, g.valid_from, g.valid_to`

// Person reads one person.
func (s *Store) Person(ctx context.Context, centre int64, id uuid.UUID) (Person, error) {
	return readPerson(s.reading(ctx, centre), id)
}

// Person reads one person within the transaction.
func (t *Tx) Person(ctx context.Context, id uuid.UUID) (Person, error) {
	return readPerson(t.reading(ctx), id)
}

func readPerson(r *reader, id uuid.UUID) (Person, error) {
	return personWhere(r, `WHERE p.person_id = @person`, `WHERE g.person_id = @person`, args{"person": id})
}

// personWhere reads the one person that the two conditions choose, with their registrations, in one round trip.
func personWhere(r *reader, person, registrations string, a args) (Person, error) {
	var found []Person
	var regs []registration
	queue(r, &found, `SELECT `+personColumns+` FROM person p `+person, a)
	queue(r, &regs, `SELECT `+registrationColumns+` FROM registration g `+registrations+` ORDER BY g.kind, g.number`, a)
	p, err := first(found, "person", r.send("person"))
	for _, g := range regs {
		p.Registrations = append(p.Registrations, g.Registration)
	}
	return p, err
}

// People lists everybody of the centre by name.
func (s *Store) People(ctx context.Context, centre int64) ([]Person, error) {
	r := s.reading(ctx, centre)
	var found []Person
	var regs []registration
	queue(r, &found, `SELECT `+personColumns+` FROM person p ORDER BY p.name, p.person_id`, args{})
	queue(r, &regs, `SELECT `+registrationColumns+` FROM registration g ORDER BY g.person_id, g.kind, g.number`, args{})
	if err := r.send("people"); err != nil {
		return nil, err
	}
	giveRegistrations(found, regs)
	return found, nil
}

// PersonBySignInName finds who signs in with the name (lower-case), in any centre, with one round trip: a function
// that gives ids alone finds the centre, then the centre's own rows are read. Nobody is NotFound.
func (s *Store) PersonBySignInName(ctx context.Context, name string) (Person, error) {
	r := s.outside(ctx)
	r.batch.Queue(`SELECT set_config('app.centre_id', centre_id::text, true) FROM lookup_sign_in($1)`, name)
	return personWhere(r, `WHERE p.sign_in_name = @name`,
		`WHERE g.person_id = (SELECT p.person_id FROM person p WHERE p.sign_in_name = @name)`, args{"name": name})
}

// AddPerson adds a person with their roles and registrations. A sign-in name that somebody has already, in this centre
// or another, is Invalid.
func (t *Tx) AddPerson(ctx context.Context, p Person) error {
	_, err := t.exec(ctx, "add person", `
		INSERT INTO person (centre_id, person_id, name, sign_in_name, email, password_hash, created_at)
		VALUES (@centre, @person, @name, @sign_in_name, @email, @password_hash, @created_at)`,
		args{"centre": t.centre, "person": p.ID, "name": p.Name, "sign_in_name": p.SignInName, "email": p.Email,
			"password_hash": p.PasswordHash, "created_at": p.CreatedAt})
	if err != nil {
		return err
	}
	if err := t.SetRoles(ctx, p.ID, p.Roles); err != nil {
		return err
	}
	return t.SetRegistrations(ctx, p.ID, p.Registrations)
}

// SetRoles gives the person exactly these roles.
func (t *Tx) SetRoles(ctx context.Context, id uuid.UUID, roles []account.Role) error {
	words := make([]string, len(roles))
	for i, r := range roles {
		words[i] = string(r)
	}
	if _, err := t.exec(ctx, "take roles away", `DELETE FROM person_role WHERE person_id = @person AND role <> ALL(@roles)`,
		args{"person": id, "roles": words}); err != nil {
		return err
	}
	_, err := t.exec(ctx, "give roles", `
		INSERT INTO person_role (centre_id, person_id, role) SELECT @centre, @person, unnest(@roles::text[]) ON CONFLICT DO NOTHING`,
		args{"centre": t.centre, "person": id, "roles": words})
	return err
}

// SetRegistrations gives the person exactly these registrations.
func (t *Tx) SetRegistrations(ctx context.Context, id uuid.UUID, regs []account.Registration) error {
	if _, err := t.exec(ctx, "clear registrations", `DELETE FROM registration WHERE person_id = @person`, args{"person": id}); err != nil {
		return err
	}
	n := len(regs)
	kinds, numbers, from, to := make([]string, n), make([]string, n), make([]time.Time, n), make([]time.Time, n)
	for i, g := range regs {
		kinds[i], numbers[i], from[i], to[i] = g.Kind, g.Number, g.ValidFrom, g.ValidTo
	}
	_, err := t.exec(ctx, "add registrations", `
		INSERT INTO registration (centre_id, person_id, kind, number, valid_from, valid_to)
		SELECT @centre, @person, n.* FROM unnest(@kinds::text[], @numbers::text[], @from::date[], @to::date[]) AS n`,
		args{"centre": t.centre, "person": id, "kinds": kinds, "numbers": numbers, "from": from, "to": to})
	return err
}

// SetPassword keeps the password's hash and forgets failed sign-ins. It ends no session: see EndSessions.
func (t *Tx) SetPassword(ctx context.Context, id uuid.UUID, hash string) error {
	return t.person(ctx, "set password", `
		UPDATE person SET password_hash = @hash, failed_count = 0, failed_at = NULL WHERE person_id = @person`,
		args{"person": id, "hash": hash})
}

// Disable keeps the person from signing in from now on and ends their sessions.
func (t *Tx) Disable(ctx context.Context, id uuid.UUID, at time.Time) error {
	if err := t.person(ctx, "disable person", `UPDATE person SET disabled_at = @at WHERE person_id = @person`, args{"person": id, "at": at}); err != nil {
		return err
	}
	_, err := t.EndSessions(ctx, id)
	return err
}

// Enable lets the person sign in again.
func (t *Tx) Enable(ctx context.Context, id uuid.UUID) error {
	return t.person(ctx, "enable person", `UPDATE person SET disabled_at = NULL WHERE person_id = @person`, args{"person": id})
}

// SignInFailed counts a failed sign-in, so that the next may be made to wait longer.
func (t *Tx) SignInFailed(ctx context.Context, id uuid.UUID, at time.Time) error {
	return t.person(ctx, "count a failed sign-in", `
		UPDATE person SET failed_count = failed_count + 1, failed_at = @at WHERE person_id = @person`, args{"person": id, "at": at})
}

// SignedIn forgets failed sign-ins.
func (t *Tx) SignedIn(ctx context.Context, id uuid.UUID) error {
	return t.person(ctx, "note a sign-in", `UPDATE person SET failed_count = 0, failed_at = NULL WHERE person_id = @person`, args{"person": id})
}

// person runs a statement about one person; no row is NotFound.
func (t *Tx) person(ctx context.Context, what, sql string, a args) error {
	return t.mustFind(ctx, "person", what, sql, a)
}

// mustFind runs a statement about one thing; no row is NotFound of that thing.
func (t *Tx) mustFind(ctx context.Context, thing, what, sql string, a args) error {
	n, err := t.exec(ctx, what, sql, a)
	if err == nil && n == 0 {
		return notFound(thing)
	}
	return err
}
