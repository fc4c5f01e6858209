package decision

import (
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// RoleCountersigned is the role in which a tutor acts whose decisions wait for a countersignature. It is on the record, so that
// what was decided before they were qualified waits on.
const RoleCountersigned = "tutor, to be countersigned"

// Provisional says whether a decision needs somebody qualified to stand behind it.
func (r Record) Provisional() bool { return r.Kind == KindCriterion && r.Role == RoleCountersigned }

// Countersigned is the record by which somebody stands behind the decision; nil where nobody does. A decision that takes its
// place has to be countersigned afresh.
func Countersigned(records []Record, d Record) *Record {
	if r := Latest(records, KindCountersign, d.Subject); r != nil && r.Value == d.ID.String() {
		return r
	}
	return nil
}

// Uncountersigned lists the standing decisions, in the order of the criteria, that wait for a countersignature.
func Uncountersigned(criteria []string, records []Record) []Record {
	var waiting []Record
	for _, ref := range criteria {
		if r := Judged(records, ref); r != nil && r.Provisional() && Countersigned(records, *r) == nil {
			waiting = append(waiting, *r)
		}
	}
	return waiting
}

// CheckCountersigned is a Conflict that names the criteria whose decisions wait for a countersignature.
func CheckCountersigned(criteria []string, records []Record) error {
	var refs []string
	for _, r := range Uncountersigned(criteria, records) {
		refs = append(refs, r.Subject)
	}
	if len(refs) == 0 {
		return nil
	}
	return fault.Conflict("The decisions on %s wait for a countersignature: a qualified tutor of the cohort, or an internal quality assurer, looks at them first.", strings.Join(refs, ", "))
}

// HadPart says whether the person decided, overrode, countersigned, signed off or sent back anything of it: they do not hear an
// appeal against it, nor sample it.
func HadPart(records []Record, person uuid.UUID) bool {
	for _, r := range records {
		switch r.Kind {
		case KindCriterion, KindOverride, KindCountersign, KindSignOff, KindMoreToDo:
			if r.By == person {
				return true
			}
		}
	}
	return false
}
