// Package account knows who people are to a centre and what each may do.
//
// One table (rules.go) says who may do what. The application layer asks it, and nothing else does: neither pages nor the
// API nor SQL repeat it. What a caller may not see is NotFound; what they see but may not do is Forbidden.
package account

import (
	"slices"
	"time"

	"github.com/google/uuid"
)

// Role is what a person is to a centre. One person may have several.
type Role string

// The roles, in the trade's words.
const (
	Trainee          Role = "trainee"
	Tutor            Role = "tutor"
	QualityAssurer   Role = "internal_quality_assurer"
	Manager          Role = "centre_manager"
	ExternalVerifier Role = "external_verifier"
	Technician       Role = "technician"
)

// Roles lists every role in the order in which people are shown.
func Roles() []Role {
	return []Role{Trainee, Tutor, QualityAssurer, Manager, ExternalVerifier, Technician}
}

// Words is the role as people read it; an unknown role reads as it is written.
func (r Role) Words() string {
	switch r {
	case QualityAssurer:
		return "internal quality assurer"
	case Manager:
		return "centre manager"
	case ExternalVerifier:
		return "external verifier"
	}
	return string(r)
}

// Registration is an occupational registration or approval that work of a kind calls for, or the award of whoever judges or
// samples.
type Registration struct {
	Kind      string // one of RegistrationKinds
	Number    string
	ValidFrom time.Time // date, included
	ValidTo   time.Time // date, included; Endless where it does not end
}

// The kinds of an award; the other kinds are those of work.
const (
	AssessorAward = "assessor"
	AssurerAward  = "quality_assurer"
)

// RegistrationKinds lists every kind in the order in which people are shown them.
func RegistrationKinds() []string {
	return []string{"gas", "electrical", "unvented", AssessorAward, AssurerAward}
}

// Endless is the last day of a registration that does not end.
func Endless() time.Time { return time.Date(9999, time.December, 31, 0, 0, 0, 0, time.UTC) }

// Ends says whether the registration has a last day.
func (g Registration) Ends() bool { return !g.ValidTo.Equal(Endless()) }

// heldOn says whether the registration is in date on a day.
func (g Registration) heldOn(day time.Time) bool {
	return !day.Before(g.ValidFrom) && !day.After(g.ValidTo)
}

// KindWords is the registration's kind as people read it.
func (g Registration) KindWords() string {
	switch g.Kind {
	case AssessorAward:
		return "assessor's award"
	case AssurerAward:
		return "quality assurer's award"
	case "unvented":
		return "unvented hot water"
	}
	return g.Kind
}

// Caller is the person on whose behalf something is done.
type Caller struct {
	Centre        int64
	Person        uuid.UUID
	Name          string
	Roles         []Role
	Registrations []Registration
	Before        Before

	// Visit is the verifier's visit under way, zero for everybody else. Nothing but that visit is there for them, whatever
	// they may do otherwise.
	Visit uuid.UUID
}

// Visiting is the caller as the verifier of a visit: with that role alone.
func (c Caller) Visiting(visit uuid.UUID) Caller {
	return Caller{Centre: c.Centre, Person: c.Person, Name: c.Name, Roles: []Role{ExternalVerifier}, Visit: visit}
}

// Has says whether the caller has the role.
func (c Caller) Has(r Role) bool { return slices.Contains(c.Roles, r) }

// Registered says whether the caller has a registration or approval of the kind that is in date on a day: a date, as the store keeps one,
// never a moment, whose day hangs on the clock that is asked.
func (c Caller) Registered(kind string, day time.Time) bool {
	return slices.ContainsFunc(c.Registrations, func(g Registration) bool { return g.Kind == kind && g.heldOn(day) })
}
