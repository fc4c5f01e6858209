package decision

import (
	"slices"
	"testing"

	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

func TestBlindShowsNothingOfHowItWasJudged(t *testing.T) {
	var all []Record
	for _, k := range []Kind{
		KindHoldRelease, KindCriterion, KindOverride, KindObservation, KindQuestion, KindCountersign, KindSignOff, KindMoreToDo, KindAppeal,
		KindAppealOutcome, KindSample, KindClear, KindClaim, KindSuspend, KindResume, KindSetAside, KindOneMore, KindAcknowledge, KindCheckReading,
	} {
		all = append(all, Record{Kind: k})
	}
	var got []Kind
	for _, r := range Blind(all) {
		got = append(got, r.Kind)
	}
	if want := []Kind{KindHoldRelease, KindObservation, KindCheckReading}; !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestBlindJudgementsAreWhole(t *testing.T) {
	b := sample.Brief()
	whole := func(change func([]Judgement) []Judgement) []Judgement {
		var js []Judgement
		for _, ref := range b.CriterionRefs() {
			js = append(js, Judgement{Criterion: ref, Outcome: Met})
		}
		return change(js)
	}
	free := func(string) []string { return nil }
	stuck := func(ref string) []string {
		if ref == "H2/1.1" {
			return []string{"A line is wrong."}
		}
		return nil
	}
	same := func(js []Judgement) []Judgement { return js }
	for _, c := range []struct {
		name    string
		js      []Judgement
		blocked func(string) []string
		field   string // "" where it is taken
	}{
		{"all met", whole(same), free, ""},
		{"one left out", whole(func(js []Judgement) []Judgement { return js[1:] }), free, "outcome:" + b.CriterionRefs()[0]},
		{"none at all", nil, free, "outcome:" + b.CriterionRefs()[0]},
		{"one twice", whole(func(js []Judgement) []Judgement { return append(js, js[0]) }), free, "criterion"},
		{"not yet met without a reason", whole(func(js []Judgement) []Judgement { js[0].Outcome = NotYetMet; return js }), free, "reason:" + b.CriterionRefs()[0]},
		{"an outcome of their own", whole(func(js []Judgement) []Judgement { js[0].Outcome = "nearly"; return js }), free, "outcome:" + b.CriterionRefs()[0]},
		{"met against the marker without a word", whole(same), stuck, "words:H2/1.1"},
		{"met against the marker with one", whole(func(js []Judgement) []Judgement {
			for i := range js {
				js[i].Words = "The figure was read off the meter beside me."
			}
			return js
		}), stuck, ""},
	} {
		err := CheckBlind(b, c.js, c.blocked)
		f, _ := fault.As(err)
		switch {
		case c.field == "" && err != nil:
			t.Errorf("%s: %v", c.name, err)
		case c.field != "" && (f == nil || f.Fields[0].Name != c.field):
			t.Errorf("%s: got %+v, want a word on %s", c.name, err, c.field)
		}
	}
}
