package sampling

import (
	"maps"
	"slices"

	"witnessmark/internal/fault"
)

// Factor is something that makes an attempt likelier to be drawn.
type Factor string

// The factors (common practice of sampling plans, no source; the times beside them are our own values).
const (
	NewAssessor  Factor = "new_assessor"   // who judged it first judged here less than NewFor ago, or waits for countersignatures
	NewBrief     Factor = "new_brief"      // its version was published less than NewFor ago
	Disagreed    Factor = "disagreed"      // a sampler disagreed with the assessor less than a year ago
	NeverSampled Factor = "never_sampled"  // nothing of the assessor's was sampled in the last year
	Adjusted     Factor = "adjusted"       // something was agreed for this trainee alone
	Overruled    Factor = "overruled"      // the assessor put a verdict in place of the marker's
	SafetyWork   Factor = "safety_work"    // the brief has lines that are safety-critical
	Afresh       Factor = "decided_afresh" // returned by a sampler, or re-opened by an appeal
)

// NewDays is for how many days an assessor or a brief counts as new.
const NewDays = 90

// Factors lists the factors in the order in which they are shown.
func Factors() []Factor {
	return []Factor{SafetyWork, NewAssessor, NewBrief, Disagreed, NeverSampled, Afresh, Overruled, Adjusted}
}

// Words is the factor as people read it.
func (f Factor) Words() string {
	switch f {
	case NewAssessor:
		return "new assessor"
	case NewBrief:
		return "new brief"
	case Disagreed:
		return "disagreed with before"
	case NeverSampled:
		return "assessor not sampled for a year"
	case Adjusted:
		return "adjusted for the trainee"
	case Overruled:
		return "marker overruled"
	case SafetyWork:
		return "safety-critical work"
	case Afresh:
		return "decided afresh"
	}
	return string(f)
}

// Weights is what each factor adds to a risk of one, from 0 to MostWeight. A factor that is not there adds nothing.
type Weights map[Factor]int

// MostWeight is the most that a factor may add.
const MostWeight = 9

// UsualWeights is what a plan starts from (our own values, no source).
func UsualWeights() Weights {
	return Weights{SafetyWork: 2, NewAssessor: 3, NewBrief: 2, Disagreed: 3, NeverSampled: 1, Afresh: 2, Overruled: 1, Adjusted: 1}
}

// Check refuses a weight out of range and a factor that there is not.
func (w Weights) Check() error {
	for _, f := range slices.Sorted(maps.Keys(w)) {
		switch n := w[f]; {
		case !slices.Contains(Factors(), f):
			return fault.Invalid(string(f), "There is no such reason to look closer.")
		case n < 0 || n > MostWeight:
			return fault.Invalid(string(f), "Give it a whole number from 0 to %d.", MostWeight)
		}
	}
	return nil
}

// Risk is one, and what every factor adds.
func (w Weights) Risk(why []Factor) int {
	risk := 1
	for _, f := range why {
		risk += w[f]
	}
	return risk
}
