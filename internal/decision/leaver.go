package decision

import (
	"time"

	"witnessmark/internal/fault"
)

// Closes says whether an attempt closes as its trainee is withdrawn. What was signed off or sent back stays as it is. What is suspended
// stays frozen, and closes once that is lifted. An appeal is still heard: leaving takes nobody's right to it away.
func Closes(s State) bool {
	_, err := Next(s, EventWithdraw)
	return err == nil
}

// CheckLeaving refuses a last day that cannot be one: today, or a day before, is.
func CheckLeaving(on, today time.Time) error {
	switch {
	case on.IsZero() || on.Year() < 1950:
		return fault.Invalid("left_on", "Give the last day that they were here.")
	case on.After(today):
		return fault.Invalid("left_on", "That day is still to come. Withdraw them once they have left.")
	}
	return nil
}

// CheckWithdrawn is a Conflict where the attempt was closed because its trainee left: nothing more is decided on it.
func CheckWithdrawn(s State) error {
	if s == Withdrawn {
		return fault.Conflict("This attempt was withdrawn: nothing more is decided on it. What was captured can still be read.")
	}
	return nil
}

// Leaving is the record with which an attempt was closed because its trainee left, while that stands; nil where it was not.
func Leaving(s State, records []Record) *Record {
	var left *Record
	for i := range records {
		switch records[i].Kind {
		case KindLeave:
			left = &records[i]
		case KindReturn:
			left = nil
		}
	}
	if s != Withdrawn {
		return nil
	}
	return left
}

// BeforeLeaving is the state to which an attempt goes back as the withdrawal of its trainee is taken back; ok is false where that did not
// close it.
func BeforeLeaving(s State, records []Record) (before State, ok bool) {
	if r := Leaving(s, records); r != nil {
		return State(r.Value), true
	}
	return s, false
}
