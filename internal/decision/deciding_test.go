package decision

import (
	"slices"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
)

// judged is the record of a decision on a criterion by somebody.
func judged(criterion string, o Outcome, by uuid.UUID) Record {
	return Record{ID: uuid.New(), Kind: KindCriterion, Subject: criterion, Outcome: string(o), Role: "tutor", By: by}
}

func TestCarryOver(t *testing.T) {
	b := sample.Brief() // "demand" (H2/1.2) is re-opened by "continuity" (H3/1.10)
	all := []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"}
	for name, c := range map[string]struct {
		not     []string
		met     []string
		lapsed  string
		carried map[string]bool
	}{
		"nothing to do again":      {nil, all, "", map[string]bool{"before": true, "continuity": true, "demand": true, "heat": true, "sheet": false}},
		"what re-opens nothing":    {[]string{"H2/1.1"}, all[1:], "", map[string]bool{"before": false, "continuity": true, "demand": true}},
		"what re-opens another":    {[]string{"H3/1.10"}, []string{"H2/1.1", "H2/2.1"}, "H2/1.2", map[string]bool{"before": true, "continuity": false, "demand": false, "noise": true}},
		"both, and nothing lapses": {[]string{"H3/1.10", "H2/1.2"}, []string{"H2/1.1", "H2/2.1"}, "", map[string]bool{"demand": false, "noise": false}},
	} {
		t.Run(name, func(t *testing.T) {
			var records []Record
			for _, ref := range all {
				o := Met
				if slices.Contains(c.not, ref) {
					o = NotYetMet
				}
				records = append(records, judged(ref, o, uuid.Nil))
			}
			got := CarryOver(b, records)
			if !slices.Equal(got.Met, c.met) {
				t.Errorf("carried as met: %q, want %q", got.Met, c.met)
			}
			lapsed := ""
			for _, l := range got.Lapsed {
				lapsed += l.Criterion
				if !strings.Contains(l.Why, "Controls do what they should") || !strings.Contains(l.Why, "Continuity of the protective conductor") {
					t.Errorf("%s lapses since %q, want both items named", l.Criterion, l.Why)
				}
			}
			if lapsed != c.lapsed {
				t.Errorf("%q lapses, want %q", lapsed, c.lapsed)
			}
			for key, want := range c.carried {
				if got.Items[key] != want {
					t.Errorf("evidence of %q goes along: %t, want %t", key, got.Items[key], want)
				}
			}
		})
	}
}

// What is re-opened has to be done again, and so may re-open others in turn, in a ring as well.
func TestCarryOverGoesOn(t *testing.T) {
	b := sample.Brief()
	for i := range b.Stages {
		for j := range b.Stages[i].Items {
			switch it := &b.Stages[i].Items[j]; it.Key {
			case "heat": // H2/2.1
				it.ReopenedBy = []string{"demand"}
			case "continuity":
				it.ReopenedBy = []string{"heat"}
			}
		}
	}
	records := []Record{judged("H2/1.1", Met, uuid.Nil), judged("H2/1.2", Met, uuid.Nil), judged("H2/2.1", Met, uuid.Nil), judged("H3/1.10", NotYetMet, uuid.Nil)}
	got := CarryOver(b, records)
	if len(got.Lapsed) != 2 || !slices.Equal(got.Met, []string{"H2/1.1"}) {
		t.Errorf("got %+v, want H2/1.2 and H2/2.1 to lapse and H2/1.1 to stay", got)
	}
}

func TestCountersigning(t *testing.T) {
	learner, tutor := uuid.New(), uuid.New()
	refs := []string{"H2/1.1", "H2/1.2"}
	first, own := judged("H2/1.1", Met, learner), judged("H2/1.2", Met, tutor)
	first.Role = RoleCountersigned
	records := []Record{first, own}
	if w := Uncountersigned(refs, records); len(w) != 1 || w[0].ID != first.ID {
		t.Fatalf("waiting for a countersignature: %+v, want the first", w)
	}
	if err := CheckCountersigned(refs, records); fault.KindOf(err) != fault.KindConflict || !strings.Contains(err.Error(), "H2/1.1") {
		t.Errorf("with one waiting: %v, want a conflict that names it", err)
	}
	sign := Record{Kind: KindCountersign, Subject: "H2/1.1", Value: first.ID.String(), By: tutor}
	if err := CheckCountersigned(refs, append(records, sign)); err != nil {
		t.Errorf("countersigned: %v", err)
	}
	second := judged("H2/1.1", NotYetMet, learner)
	second.Role = RoleCountersigned
	if w := Uncountersigned(refs, append(records, sign, second)); len(w) != 1 || w[0].ID != second.ID {
		t.Errorf("decided again: %+v wait, want the new decision", w)
	}
	back := judged("H2/1.1", TakenBack, learner)
	back.Role = RoleCountersigned
	if w := Uncountersigned(refs, append(records, back)); len(w) != 0 {
		t.Errorf("taken back: %+v wait, want none", w)
	}
}

func TestAppeals(t *testing.T) {
	tutor, assurer := uuid.New(), uuid.New()
	sent := Record{Kind: KindMoreToDo, By: tutor}
	records := []Record{judged("H2/1.1", Met, tutor), judged("H2/1.2", NotYetMet, tutor), sent}
	appealed := append(slices.Clone(records), Record{Kind: KindAppeal, Words: "It was warm."})
	for name, c := range map[string]struct {
		err  error
		want fault.Kind
	}{
		"an appeal":                  {CheckAppeal(records, "It was warm."), 0},
		"without words":              {CheckAppeal(records, " "), fault.KindInvalid},
		"a second against the same":  {CheckAppeal(appealed, "It was."), fault.KindConflict},
		"one after the next sending": {CheckAppeal(append(slices.Clone(appealed), sent), "It was."), 0},
		"heard by another":           {CheckHearing(HadPart(appealed, assurer), Upheld, "It was."), 0},
		"heard by who decided":       {CheckHearing(HadPart(appealed, tutor), Rejected, "It was not."), fault.KindForbidden},
		"heard without a reason":     {CheckHearing(HadPart(appealed, assurer), Rejected, ""), fault.KindInvalid},
		"heard without an outcome":   {CheckHearing(HadPart(appealed, assurer), "", "It was."), fault.KindInvalid},
	} {
		if got := fault.KindOf(c.err); c.err == nil && c.want != 0 || c.err != nil && got != c.want {
			t.Errorf("%s: %v, want kind %d", name, c.err, c.want)
		}
	}
	if _, ok := Afresh(appealed); ok {
		t.Error("with an appeal not heard yet it is decided afresh")
	}
	upheld := append(appealed, Record{Kind: KindAppealOutcome, Outcome: Upheld, By: assurer})
	if before, ok := Afresh(upheld); !ok || len(before) != len(appealed) || !HadPart(before, tutor) || HadPart(before, assurer) {
		t.Errorf("upheld: afresh %t after %d records; want those before the outcome, with the tutor's part in them", ok, len(before))
	}
	if got := Reopened([]string{"H2/1.1", "H2/1.2"}, upheld); !slices.Equal(got, []string{"H2/1.2"}) {
		t.Errorf("an upheld appeal opens %q, want what was not yet met", got)
	}
	if _, ok := Afresh(append(upheld, sent)); ok {
		t.Error("sent back once more it is still decided afresh")
	}
}
