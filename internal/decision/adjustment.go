package decision

import (
	"slices"
	"strings"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// Kinds of record that say how a trainee's attempt was set for them alone.
const (
	KindAdjustment Kind = "adjustment"       // Subject: "" or the item's key; Outcome ExtraTime with Value the new day, or OtherEvidence with Value what is shown instead; Words: why
	KindOneMore    Kind = "one_more_attempt" // Words: why one more is granted than were set
)

// Adjusted is what an adjustment changes. None ever changes what a criterion demands.
type Adjusted string

// What may be adjusted.
const (
	ExtraTime     Adjusted = "extra_time"
	OtherEvidence Adjusted = "other_evidence"
)

// Words is what is adjusted as people read it.
func (a Adjusted) Words() string {
	if a == OtherEvidence {
		return "another way to show it"
	}
	return "extra time"
}

// Adjustment is what was agreed with one trainee beforehand.
type Adjustment struct {
	What    Adjusted
	Until   time.Time // of extra time: the day by which they hand over, a date
	Item    string    // of other evidence: which item is shown in another way
	Instead string    // of other evidence: how
	Words   string    // why; compulsory
}

// Record is the record of the adjustment, or says what is wrong with it. Due is the day that holds so far, zero for none;
// today is the day at the centre.
func (a Adjustment) Record(b *brief.Brief, due time.Time, today brief.Day) (Record, error) {
	a.Instead, a.Words = strings.TrimSpace(a.Instead), strings.TrimSpace(a.Words)
	r := Record{Kind: KindAdjustment, Outcome: string(a.What), Words: a.Words}
	switch a.What {
	case ExtraTime:
		r.Value = a.Until.Format(time.DateOnly)
		switch {
		case a.Until.IsZero():
			return Record{}, fault.Invalid("until", "Say until which day.")
		case brief.Day(r.Value) < today:
			return Record{}, fault.Invalid("until", "That day is past. Choose a later one.")
		case !due.IsZero() && !a.Until.After(due):
			return Record{}, fault.Invalid("until", "That is no later than %s, which holds already.", due.Format("2 January 2006"))
		}
	case OtherEvidence:
		r.Subject, r.Value = a.Item, a.Instead
		if _, _, ok := b.Item(a.Item); !ok {
			return Record{}, fault.Invalid("item", "Choose what is shown in another way.")
		}
		if a.Instead == "" {
			return Record{}, fault.Invalid("instead", "Say how it is shown instead.")
		}
	default:
		return Record{}, fault.Invalid("what", "Choose extra time, or another way to show something.")
	}
	if a.Words == "" {
		return Record{}, fault.Invalid("words", "Say why, so that whoever reads this later can follow you.")
	}
	return r, nil
}

// Otherwise is the adjustment by which an item is shown in another way; nil where none was agreed.
func Otherwise(records []Record, item string) *Record {
	if item == "" {
		return nil
	}
	return Latest(records, KindAdjustment, item)
}

// shownOtherwise says whether an item for which another way was agreed was shown in it: a tutor watched it, or heard it.
func shownOtherwise(records []Record, item string) bool {
	return Otherwise(records, item) != nil && slices.ContainsFunc(records, func(r Record) bool {
		return r.Subject == item && (r.Kind == KindObservation && r.Outcome == string(Seen) || r.Kind == KindOral && r.Outcome == string(Understood))
	})
}

// Empty holds the keys of the required items that nothing is there for. Where another way to show one was agreed, it takes
// that something was shown in that way: an adjustment changes the way, never what is asked for.
func (h Handover) Empty() map[string]bool {
	empty := map[string]bool{}
	records := h.Records
	h.Records = nil
	for _, g := range h.Gaps() {
		if !shownOtherwise(records, g.Item) {
			empty[g.Item] = true
		}
	}
	return empty
}
