package ui

import (
	"slices"

	"witnessmark/internal/quantity"
)

// LookAt is one item that wants the tutor's eye, and why.
type LookAt struct {
	Item ItemView
	Why  []string // each once, in the order of the lines
}

// Quiet says whether the line's finding asks nothing of whoever reads it: it is as it should be and nobody has had to say
// more.
func (l LineView) Quiet() bool {
	f := l.Finding
	if f == nil || l.Mark() != "good" || l.Override != nil {
		return false
	}
	return !l.On.Tutor || len(f.Flags) == 0 && f.Slip == nil && len(f.Candidates) == 0
}

// Attend says whether the line wants a tutor's eye.
func (l LineView) Attend() bool {
	return l.On.Findings && l.On.Tutor && l.Finding != nil && l.Override == nil && !l.Quiet()
}

// Against is the reference of a figure and its tolerance, short enough to stand beside the verdict; "" where there is none.
func (l LineView) Against() string {
	f := l.Finding
	if f == nil || l.Of.Figure == nil {
		return ""
	}
	ref := f.FromGiven
	if ref == nil {
		ref = f.FromOwn
	}
	if ref == nil {
		return ""
	}
	decimals := -1
	if n, err := quantity.ParseNumber(l.number()); err == nil {
		decimals = n.Decimals()
	}
	s := "against " + shown(*ref, decimals)
	if f.Unit != "" {
		s += thin + f.Unit
	}
	if f.Tolerance != "" {
		s += ", " + f.Tolerance
	}
	return s
}

// why says what in the item wants a tutor's eye: a finding that is not plainly good and that no tutor has judged, a check
// that is still to be made, a photo from before the release.
func (it ItemView) why() []string {
	var words []string
	add := func(s string) {
		if !slices.Contains(words, s) {
			words = append(words, s)
		}
	}
	for _, l := range it.Lines {
		switch {
		case l.Finding == nil || l.Override != nil:
		case l.Quiet():
		case l.Mark() == "good":
			add(l.Verdict().Words() + ", with a question")
		default:
			add(l.Verdict().Words())
		}
		if l.NeedsCheck() && l.Check == nil {
			add("your check")
		}
	}
	if len(it.Asks()) > 0 {
		add("something to ask")
	}
	if it.TakesFiles() && !it.Optional && len(it.Files) == 0 {
		add("nothing there")
	}
	for _, f := range it.Files {
		if w := f.Order.Words(f.HoldOf); w != "" {
			add(w)
		}
	}
	return words
}

// Look lists what to look at among the evidence for the criterion.
func (k CriterionView) Look() []LookAt {
	var ls []LookAt
	for _, its := range [][]ItemView{k.Items, k.Above} {
		for _, it := range its {
			if why := it.why(); len(why) > 0 {
				ls = append(ls, LookAt{Item: it, Why: why})
			}
		}
	}
	return ls
}

// Decided counts the criteria that have a decision.
func (v *SheetView) Decided() int { return len(v.Criteria) - v.Undecided() }

// Next is the first criterion that is open, or has to be decided afresh; nil where every one is decided.
func (p *JudgePage) Next() *CriterionView {
	for i := range p.Criteria {
		if k := p.Criteria[i]; k.Decision == nil || k.Afresh() != nil {
			return &p.Criteria[i]
		}
	}
	return nil
}

// Others lists the criteria that the item bears on besides the one under which it is shown.
func (it ItemView) Others() []string {
	var refs []string
	for _, ref := range it.Criteria {
		if ref != it.Under {
			refs = append(refs, ref)
		}
	}
	return refs
}

// Whole says whether every criterion is met, so that the attempt can be signed off.
func (p *JudgePage) Whole() bool { return p.Sheet.Met() == len(p.Sheet.Criteria) }

// Released says whether the stage has a hold point that somebody released.
func (s StageView) Released() bool { return s.Hold != nil && s.Hold.Release != nil }

// ToDo is the first item that has to be there and is not; nil where everything is.
func (v *SheetView) ToDo() *ItemView {
	for i := range v.Stages {
		for j := range v.Stages[i].Items {
			if it := &v.Stages[i].Items[j]; !it.Done && !it.Optional {
				return it
			}
		}
	}
	return nil
}
