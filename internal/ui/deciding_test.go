package ui

import (
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// decidingPages adds the pages of deciding, and those that show what stands beside decisions.
func decidingPages(t *testing.T, ps map[string]page) {
	t.Helper()
	records := func(v *SheetView, words string) {
		ref := v.Criteria[0].Ref
		v.Records = append(v.Records,
			decision.Record{ID: id(70), Kind: decision.KindQuestion, Subject: ref, Outcome: decision.Answered, Words: "By its range. " + words, Value: "How did you choose the meter? " + words, ByName: "Owen Tranter", Role: "tutor", At: when},
			decision.Record{ID: id(71), Kind: decision.KindQuestion, Subject: v.Criteria[1].Ref, Outcome: decision.Asked, Words: "Why is the valve at mid? " + words, ByName: "Owen Tranter", Role: "tutor", At: when},
			decision.Record{ID: id(72), Kind: decision.KindCriterion, Subject: v.Criteria[2].Ref, Outcome: decision.TakenBack, Value: "1", Words: "Met in attempt 1, and to be shown again. “Controls” has to be shown again once “Wiring” is done again. " + words, ByName: "Owen Tranter", Role: "tutor", At: when},
			decision.Record{ID: id(73), Kind: decision.KindOverride, Subject: "heat", Outcome: "correct", Words: "I worked it with them. " + words, ByName: "Owen Tranter", Role: "tutor", At: when},
			decision.Record{ID: id(74), Kind: decision.KindAppeal, Words: "The working was on the second sheet. " + words, ByName: "Maya Ellison", Role: "trainee", At: when},
			decision.Record{ID: id(75), Kind: decision.KindAppealOutcome, Outcome: decision.Rejected, Words: "I looked at both sheets. " + words, ByName: "Ada Quill", Role: "centre manager", At: when},
			decision.Record{ID: id(76), Kind: decision.KindAcknowledge, Outcome: "read", ByName: "Maya Ellison", Role: "trainee", At: when},
		)
		if v.Remark != nil && v.Remark.Kind == decision.KindMoreToDo {
			v.Remark.Words = decision.More{Good: "Clean joints. " + words, Missing: "The working. " + words, ToDo: "Show it again. " + words}.Words()
		}
		if d := v.Criteria[1].Decision; d != nil {
			d.Role = decision.RoleCountersigned
			v.Uncountersigned = []decision.Record{*d}
		}
	}
	ps["second-empty"] = &SecondPage{Frame: Frame{Title: "Second looks"}}
	ps["second-hostile"] = &SecondPage{Frame: Frame{Title: "Second looks"}, Looks: []SecondRow{
		{app.SecondLook{Attempt: id(1), TraineeName: hostile, CohortName: hostile, Title: hostile, Number: 2, State: decision.UnderAppeal, Since: when}},
		{app.SecondLook{Attempt: id(2), TraineeName: "Maya Ellison", CohortName: "Tuesday", Title: "Bay 7", Number: 1, State: decision.Decided, Since: when}},
	}}
	for name, words := range map[string]string{"": "", "-hostile": hostile} {
		for _, own := range []bool{true, false} {
			v := sampleView(t, decision.MoreToDo, own)
			v.Findings, v.Acknowledge, v.Appeal = true, app.Leave{May: true}, app.Leave{May: true}
			records(v, words)
			p := &FeedbackPage{Frame: Frame{Title: "Feedback"}, Sheet: v, Criteria: v.Each(), Next: id(9)}
			ps["feedback-"+map[bool]string{true: "own", false: "tutor"}[own]+name] = p
		}
		v := sampleView(t, decision.Decided, false)
		v.Tutor, v.Findings = true, true
		records(v, words)
		ps["mark-sheet"+name] = &MarkSheetPage{Frame: Frame{Title: "Mark sheet"}, Sheet: v, Criteria: v.Each()}
		for state, may := range map[decision.State]bool{decision.Decided: true, decision.Checked: false, decision.UnderAppeal: true} {
			v := sampleView(t, state, false)
			records(v, words)
			v.Countersign, v.Settle = app.Leave{May: may, Why: "Nobody countersigns their own decision."}, app.Leave{May: may, Why: "Somebody else hears it."}
			v.Carry = decision.Carry{Met: []string{"H2/1.1"}, Lapsed: []decision.Lapse{{Criterion: "H2/1.2", Why: "“Controls” has to be shown again. " + words}}}
			ps["deciding-"+string(state)+name] = tutorsPage(v)
		}
		own := sampleView(t, decision.Open, true)
		own.Records = []decision.Record{
			{Kind: decision.KindQuestion, Subject: own.Criteria[0].Ref, Outcome: decision.Asked},
			{Kind: decision.KindCriterion, Subject: own.Criteria[1].Ref, Outcome: decision.TakenBack, Value: "1", Words: "Met in attempt 1. " + words},
		}
		ps["work-again"+name] = &WorkPage{Frame: Frame{Title: own.BriefTitle, Here: "/tasks"}, Sheet: own}
	}
}
