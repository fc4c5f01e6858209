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

// Registration is an occupational registration or approval that work of a kind calls for.
type Registration struct {
	Kind      string // "gas", "electrical", "unvented"
	Number    string
	ValidFrom time.Time // date, included
	ValidTo   time.Time // date, included
}

// Caller is the person on whose behalf something is done.
type Caller struct {
	Centre        int64
	Person        uuid.UUID
	Name          string
	Roles         []Role
	Registrations []Registration
	Countersigned bool // their decisions wait for a countersignature
}

// Has says whether the caller has the role.
func (c Caller) Has(r Role) bool { return slices.Contains(c.Roles, r) }

// Registered says whether the caller has a registration or approval of the kind that is in date on the day of at.
func (c Caller) Registered(kind string, at time.Time) bool {
	return slices.ContainsFunc(c.Registrations, func(g Registration) bool {
		return g.Kind == kind && !at.Before(g.ValidFrom) && at.Before(g.ValidTo.AddDate(0, 0, 1))
	})
}
