package decision

import (
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// Latest finds the record of the kind and subject that nothing supersedes: the last appended. Nil where there is none.
func Latest(records []Record, k Kind, subject string) *Record {
	for i, r := range slices.Backward(records) {
		if r.Kind == k && r.Subject == subject {
			return &records[i]
		}
	}
	return nil
}

// Judged is the decision that stands on a criterion; nil where there is none, or where the last was taken back.
func Judged(records []Record, criterion string) *Record {
	if r := Latest(records, KindCriterion, criterion); r != nil && r.Outcome != TakenBack {
		return r
	}
	return nil
}

// Judgement is what a tutor wants to put down for a criterion.
type Judgement struct {
	Criterion string // "UNIT/code"
	Outcome   Outcome
	Reason    Reason // compulsory for not yet met
	Words     string // compulsory for not yet met
	Evidence  []string
}

// CheckJudgement refuses a judgement that the brief has no place for, one without its reason, and a "met" that what is in
// front of the tutor cannot bear (blocked says why, in words).
func CheckJudgement(b *brief.Brief, j Judgement, blocked []string) error {
	if !slices.Contains(b.CriterionRefs(), j.Criterion) {
		return fault.NotFound("This brief does not cover criterion %s.", j.Criterion)
	}
	for _, key := range j.Evidence {
		if _, _, ok := b.Item(key); !ok {
			return fault.Invalid("evidence", "The brief has no item %q to rest the decision on.", key)
		}
	}
	switch j.Outcome {
	case Met:
		if len(blocked) > 0 {
			return fault.Conflict("Criterion %s cannot be met yet. %s", j.Criterion, strings.Join(blocked, " "))
		}
	case NotYetMet:
		if !slices.Contains(Reasons(), j.Reason) {
			return fault.Invalid("reason", "Say in which respect the evidence falls short: valid, authentic, current, sufficient or safe.")
		}
		if strings.TrimSpace(j.Words) == "" {
			return fault.Invalid("words", "Say in your own words what is missing, so that the trainee knows what to do.")
		}
	default:
		return fault.Invalid("outcome", "Choose met or not yet met.")
	}
	return nil
}

// TakingBack is the record that opens a criterion again. What was decided stays among the records, with the words of whoever
// took it back.
func TakingBack(b *brief.Brief, records []Record, criterion, words string) (Record, error) {
	if !slices.Contains(b.CriterionRefs(), criterion) {
		return Record{}, fault.NotFound("This brief does not cover criterion %s.", criterion)
	}
	if Judged(records, criterion) == nil {
		return Record{}, fault.Conflict("Criterion %s is open: there is no decision to take back.", criterion)
	}
	return Record{Kind: KindCriterion, Subject: criterion, Outcome: TakenBack, Words: strings.TrimSpace(words)}, nil
}

// Since says in words what somebody decided that a page did not show yet: of the last n records the latest decision on the
// criterion, else the last of them. It is "" where there is none.
func Since(records []Record, n int, criterion string) string {
	newer := records[len(records)-min(max(n, 0), len(records)):]
	r := Latest(newer, KindCriterion, criterion)
	switch {
	case len(newer) == 0:
		return ""
	case r == nil:
		r = &newer[len(newer)-1]
	}
	if r.Kind != KindCriterion {
		return r.ByName + " was at work on it."
	}
	said := fmt.Sprintf("%s decided %s: %s.", r.ByName, r.Subject, Outcome(r.Outcome).Words())
	if r.Outcome == TakenBack {
		said = fmt.Sprintf("%s took the decision on %s back.", r.ByName, r.Subject)
	}
	if r.Words != "" {
		said += " “" + r.Words + "”"
	}
	return said
}

// AllDecided says whether every criterion of the brief has a decision, and AllMet whether every one of them is met.
func AllDecided(b *brief.Brief, records []Record) (decided, met bool) {
	decided, met = true, true
	for _, ref := range b.CriterionRefs() {
		r := Judged(records, ref)
		decided = decided && r != nil
		met = met && r != nil && r.Outcome == string(Met)
	}
	return decided, met
}

// Handover is what lies ready when a trainee wants to hand over.
type Handover struct {
	Brief  *brief.Brief
	Filled map[string]bool // Line(item, part, phase) of every slot with something in it
	Files  map[string]int  // files per item key
	// Records tell which items are shown in another way.
	Records []Record
}

// Gap is something that has to be there before handing over.
type Gap struct {
	Item string
	Text string
}

// Gaps lists what is still missing, in the brief's order: not what is to be shown in another way, as was agreed.
func (h Handover) Gaps() []Gap {
	var gaps []Gap
	for _, st := range h.Brief.Stages {
		for i := range st.Items {
			it := &st.Items[i]
			if it.Optional || Otherwise(h.Records, it.Key) != nil {
				continue
			}
			if t := h.gap(it); t != "" {
				gaps = append(gaps, Gap{Item: it.Key, Text: it.Title + ": " + t})
			}
		}
	}
	return gaps
}

// gap says what one item lacks; "" where it lacks nothing.
func (h Handover) gap(it *brief.Item) string {
	want := 0
	switch {
	case it.Photo != nil:
		want = max(it.Photo.AtLeast, 1)
	case it.Document != nil:
		want = 1
	}
	if n := h.Files[it.Key]; n < want {
		switch {
		case it.Document != nil:
			return "add the document."
		case want == 1:
			return "add a photo."
		}
		return fmt.Sprintf("%d of %d photos are there.", n, want)
	}
	slots := it.Slots()
	empty := 0
	for _, s := range slots {
		if !h.Filled[Line(it.Key, s.Part, string(s.Phase))] {
			empty++
		}
	}
	switch {
	case empty == 0:
		return ""
	case len(slots) == 1:
		return "still empty."
	}
	return fmt.Sprintf("%d of %d are still empty.", empty, len(slots))
}

// CheckRelease says whether the person may release the hold point: registered says whether they hold the registration or
// approval that it calls for, in date; unproved lists, in words, what is not right yet among the items it needs.
func CheckRelease(h *brief.Hold, registered bool, unproved []string) error {
	if h == nil {
		return fault.NotFound("This stage has no hold point.")
	}
	if !registered {
		return fault.Forbidden("This hold point may be released only by somebody whose %s registration or approval is recorded here and in date today.", h.Entitlement)
	}
	if len(unproved) > 0 {
		return fault.Conflict("Keep the hold: %s", strings.Join(unproved, " "))
	}
	return nil
}

// Superseded names the record that a new one of the kind and subject replaces; zero where there is none.
func Superseded(records []Record, k Kind, subject string) uuid.UUID {
	if k.Apart() {
		return uuid.Nil
	}
	if r := Latest(records, k, subject); r != nil {
		return r.ID
	}
	return uuid.Nil
}
