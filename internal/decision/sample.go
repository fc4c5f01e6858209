package decision

import (
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/fault"
)

// SampleOutcome is what a sampler found of the decisions on an attempt.
type SampleOutcome string

// The outcomes of sampling.
const (
	Agree           SampleOutcome = "agree"
	AgreeWithAction SampleOutcome = "agree_with_action" // the decisions stand, and somebody is to do something by a day
	Disagree        SampleOutcome = "disagree"          // whoever judged it decides afresh
)

// SampleOutcomes lists them in the order in which they are offered.
func SampleOutcomes() []SampleOutcome { return []SampleOutcome{Agree, AgreeWithAction, Disagree} }

// Words is the outcome as people read it.
func (o SampleOutcome) Words() string {
	if o == AgreeWithAction {
		return "agree, with an action"
	}
	return string(o)
}

// CheckSampler refuses whoever had part in the decisions, those carried over among them, or whose own work it is.
func CheckSampler(part bool) error {
	if part {
		return fault.Forbidden("You had part in this attempt, so somebody else samples it.")
	}
	return nil
}

// Sampled says whether the person sampled it: they judge none of it afterwards.
func Sampled(records []Record, person uuid.UUID) bool {
	return slices.ContainsFunc(records, func(r Record) bool { return r.Kind == KindSample && r.By == person })
}

// Sampling is the record of an outcome and the state that the attempt is in then. Words are compulsory for all but agreement; a
// disagreement names its criteria, of those that the brief covers. What was signed off goes back to be decided afresh where the sampler
// disagrees; what is still being judged stays where it is.
func Sampling(s State, o SampleOutcome, sample uuid.UUID, words string, criteria, covered []string) (Record, State, error) {
	words = strings.TrimSpace(words)
	var named []string // in the brief's order, each once
	for _, ref := range covered {
		if slices.Contains(criteria, ref) {
			named = append(named, ref)
		}
	}
	switch {
	case !slices.Contains(SampleOutcomes(), o):
		return Record{}, s, fault.Invalid("outcome", "Say whether you agree, agree with an action, or disagree.")
	case o == AgreeWithAction && words == "":
		return Record{}, s, fault.Invalid("words", "Say what you found, so that the action makes sense to whoever does it.")
	case o == Disagree && len(named) == 0:
		return Record{}, s, fault.Invalid("criteria", "Choose the criteria that you would decide otherwise.")
	case o == Disagree && words == "":
		return Record{}, s, fault.Invalid("words", "Say why you would decide them otherwise, so that they can be decided afresh.")
	case slices.ContainsFunc(criteria, func(ref string) bool { return !slices.Contains(covered, ref) }):
		return Record{}, s, fault.Invalid("criteria", "This brief does not cover one of these criteria. Load the page again and choose.")
	case s != Checked && s != Decided && s != SignedOff:
		return Record{}, s, fault.Conflict("This attempt is %s, so there is no decision to sample now.", s.Words())
	}
	r := Record{Kind: KindSample, Outcome: string(o), Words: words, Value: sample.String()}
	if o != Disagree {
		return r, s, nil
	}
	if r.Evidence = named; s != SignedOff {
		return r, s, nil
	}
	next, err := Next(s, EventReturn)
	return r, next, err
}

// Return is what samplers disagree about and nobody has decided afresh since.
type Return struct {
	By       []*Record // the disagreements of which something is left, the first first
	Criteria []string  // still to be decided; "" stands for a disagreement that names none, which any decision answers
}

// Returned is what came back from sampling and is still to be decided; nil for nothing. Each criterion that a disagreement names has to
// be decided after it; a sampler who agrees later is content with what stands then.
func Returned(records []Record) *Return {
	type open struct {
		by  *Record
		ref string
	}
	var left []open
	for i, r := range records {
		switch {
		case r.Kind == KindSample && r.Outcome != string(Disagree):
			left = nil
		case r.Kind == KindSample && len(r.Evidence) == 0:
			left = append(left, open{&records[i], ""})
		case r.Kind == KindSample:
			for _, ref := range r.Evidence {
				left = append(left, open{&records[i], ref})
			}
		case r.Kind == KindCriterion && r.Outcome != TakenBack:
			left = slices.DeleteFunc(left, func(o open) bool { return o.ref == r.Subject || o.ref == "" })
		}
	}
	if len(left) == 0 {
		return nil
	}
	back := &Return{}
	for _, o := range left {
		if !slices.Contains(back.By, o.by) {
			back.By = append(back.By, o.by)
		}
		if !slices.Contains(back.Criteria, o.ref) {
			back.Criteria = append(back.Criteria, o.ref)
		}
	}
	return back
}

// From says whether something of a disagreement in the sample is left.
func (b *Return) From(sample uuid.UUID) bool {
	return b != nil && slices.ContainsFunc(b.By, func(r *Record) bool { return r.Value == sample.String() })
}

// Of is the last disagreement about a criterion that is still to be decided afresh; nil where there is none.
func (b *Return) Of(criterion string) *Record {
	if b == nil || !slices.Contains(b.Criteria, criterion) {
		return nil
	}
	var last *Record
	for _, r := range b.By {
		if slices.Contains(r.Evidence, criterion) {
			last = r
		}
	}
	return last
}

// Words says which criteria are still to be decided.
func (b *Return) Words() string {
	if refs := slices.DeleteFunc(slices.Clone(b.Criteria), func(ref string) bool { return ref == "" }); len(refs) > 0 {
		return strings.Join(refs, ", ")
	}
	return "at least one criterion"
}

// CheckReturned is a Conflict where there is such a thing: what was returned is decided afresh first.
func CheckReturned(records []Record) error {
	if back := Returned(records); back != nil {
		by := back.By[len(back.By)-1]
		return fault.Conflict("%s sampled this and disagreed: “%s” Before you sign it off or send it back, decide afresh: %s.", by.ByName, by.Words, back.Words())
	}
	return nil
}
