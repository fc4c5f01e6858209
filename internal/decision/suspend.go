package decision

import (
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// CheckSuspended is a Conflict where the attempt is frozen: nothing is written to it until that is lifted.
func CheckSuspended(s State) error {
	if s == Suspended {
		return fault.Conflict("This attempt is suspended: nothing is written to it until that is lifted. What a phone still sends is kept, and held back.")
	}
	return nil
}

// BeforeSuspension is the state in which the attempt was when it was suspended; a Conflict where it is not suspended.
func BeforeSuspension(s State, records []Record) (State, error) {
	r := Latest(records, KindSuspend, "")
	if s != Suspended || r == nil {
		return s, fault.Conflict("This attempt is %s, not suspended. Load the page again to see what changed.", s.Words())
	}
	return State(r.Value), nil
}

// HeldWhileFrozen says whether something is held back because it came while the attempt was suspended, or withdrawn since its trainee
// left: nobody has taken it in since, and it is not on a list that was sealed before.
func HeldWhileFrozen(seal *Seal, id uuid.UUID, received time.Time, records []Record) bool {
	var since time.Time // zero while it is neither
	held := false
	for _, r := range records {
		switch {
		case r.Kind == KindSuspend || r.Kind == KindLeave:
			since = r.At
		case r.Kind == KindResume || r.Kind == KindSetAside || r.Kind == KindReturn:
			held = held || during(received, since, r.At)
			since = time.Time{}
		case r.Kind == KindTakeIn && r.Subject == id.String():
			return false
		}
	}
	held = held || during(received, since, received.Add(1))
	if held && seal != nil && seal.ReceivedAt.Before(received) {
		if _, listed := seal.Find(id); listed {
			return false
		}
	}
	return held
}

// during says whether at lies from since, where there is one, to until.
func during(at, since, until time.Time) bool {
	return !since.IsZero() && !at.Before(since) && at.Before(until)
}
