package app

import (
	"errors"

	"witnessmark/internal/fault"
	"witnessmark/internal/table"
)

// A list is taken in as it was shown: its plan has a digest, which whoever takes it in gives back.

// errShown ends a transaction that was only meant to show what it would do.
var errShown = errors.New("shown")

// errOtherwise refuses a list that would by now change something else than somebody was shown.
var errOtherwise = fault.Conflict("What this list would change is not what was shown. Look at it again.")

// asShown refuses a plan that is not the one that somebody was shown; both by their digests.
func asShown(plan, shown string) error {
	if plan != shown {
		return errOtherwise
	}
	return nil
}

// mended refuses a list with problems by the first of them; trouble of another kind comes first.
func mended(problems []table.Problem, err error) error {
	if err == nil && len(problems) > 0 {
		return fault.Invalid("list", "%s", problems[0].Message)
	}
	return err
}
