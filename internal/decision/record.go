package decision

import (
	"encoding/json"
	"fmt"
	"time"

	"github.com/google/uuid"
	"github.com/gowebpki/jcs"
)

// Kind says what a record records.
type Kind string

// The kinds of record.
const (
	KindHoldRelease  Kind = "hold_release"       // Subject: the stage's key; Outcome released, or ReleasedOnTheSpot with Value the moment there (RFC 3339)
	KindCheckReading Kind = "check_reading"      // Subject: item or item@phase; Value: the tutor's reading, "" where it was seen
	KindCriterion    Kind = "criterion_decision" // Subject: UNIT/code; Outcome met, not_yet_met or TakenBack; Value: the attempt it was carried over from, else ""
	KindOverride     Kind = "override"           // Subject: Line(item, part, phase); Outcome: the verdict put in place
	KindSignOff      Kind = "sign_off"           // Subject: ""
	KindMoreToDo     Kind = "more_to_do"         // Subject: ""; Words: those of More; Value: by when (date)
	KindSafetyStop   Kind = "safety_stop"
	KindClearStop    Kind = "safety_stop_cleared"
	KindWithdraw     Kind = "withdraw"      // Subject: the id of a file whose original is withdrawn
	KindTakeIn       Kind = "take_in"       // Subject: the id of what was held back
	KindGoOnWithout  Kind = "go_on_without" // Subject: ""; Value: how many things of the sealed list were still to arrive
	KindMarkAgain    Kind = "mark_again"    // Subject: the rule set's key; Outcome: the edition that the marker was put under; Value: the one before
	KindCorrected    Kind = "corrected"     // Subject: the brief's key; Outcome: the version that it is held against from now on; Value: the one before

	KindObservation   Kind = "observation"   // Subject: the item or stage watched; Outcome: see Observed; Value: how long, "" where it was not timed
	KindOral          Kind = "oral_question" // Subject: what was asked about; Words: the answer's gist; Value: the question
	KindQuestion      Kind = "question"      // Subject: UNIT/code; Outcome Asked or Answered; Words: what is asked, then the answer's gist with Value what was asked
	KindCountersign   Kind = "countersign"   // Subject: UNIT/code; Value: the id of the decision that it stands behind
	KindAcknowledge   Kind = "acknowledge"   // Subject: ""; the trainee has read the feedback
	KindAppeal        Kind = "appeal"        // Subject: ""; Words: the trainee's
	KindAppealOutcome Kind = "appeal_outcome"

	KindSample   Kind = "sample_outcome"    // Subject: ""; Outcome agree, agree_with_action or disagree; Value: the id of the sample
	KindClear    Kind = "cleared_for_claim" // Subject: ""; Value: the id of the sample that cleared it
	KindClaim    Kind = "claimed"           // Subject: ""; Value: the id of the claim
	KindSuspend  Kind = "suspended"         // Subject: ""; Value: the state before
	KindResume   Kind = "suspension_lifted" // Subject: ""; Outcome: the state that it goes back to
	KindSetAside Kind = "set_aside"         // Subject: ""

	KindLeave  Kind = "trainee_withdrawn"     // Subject: ""; Value: the state before; Words: when they left, never why
	KindReturn Kind = "withdrawal_taken_back" // Subject: ""; Outcome: the state that it goes back to

	KindArchive Kind = "archived"  // Subject: ""
	KindDestroy Kind = "destroyed" // Subject: ""; Value: the rule under which its time was up
)

// ReleasedOnTheSpot is the outcome of a hold point's release that was given where nobody had signal.
const ReleasedOnTheSpot = "released_on_the_spot"

// Outcome is a decision on a criterion; there is no third.
type Outcome string

// The outcomes.
const (
	Met       Outcome = "met"
	NotYetMet Outcome = "not_yet_met"
)

// TakenBack is the outcome of a record that takes a criterion's decision back: the criterion is open again.
const TakenBack = "taken_back"

// Words is the outcome as people read it.
func (o Outcome) Words() string {
	switch o {
	case NotYetMet:
		return "not yet met"
	case TakenBack:
		return "taken back"
	}
	return string(o)
}

// Reason says in which respect evidence falls short; it is compulsory for not yet met.
type Reason string

// Reasons lists the reasons in the order in which they are offered (common practice of vocational assessment, no source).
func Reasons() []Reason { return []Reason{"valid", "authentic", "current", "sufficient", "safe"} }

// Record is one thing that a person decided. Records are appended, never changed; Supersedes names the one it replaces.
type Record struct {
	ID         uuid.UUID
	Centre     int64
	Attempt    uuid.UUID
	Kind       Kind
	Subject    string
	Outcome    string
	Reason     Reason
	Words      string
	Value      string
	Evidence   []string // keys of the items that the decision rests on; of a sampler's disagreement its criteria
	By         uuid.UUID
	ByName     string // at the time
	Role       string // in which the person acted
	At         time.Time
	Supersedes uuid.UUID // zero where there is nothing to supersede
}

// recordSchema is the edition of the canonical form.
const recordSchema = "1"

// Canonical is the record as RFC 8785 canonical JSON: the bytes that are kept, digested and later appended to the log.
// Only strings and lists of strings stand in it, so that no number can change its spelling. The time is UTC to the
// microsecond, which is what the database keeps.
func (r Record) Canonical() ([]byte, error) {
	m := map[string]any{
		"v": recordSchema, "id": r.ID.String(), "centre": fmt.Sprint(r.Centre), "attempt": r.Attempt.String(),
		"kind": string(r.Kind), "subject": r.Subject, "outcome": r.Outcome, "reason": string(r.Reason), "words": r.Words,
		"value": r.Value, "evidence": r.Evidence, "by": r.By.String(), "by_name": r.ByName, "role": r.Role,
		"at": r.At.UTC().Truncate(time.Microsecond).Format("2006-01-02T15:04:05.000000Z07:00"),
	}
	if r.Evidence == nil {
		m["evidence"] = []string{}
	}
	if r.Supersedes != uuid.Nil {
		m["supersedes"] = r.Supersedes.String()
	}
	raw, err := json.Marshal(m)
	if err != nil {
		return nil, fmt.Errorf("record to JSON: %w", err)
	}
	out, err := jcs.Transform(raw)
	if err != nil {
		return nil, fmt.Errorf("record to canonical JSON: %w", err)
	}
	return out, nil
}

// Line names one line of a sheet in a record's Subject: the item, its part and its phase.
func Line(item, part, phase string) string {
	s := item
	if part != "" {
		s += "#" + part
	}
	if phase != "" {
		s += "@" + phase
	}
	return s
}
