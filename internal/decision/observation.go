package decision

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// Apart says whether each record of the kind is a thing of its own, which no later one supersedes.
func (k Kind) Apart() bool { return k == KindObservation || k == KindOral }

// Observed is what a tutor notes of a piece of work that they watched.
type Observed string

// What may be noted.
const (
	Seen      Observed = "seen"
	NotSeen   Observed = "not_seen"
	SteppedIn Observed = "stepped_in" // the tutor stopped it or took over, so that nobody came to harm
)

// ObservedWords lists them in the order in which they are offered.
func ObservedWords() []Observed { return []Observed{Seen, NotSeen, SteppedIn} }

// Words is what was noted as people read it.
func (o Observed) Words() string {
	switch o {
	case NotSeen:
		return "not seen"
	case SteppedIn:
		return "stepped in"
	case TakenBack:
		return "taken back"
	}
	return string(o)
}

// Observation is a short note on something that a tutor watched.
type Observation struct {
	Subject string // the key of an item or a stage
	Outcome Observed
	Took    time.Duration // how long they watched; 0 where that was not timed
	Words   string        // compulsory for SteppedIn, and for taking one back
	InPlace string        // why by whoever notes it; asked for where another person was named to observe, see InPlaceOf
}

// watchMost bounds how long one observation may be: a working day (our own value).
const watchMost = 12 * time.Hour

// Record is the record of the observation, or says what is wrong with it. TakenBack as Outcome takes back that somebody
// stepped in, such as after a slip of the finger.
func (o Observation) Record(b *brief.Brief, records []Record) (Record, error) {
	o.Words = strings.TrimSpace(o.Words)
	switch {
	case !subjectOf(b, o.Subject):
		return Record{}, fault.Invalid("subject", "The brief has nothing of that name to watch.")
	case o.Took < 0 || o.Took > watchMost:
		return Record{}, fault.Invalid("took", "That is longer than a working day. Leave the time out.")
	case o.Outcome == TakenBack && !slices.ContainsFunc(records, func(r Record) bool { return r.Kind == KindObservation && r.Subject == o.Subject }):
		return Record{}, fault.Conflict("Nothing was noted there that could be taken back.")
	case o.Outcome == TakenBack && o.Words == "":
		return Record{}, fault.Invalid("words", "Say why you take it back.")
	case o.Outcome != TakenBack && !slices.Contains(ObservedWords(), o.Outcome):
		return Record{}, fault.Invalid("outcome", "Choose seen, not seen or stepped in.")
	case o.Outcome == SteppedIn && o.Words == "":
		return Record{}, fault.Invalid("words", "Say what you stepped in for, so that the trainee knows what to do another way.")
	}
	r := Record{Kind: KindObservation, Subject: o.Subject, Outcome: string(o.Outcome), Words: o.Words}
	if s := o.Took.Round(time.Second); s > 0 {
		r.Value = fmt.Sprintf("%d s", int(s.Seconds()))
	}
	return r, nil
}

// subjectOf says whether the key is that of an item or a stage of the brief.
func subjectOf(b *brief.Brief, key string) bool {
	_, _, ok := b.Item(key)
	return ok || slices.ContainsFunc(b.Stages, func(st brief.Stage) bool { return st.Key == key })
}

// steppedIn is the last record that says that somebody stepped in there; nil where nobody did, or where it was taken back.
// Something else that was seen later does not undo it.
func steppedIn(records []Record, subject string) *Record {
	var in *Record
	for i, r := range records {
		if r.Kind != KindObservation || r.Subject != subject {
			continue
		}
		switch r.Outcome {
		case string(SteppedIn):
			in = &records[i]
		case TakenBack:
			in = nil
		}
	}
	return in
}

// steppedInAt says why a safety-critical item cannot be met this time where somebody stepped in at it, or at its stage; ""
// where nobody did. What is not safety-critical is the tutor's to weigh.
func (s Standing) steppedInAt(st *brief.Stage, it *brief.Item) string {
	if !it.Safety() {
		return ""
	}
	for _, subject := range []string{it.Key, st.Key} {
		if r := steppedIn(s.Records, subject); r != nil {
			return fmt.Sprintf("%s is safety-critical, and %s stepped in there: it is shown again another time.", it.Title, r.ByName)
		}
	}
	return ""
}

// Heard is how an oral question was answered.
type Heard string

// How it may be answered.
const (
	Understood Heard = "understood"
	InPart     Heard = "in_part"
	NotYet     Heard = "not_yet"
)

// HeardWords lists them in the order in which they are offered.
func HeardWords() []Heard { return []Heard{Understood, InPart, NotYet} }

// Words is how it was answered as people read it.
func (h Heard) Words() string {
	switch h {
	case InPart:
		return "understood in part"
	case NotYet:
		return "not yet understood"
	}
	return string(h)
}

// OralQuestion is a question that was asked aloud, with what was answered.
type OralQuestion struct {
	Subject string // the key of an item or a stage
	Asked   string
	Gist    string // of the answer
	Outcome Heard
	InPlace string // as of an observation
}

// Record is the record of the question, or says what is wrong with it.
func (q OralQuestion) Record(b *brief.Brief) (Record, error) {
	q.Asked, q.Gist = strings.TrimSpace(q.Asked), strings.TrimSpace(q.Gist)
	switch {
	case !subjectOf(b, q.Subject):
		return Record{}, fault.Invalid("subject", "The brief has nothing of that name to ask about.")
	case q.Asked == "":
		return Record{}, fault.Invalid("asked", "Say what you asked.")
	case q.Gist == "":
		return Record{}, fault.Invalid("gist", "Say in a few words what was answered.")
	case !slices.Contains(HeardWords(), q.Outcome):
		return Record{}, fault.Invalid("outcome", "Choose understood, understood in part or not yet understood.")
	}
	return Record{Kind: KindOral, Subject: q.Subject, Outcome: string(q.Outcome), Words: q.Gist, Value: q.Asked}, nil
}
