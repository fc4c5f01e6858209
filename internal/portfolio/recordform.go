package portfolio

import (
	"encoding/json"
	"slices"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
)

// Record makes the document's machine-readable record.
func (d *Document) Record() (Record, error) {
	r := Record{
		Edition: recordEdition, ID: d.ID, MadeAt: stamp(d.MadeAt), Centre: Named{d.CentreName, d.CentreCode}, Trainee: Named{d.Trainee, d.TraineeCode},
		Cohort: d.Cohort, Photos: d.Photos, Standing: Standing{Criteria: d.Criteria, Met: d.Met, SignedOff: d.SignedOff, Judges: append([]string{}, d.Judges...)},
		Tasks: []RecordTask{}, Files: []RecordFile{},
	}
	w := messages{}
	r.Unit, r.Index = w.of(d.Unit), w.of(indexForm(d.Index))
	number := map[uuid.UUID]int{}
	for i := range d.Files {
		f := &d.Files[i]
		number[f.ID] = f.Number
		r.Files = append(r.Files, fileForm(f))
	}
	for i := range d.Tasks {
		r.Tasks = append(r.Tasks, w.task(&d.Tasks[i], number))
	}
	if len(d.Samples) > 0 {
		r.Samples = w.of(d.Samples)
	}
	return r, w.err
}

// messages makes JSON of values and keeps the first error.
type messages struct{ err error }

func (w *messages) of(v any) json.RawMessage {
	raw, err := message(v)
	if err != nil && w.err == nil {
		w.err = err
	}
	return raw
}

// stamp is a moment in UTC to the microsecond, which is what the database keeps; "" for none.
func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Truncate(time.Microsecond).Format(time.RFC3339Nano)
}

func (w *messages) task(t *TaskSheet, number map[uuid.UUID]int) RecordTask {
	r := RecordTask{
		Number: t.Number, Version: t.Version, Digest: t.Digest, Brief: w.of(shownBrief(t.Brief)), SetBy: t.SetBy, SetAt: stamp(t.SetAt),
		Given: w.of(givenForm(t.Given)), Criteria: w.of(append([]Criterion{}, t.Criteria...)), Attempts: []RecordAttempt{},
	}
	if !t.DueOn.IsZero() {
		r.DueOn = t.DueOn.Format(time.DateOnly)
	}
	for i := range t.Attempts {
		r.Attempts = append(r.Attempts, w.attempt(t, &t.Attempts[i], number))
	}
	return r
}

func (w *messages) attempt(t *TaskSheet, at *AttemptSheet, number map[uuid.UUID]int) RecordAttempt {
	r := RecordAttempt{
		ID: at.ID.String(), Number: at.Number, State: string(at.State), OpenedAt: stamp(at.OpenedAt), HandedOverAt: stamp(at.HandedOverAt),
		Site: at.Site, Householder: at.Householder, Declaration: at.Declaration, Entries: w.of(append([]Entry{}, at.Entries...)),
		Files: []int{}, Records: []json.RawMessage{},
	}
	if at.Brief != nil && at.Brief != t.Brief {
		r.Brief = w.of(shownBrief(at.Brief))
	}
	if len(at.Given) > 0 {
		r.Given = w.of(givenForm(at.Given))
	}
	if at.Seal != nil {
		r.Seal = w.of(*at.Seal)
	}
	for _, e := range at.Evidence {
		r.Files = append(r.Files, number[e.ID])
	}
	slices.Sort(r.Files)
	for _, x := range at.Records {
		r.Records = append(r.Records, w.of(x))
	}
	if m := at.Marking; m != nil {
		r.Engine, r.MarkedAt, r.Marking = m.Engine, stamp(at.MarkedAt), w.of(*m)
	}
	if len(at.Explained) > 0 {
		r.Explained = w.of(at.Explained)
	}
	if len(at.Attempt.Instruments) > 0 {
		r.Instruments = w.of(at.Attempt.Instruments)
	}
	if len(at.Rules) > 0 {
		r.Rules = w.of(at.Rules)
	}
	return r
}

