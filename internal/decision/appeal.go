package decision

import (
	"strings"

	"witnessmark/internal/fault"
)

// The outcomes of an appeal. Where it is upheld, what was not yet met is decided afresh by somebody who had no part in it; where
// it is rejected the attempt is back where it was.
const (
	Upheld   = "upheld"
	Rejected = "rejected"
)

// CheckAppeal refuses an appeal without words, and a second one against the same sending back.
func CheckAppeal(records []Record, words string) error {
	if strings.TrimSpace(words) == "" {
		return fault.Invalid("words", "Say what you think was judged wrongly, and why. A few plain sentences are enough.")
	}
	if n := sentBack(records); n >= 0 && Latest(records[n:], KindAppeal, "") != nil {
		return fault.Conflict("Your appeal against this was heard before. Talk to your tutor, or to the centre manager.")
	}
	return nil
}

// sentBack is the place of the last record that sent the attempt back; -1 where none did.
func sentBack(records []Record) int {
	at := -1
	for i, r := range records {
		if r.Kind == KindMoreToDo {
			at = i
		}
	}
	return at
}

// CheckHearing refuses whoever had part in what the appeal is against, and an outcome that is none or has no reason.
func CheckHearing(part bool, outcome, words string) error {
	switch {
	case part:
		return fault.Forbidden("You had part in what this appeal is against, so somebody else hears it.")
	case outcome != Upheld && outcome != Rejected:
		return fault.Invalid("outcome", "Choose whether the appeal is upheld or rejected.")
	case strings.TrimSpace(words) == "":
		return fault.Invalid("words", "Say why, so that the trainee can follow it.")
	}
	return nil
}

// Afresh says whether an attempt is being decided afresh after an appeal, and gives the records of what was decided before.
func Afresh(records []Record) (before []Record, ok bool) {
	for i, r := range records {
		switch {
		case r.Kind == KindAppealOutcome && r.Outcome == Upheld:
			before, ok = records[:i], true
		case r.Kind == KindMoreToDo || r.Kind == KindSignOff:
			before, ok = nil, false
		}
	}
	return before, ok
}

// Reopened lists the criteria that were not yet met, in their order: those that an upheld appeal opens again.
func Reopened(criteria []string, records []Record) []string {
	var refs []string
	for _, ref := range criteria {
		if r := Judged(records, ref); r != nil && r.Outcome != string(Met) {
			refs = append(refs, ref)
		}
	}
	return refs
}
