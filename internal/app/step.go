package app

import (
	"strings"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// onClock is a moment on the clock that people at a centre read, since the marker names steps' times as it gets them; no
// moment stays none.
func onClock(t time.Time) time.Time {
	if t.IsZero() {
		return t
	}
	return t.In(London())
}

// titleOf names what a finding is about: its item, and of a grid the cell.
func titleOf(it *brief.Item, f marking.Finding) string {
	if it.Test == nil {
		return it.Title
	}
	row, check, _ := strings.Cut(f.Part, "/")
	title := it.Title
	for i := range it.Test.Rows {
		if it.Test.Rows[i].Key == row {
			title += ", " + it.Test.State(it.Test.Rows[i].Set)
		}
	}
	for i := range it.Test.Checks {
		if it.Test.Checks[i].Key == check {
			title += ", " + it.Test.Checks[i].Title
		}
	}
	return title
}
