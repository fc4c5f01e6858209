package decision

import (
	"strings"

	"witnessmark/internal/marking"
)

// Words is what a record of the kind tells, as people read it at the head of a line.
func (k Kind) Words() string {
	switch k {
	case KindHoldRelease:
		return "hold point released"
	case KindCheckReading:
		return "check reading"
	case KindCriterion:
		return "decision"
	case KindOverride:
		return "line judged"
	case KindSignOff:
		return "sign-off"
	case KindMoreToDo:
		return "more to do"
	case KindSafetyStop:
		return "stopped for safety"
	case KindClearStop:
		return "safety stop cleared"
	case KindWithdraw:
		return "original withdrawn"
	case KindTakeIn:
		return "taken in"
	case KindGoOnWithout:
		return "gone on without"
	case KindMarkAgain:
		return "marked again"
	case KindOral:
		return "asked aloud"
	case KindObservation:
		return "observation"
	case KindAdjustment:
		return "agreed beforehand"
	case KindOneMore:
		return "one more attempt"
	case KindQuestion:
		return "question to the trainee"
	case KindCountersign:
		return "countersignature"
	case KindAcknowledge:
		return "feedback read"
	case KindAppeal:
		return "appeal"
	case KindAppealOutcome:
		return "appeal heard"
	case KindCorrected:
		return "put under a corrected brief"
	case KindSample:
		return "sampled"
	case KindClear:
		return "cleared for claim"
	case KindSuspend:
		return "suspended"
	case KindResume:
		return "suspension lifted"
	case KindSetAside:
		return "set aside"
	case KindLeave:
		return "withdrawn"
	case KindReturn:
		return "withdrawal taken back"
	}
	return string(k) // claimed, archived, destroyed
}

// Result is a record's outcome as people read it; "" where its kind says it.
func (r Record) Result() string {
	switch r.Kind {
	case KindCriterion:
		return Outcome(r.Outcome).Words()
	case KindOverride:
		return marking.Verdict(r.Outcome).Words()
	case KindObservation:
		return Observed(r.Outcome).Words()
	case KindOral:
		return Heard(r.Outcome).Words()
	case KindAdjustment:
		return Adjusted(r.Outcome).Words()
	case KindMarkAgain:
		return "edition " + r.Outcome
	case KindHoldRelease, KindSignOff, KindMoreToDo, KindSafetyStop, KindClearStop, KindCountersign, KindAppeal, KindAcknowledge, KindOneMore, KindWithdraw, KindTakeIn, KindGoOnWithout, KindLeave, KindReturn:
		return ""
	}
	return r.Outcome
}

// RoleWords is the role in which the person acted, as people read it.
func (r Record) RoleWords() string { return strings.ReplaceAll(r.Role, "_", " ") }