func fileForm(f *File) RecordFile {
	r := RecordFile{
		Number: f.Number, ID: f.ID.String(), Item: f.Item, Name: f.Name, Caption: f.Caption, MediaType: f.MediaType, Size: f.Size, SHA256: f.Digest,
		Shown: f.Show.Words(), ShownSHA256: f.Shown, CopySHA256: f.CoveredDigest, SameAs: f.SameAs, Width: f.Width, Height: f.Height, Orientation: f.Orientation,
		TakenAt: stamp(f.TakenAt), TakenZoned: f.TakenZoned, DeviceAt: stamp(f.DeviceAt), ReceivedAt: stamp(f.ReceivedAt), Order: string(f.Order),
		By: f.By, Sealed: f.Sealed, Covers: f.Covers, Private: f.Private, Withheld: f.Withheld, Uncarried: f.Uncarried, Card: f.Card,
	}
	if r.Stays = f.Stays(); r.Stays {
		r.CopySHA256 = ""
	}
	if f.Withdrawn != nil {
		r.Withdrawn = f.Withdrawn.ID.String()
	}
	return r
}

// givenOf is a given value in a record: how it was set, and what this trainee got.
type givenOf struct {
	Name, Is, From, To, Step, Source, Value string
}

func givenForm(rows []GivenRow) []givenOf {
	out := make([]givenOf, len(rows))
	for i, g := range rows {
		out[i] = givenOf{g.Name, g.Is, g.From, g.To, g.Step, g.Source, g.Drawn}
	}
	return out
}

// The index in a record: decisions by the ids of their records, evidence by its titles.
type (
	outcomeOf struct {
		Code, Title string
		Criteria    []criterionOf
	}
	criterionOf struct {
		Code, Text string
		Parts      []partOf
	}
	partOf struct {
		Task, Attempt int
		Evidence      []string
		Decision      string
		Carried       int
		Signed        bool
		Earlier       []string
	}
)

func indexForm(index []OutcomeIndex) []outcomeOf {
	out := []outcomeOf{}
	for _, o := range index {
		of := outcomeOf{Code: o.Code, Title: o.Title}
		for _, row := range o.Rows {
			c := criterionOf{Code: row.Code, Text: row.Text}
			for _, p := range row.Parts {
				part := partOf{Task: p.Task, Attempt: p.Attempt, Evidence: refTitles(p.Evidence), Carried: p.Carried, Signed: p.Signed, Earlier: refTitles(p.Earlier)}
				if p.Decision != nil {
					part.Decision = p.Decision.ID.String()
				}
				c.Parts = append(c.Parts, part)
			}
			of.Criteria = append(of.Criteria, c)
		}
		out = append(out, of)
	}
	return out
}

func refTitles(refs []Ref) []string {
	var out []string
	for _, r := range refs {
		out = append(out, r.Title)
	}
	return out
}

// shownBrief is a copy of the brief without what only tutors see, and without answers: a trainee may read a portfolio before
// anything is decided.
func shownBrief(b *brief.Brief) brief.Brief {
	c := *b
	c.Model, c.CrossChecks, c.Tables, c.RuledOut = nil, nil, nil, nil
	c.Stages = slices.Clone(b.Stages)
	for i := range c.Stages {
		st := &c.Stages[i]
		st.Questions, st.Items = nil, slices.Clone(st.Items)
		for j := range st.Items {
			withoutAnswers(&st.Items[j])
		}
	}
	return c
}

// withoutAnswers takes the answers out of an item, which is a copy; what its forms point at is copied first.
func withoutAnswers(it *brief.Item) {
	if it.Test != nil {
		t := *it.Test
		t.Faults, it.Test = nil, &t
	}
	if it.Observation != nil {
		o := *it.Observation
		o.Expect, it.Observation = "", &o
	}
	if it.Figure != nil {
		f := *it.Figure
		f.Slips, it.Figure = nil, &f
	}
	if it.Choice != nil {
		c := *it.Choice
		c.Slips, c.Size, c.Options = nil, nil, slices.Clone(c.Options)
		for i := range c.Options {
			c.Options[i].When = ""
		}
		it.Choice = &c
	}
	if it.Answer != nil {
		a := *it.Answer
		a.Guide, it.Answer = "", &a
	}
}
