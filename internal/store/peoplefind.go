package store

import (
	"context"

	"github.com/google/uuid"
)

// PeopleSearch asks for one page of the centre's people.
type PeopleSearch struct {
	Words  []string  // small letters; each stands in the name, the sign-in name or the address. None for everybody
	Cohort uuid.UUID // who belongs to it; zero for any
	Unit   string    // who is registered for it by its code, or belongs to a cohort that works on it; "" for any
	Offset int
	Limit  int
}

// PeopleFound is such a page, and what may be searched by.
type PeopleFound struct {
	People  []Person // by name
	All     int      // how many fit, on every page
	Cohorts []Titled // by name
	Units   []Titled // by code
}

// Titled is what has a name beside the key by which it is found.
type Titled struct{ Key, Title string }

// peopleWhere says who fits. The cohorts that work on a unit are those with a task of a brief that covers it.
const peopleWhere = ` FROM person p
	WHERE NOT EXISTS (SELECT FROM unnest(@words::text[]) w WHERE strpos(lower(p.name || ' ' || p.sign_in_name || ' ' || p.email), w) = 0)
		AND (@cohort::uuid IS NULL OR p.person_id IN (SELECT m.person_id FROM cohort_member m WHERE m.cohort_id = @cohort))
		AND (@unit = '' OR p.person_id IN (
			SELECT g.person_id FROM award_registration g WHERE g.unit_code = @unit AND g.taken_back_at IS NULL
			UNION ALL SELECT m.person_id FROM brief_version v
			JOIN task t ON t.centre_id = v.centre_id AND t.brief_id = v.brief_id AND t.version = v.version
			JOIN cohort_member m ON m.centre_id = t.centre_id AND m.cohort_id = t.cohort_id WHERE @unit = ANY(v.units)))`

const peoplePage = peopleWhere + ` ORDER BY p.name, p.person_id LIMIT @limit OFFSET @offset`

// FindPeople reads a page of the people who fit, with their registrations.
func (s *Store) FindPeople(ctx context.Context, centre int64, q PeopleSearch) (PeopleFound, error) {
	who := args{"words": q.Words, "cohort": uuidOrNull(q.Cohort), "unit": q.Unit}
	page := args{"words": q.Words, "cohort": uuidOrNull(q.Cohort), "unit": q.Unit, "limit": q.Limit, "offset": q.Offset}
	var f PeopleFound
	var all []int
	var regs []registration
	r := s.reading(ctx, centre)
	queueColumn(r, &all, `SELECT count(*)`+peopleWhere, who)
	queue(r, &f.People, `SELECT `+personColumns+peoplePage, page)
	queue(r, &regs, `SELECT `+registrationColumns+` FROM registration g WHERE g.person_id IN (SELECT p.person_id`+peoplePage+`) ORDER BY g.person_id, g.kind, g.number`, page)
	queue(r, &f.Cohorts, `SELECT c.cohort_id::text AS key, c.name AS title FROM cohort c ORDER BY c.name, c.cohort_id`, args{})
	queue(r, &f.Units, `SELECT u.unit_code AS key, u.title FROM qualification_unit u ORDER BY u.unit_code`, args{})
	err := r.send("people")
	f.All, err = first(all, "people", err)
	giveRegistrations(f.People, regs)
	return f, err
}

// giveRegistrations puts registrations to whom they belong, in their order.
func giveRegistrations(people []Person, regs []registration) {
	at := make(map[uuid.UUID]int, len(people))
	for i, p := range people {
		at[p.ID] = i
	}
	for _, g := range regs {
		if i, ok := at[g.Person]; ok {
			people[i].Registrations = append(people[i].Registrations, g.Registration)
		}
	}
}
