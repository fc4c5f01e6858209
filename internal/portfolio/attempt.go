package portfolio

import (
	"cmp"
	"fmt"
	"slices"

	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
)

// layout lays one attempt out; placed and laid remember what has found its place.
type layout struct {
	*assembly
	brief  *brief.Brief
	at     Attempt
	anchor string
	placed []bool // records
	laid   []bool // entries
	found  []bool // findings
	shown  []bool // files
}

func (a *assembly) attempt(t *TaskSheet, at Attempt) AttemptSheet {
	s := AttemptSheet{Number: at.Number, Attempt: at, Anchor: fmt.Sprintf("%s-attempt-%d", t.Anchor, len(t.Attempts)+1)}
	b := cmp.Or(at.Brief, t.Brief)
	l := layout{
		assembly: a, brief: b, at: at, anchor: s.Anchor,
		placed: make([]bool, len(at.Records)), laid: make([]bool, len(at.Entries)), shown: make([]bool, len(at.Evidence)),
	}
	if at.Marking != nil {
		l.found = make([]bool, len(at.Marking.Findings))
	}
	if own := given(b, at.Given); (len(at.Given) > 0 || b != t.Brief) && !slices.Equal(own, t.Given) {
		s.Given = own
	}
	number := 0
	for i := range b.Stages {
		s.Stages = append(s.Stages, l.stage(i, &number))
	}
	s.Decisions = l.criteria()
	s.Agreed = l.notes(func(r decision.Record) bool { return r.Kind == decision.KindAdjustment })
	for i := range at.Records {
		if !l.placed[i] {
			s.Closing = append(s.Closing, l.act(i))
		}
	}
	s.Instruments = l.instruments()
	s.Strays = l.strays()
	return s
}

func (l *layout) stage(i int, number *int) StageSheet {
	st := &l.brief.Stages[i]
	s := StageSheet{Number: i + 1, Anchor: fmt.Sprintf("%s-stage-%d", l.anchor, i+1), Stage: st}
	if st.Hold != nil {
		s.Needs = l.refs(st.Hold.Needs)
		s.Releases = l.acts(decision.KindHoldRelease, st.Key)
	}
	for j := range st.Items {
		*number++
		s.Items = append(s.Items, l.item(&st.Items[j], *number))
	}
	s.Helped = l.line(decision.HelpItem(st.Key), brief.Slot{})
	s.Notes = l.notes(func(r decision.Record) bool {
		return r.Kind.Apart() && (r.Subject == st.Key || slices.ContainsFunc(st.Items, func(it brief.Item) bool { return it.Key == r.Subject }))
	})
	return s
}

// notes are the records that are asked for, in order.
func (l *layout) notes(of func(decision.Record) bool) []Act {
	var as []Act
	for i, r := range l.at.Records {
		if of(r) {
			as = append(as, l.act(i))
		}
	}
	return as
}

// behind is the countersignature behind a decision, and asked what the trainee was asked about its criterion: of an answered
// question the answer alone, which has the question with it.
func (l *layout) behind(c *CriterionSheet, ref string) {
	for _, a := range l.acts(decision.KindCountersign, ref) {
		if c.Current != nil && a.Value == c.Current.ID.String() {
			c.Behind = &a
		}
	}
	for _, a := range l.acts(decision.KindQuestion, ref) {
		if a.Outcome == decision.Answered || !a.Superseded {
			c.Asked = append(c.Asked, a)
		}
	}
}

// instruments are those of the attempt with the photos of their labels.
func (l *layout) instruments() []InstrumentSheet {
	var ins []InstrumentSheet
	for _, in := range l.at.Instruments {
		label := decision.LabelItem(in.ID)
		ins = append(ins, InstrumentSheet{Instrument: in, Files: l.files(label, Ref{Title: in.Kind})})
	}
	return ins
}

// files are those of an item, which is where they belong.
func (l *layout) files(item string, where Ref) []File {
	var fs []File
	for i, e := range l.at.Evidence {
		if e.Item == item {
			l.shown[i] = true
			l.acts(decision.KindWithdraw, e.ID.String()) // it stands beside the file
			fs = append(fs, l.file(e, where))
		}
	}
	return fs
}

