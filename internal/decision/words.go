package decision

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
	}
	return string(k)
}
