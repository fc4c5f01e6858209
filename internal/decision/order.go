package decision

import (
	"fmt"
	"time"
)

// Moment is when something happened by a phone's clock, and how far that clock can be trusted.
type Moment struct {
	At     time.Time // by the phone; zero where it is not known
	Offset time.Duration
	// Steady says that Offset, by how much the server's clock is ahead of the phone's, was the same when the thing happened.
	Steady bool
}

// True is the moment by the server's clock; ok is false where the phone's cannot be trusted.
func (m Moment) True() (at time.Time, ok bool) {
	if m.At.IsZero() || !m.Steady {
		return time.Time{}, false
	}
	return m.At.Add(m.Offset), true
}

// ClockSlack is how far two readings of a phone's offset may differ and still be of the same clock: a slow request, not a
// clock that was set (our own value).
const ClockSlack = 2 * time.Minute

// Overtaken says whether the clocks prove that something was captured before another, whichever came first. On one clock
// that is its own order; two are only compared beyond what a slow request adds to an offset.
func (m Moment) Overtaken(by Moment) bool {
	at, ok := m.True()
	other, known := by.True()
	if !ok || !known {
		return false
	}
	if (m.Offset - by.Offset).Abs() <= ClockSlack {
		return m.At.Before(by.At)
	}
	return at.Add(ClockSlack).Before(other)
}

// Order says whether evidence was captured before the hold point that it stands behind was released.
type Order string

// The orders; "" stands for evidence with no hold point before it.
const (
	Before    Order = "before"
	After     Order = "after"
	NotProved Order = "not_proved" // the phone's clock is not known well enough, or was set meanwhile: never "broken"
)

// Words is the order as people read it, beside the evidence; "" where there is nothing to say. of is the number of the stage whose hold
// point is meant, where that is an earlier one than the evidence's own; 0 else.
func (o Order) Words(of int) string {
	stage := ""
	if of > 0 {
		stage = fmt.Sprintf(" of stage %d", of)
	}
	switch o {
	case Before:
		return "before release" + stage
	case NotProved:
		return "after release" + stage + ": not proved"
	}
	return ""
}

// OrderOf puts evidence and a release in their order. What was received before the release was captured before it; after
// that the phone's clock says, where it can be trusted. released is zero while the hold point stands.
func OrderOf(captured Moment, received, released time.Time) Order {
	if released.IsZero() || received.Before(released) {
		return Before
	}
	at, ok := captured.True()
	switch {
	case !ok:
		return NotProved
	case at.Before(released):
		return Before
	}
	return After
}

// Best is the order that says more for a thing: after, then not proved, then before. "" says nothing yet.
func Best(a, b Order) Order {
	for _, o := range []Order{After, NotProved, Before} {
		if a == o || b == o {
			return o
		}
	}
	return ""
}

// ReleasedAt is the moment of a release: on the spot where it was given there, else when it was recorded. Zero for none.
func ReleasedAt(r *Record) time.Time {
	if r == nil {
		return time.Time{}
	}
	if at, err := time.Parse(time.RFC3339Nano, r.Value); err == nil && r.Outcome == ReleasedOnTheSpot {
		return at
	}
	return r.At
}