// act is record i with what it rests on.
func (l *layout) act(i int) Act {
	r := l.at.Records[i]
	l.placed[i] = true
	return Act{Record: r, Superseded: !r.Kind.Apart() && decision.Latest(l.at.Records, r.Kind, r.Subject) != &l.at.Records[i], Rests: l.refs(r.Evidence)}
}

// acts are all records of a kind and subject, in order: the last counts.
func (l *layout) acts(k decision.Kind, subject string) []Act {
	var as []Act
	for i, r := range l.at.Records {
		if r.Kind == k && r.Subject == subject {
			as = append(as, l.act(i))
		}
	}
	return as
}

// refs leads to items of this attempt by their keys. A key that the brief does not have leads nowhere and is named.
func (l *layout) refs(keys []string) []Ref {
	var rs []Ref
	for _, key := range keys {
		rs = append(rs, l.ref(key))
	}
	return rs
}

func (l *layout) ref(key string) Ref {
	n := 0
	for i := range l.brief.Stages {
		for j := range l.brief.Stages[i].Items {
			n++
			if it := &l.brief.Stages[i].Items[j]; it.Key == key {
				return Ref{Title: fmt.Sprintf("%d %s", n, it.Title), Anchor: l.itemAnchor(n)}
			}
		}
	}
	return Ref{Title: key}
}

func (l *layout) itemAnchor(n int) string { return fmt.Sprintf("%s-item-%d", l.anchor, n) }

func (l *layout) criteria() []CriterionSheet {
	var cs []CriterionSheet
	for i, ref := range l.brief.CriterionRefs() {
		c := CriterionSheet{Ref: ref, Code: l.code(ref), Text: l.texts[ref], Anchor: fmt.Sprintf("%s-criterion-%d", l.anchor, i+1)}
		all := l.acts(decision.KindCriterion, ref)
		if n := len(all); n > 0 && all[n-1].Outcome == decision.TakenBack {
			c.Earlier = all
		} else if n > 0 {
			c.Current, c.Earlier = &all[n-1], all[:n-1]
			c.Evidence = c.Current.Rests
		}
		l.behind(&c, ref)
		if c.Named = len(c.Evidence) > 0; !c.Named {
			c.Evidence = l.bearing(ref)
		}
		c.Heard = l.heard(&c)
		cs = append(cs, c)
	}
	return cs
}

// heard is what was asked aloud about an item of a criterion's evidence, or about a stage that has one.
func (l *layout) heard(c *CriterionSheet) []Act {
	about := map[string]bool{}
	n := 0
	for i := range l.brief.Stages {
		st := &l.brief.Stages[i]
		for j := range st.Items {
			n++
			if anchor := l.itemAnchor(n); slices.ContainsFunc(c.Evidence, func(r Ref) bool { return r.Anchor == anchor }) {
				about[st.Items[j].Key], about[st.Key] = true, true
			}
		}
	}
	return l.notes(func(r decision.Record) bool { return r.Kind == decision.KindOral && about[r.Subject] })
}

// bearing is what was handed in and bears on a criterion.
func (l *layout) bearing(ref string) []Ref {
	var rs []Ref
	for i := range l.brief.Stages {
		for j := range l.brief.Stages[i].Items {
			it := &l.brief.Stages[i].Items[j]
			if slices.ContainsFunc(it.Criteria, func(c string) bool { return l.brief.Ref(c) == ref }) && l.has(it.Key) {
				rs = append(rs, l.ref(it.Key))
			}
		}
	}
	return rs
}

func (l *layout) has(key string) bool {
	return slices.ContainsFunc(l.at.Entries, func(e Entry) bool { return e.Item == key && (e.Text != "" || e.Working != "") }) ||
		slices.ContainsFunc(l.at.Evidence, func(e Evidence) bool { return e.Item == key })
}

// strays is what no item took.
func (l *layout) strays() Strays {
	var s Strays
	for i, e := range l.at.Entries {
		if !l.laid[i] {
			s.Entries = append(s.Entries, e)
		}
	}
	for i, found := range l.found {
		if !found {
			s.Findings = append(s.Findings, l.at.Marking.Findings[i])
		}
	}
	for i, e := range l.at.Evidence {
		if !l.shown[i] {
			s.Files = append(s.Files, l.file(e, Ref{Title: e.Item}))
		}
	}
	return s
}
