package marking

import "strings"

// Verdicts lists every verdict in the order in which they are explained to people.
func Verdicts() []Verdict {
	return []Verdict{Correct, FollowThrough, Wrong, ToRead, UnitMissing, UnitWrong, NotAttempted, WithinLimit, OutsideLimit, Recorded}
}

// Words is the verdict as people read it; an unknown verdict reads as it is written.
func (v Verdict) Words() string {
	switch v {
	case Correct:
		return "right"
	case FollowThrough:
		return "follow-through"
	case Wrong:
		return "not right yet"
	case ToRead:
		return "tutor to read"
	case UnitMissing:
		return "unit missing"
	case UnitWrong:
		return "unit does not fit"
	case NotAttempted:
		return "not done"
	case WithinLimit:
		return "within limit"
	case OutsideLimit:
		return "outside limit"
	case Recorded:
		return "recorded"
	}
	return string(v)
}

// Full reports whether the verdict leaves nothing to be desired: the line is right, kept or taken down.
func (v Verdict) Full() bool {
	switch v {
	case Correct, FollowThrough, WithinLimit, Recorded:
		return true
	case Wrong, ToRead, UnitMissing, UnitWrong, NotAttempted, OutsideLimit:
		return false
	}
	return false
}

// listed is some words as a sentence lists them: “12.3, 12.4 and 12.5”.
func listed(words []string) string {
	last := len(words) - 1
	if last < 1 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
