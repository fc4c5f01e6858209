package decision

import (
	"strings"

	"witnessmark/internal/fault"
)

// The outcomes of a question: a note that the trainee is to be asked about a criterion, and the gist of what they said.
const (
	Asked    = "asked"
	Answered = "answered"
)

// OpenQuestion is the note that the trainee is still to be asked about the criterion; nil where there is none.
func OpenQuestion(records []Record, criterion string) *Record {
	if r := Latest(records, KindQuestion, criterion); r != nil && r.Outcome == Asked {
		return r
	}
	return nil
}

// CheckAnswered is a Conflict that names the criteria about which the trainee is still to be asked. A question is no outcome: it
// keeps an attempt from being signed off or sent back.
func CheckAnswered(criteria []string, records []Record) error {
	var open []string
	for _, ref := range criteria {
		if OpenQuestion(records, ref) != nil {
			open = append(open, ref)
		}
	}
	if len(open) == 0 {
		return nil
	}
	return fault.Conflict("The trainee is still to be asked about %s. Ask, and put down the gist of the answer first.", strings.Join(open, ", "))
}
