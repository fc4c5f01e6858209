package api

import (
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// Tutors get the questions and all of what a grid points at; a trainee gets no question, and the sentence once the decision
// is out.
func TestDiagnosisAndQuestionsByReader(t *testing.T) {
	d := marking.Diagnosis{Item: "grid", Wrong: 3, Trainee: "For the trainee.", Tutor: "For the tutor.", Likely: []marking.LikelyFault{{Key: "wire", Is: "a wire is off", Fits: []string{"a/b"}}}}
	s := app.Sheet{Stages: []app.SheetStage{{
		Key: "one", Questions: []brief.Question{{Ask: "Why twice?", Listen: "It may have failed."}},
		Items: []app.SheetItem{{Item: &brief.Item{Key: "grid", Test: &brief.FunctionalTest{}}, Diagnosis: &d}},
	}}}
	for _, c := range []struct {
		name                        string
		own                         bool
		state                       decision.State
		questions, sentence, likely bool
	}{
		{"tutor", false, decision.Checked, true, true, true},
		{"trainee before the decision", true, decision.Decided, false, false, false},
		{"trainee after it", true, decision.MoreToDo, false, true, false},
	} {
		s.Own, s.State = c.own, c.state
		st := sheetOf(s).Stages[0]
		got := st.Items[0].Diagnosis
		if len(st.Questions) > 0 != c.questions || (got != nil) != c.sentence {
			t.Errorf("%s: questions %v, diagnosis %+v", c.name, st.Questions, got)
		}
		if got != nil && (got.Sentence != d.Trainee || (got.Tutor == d.Tutor && got.Wrong == 3 && len(got.Likely) == 1) != c.likely || (got.Tutor != "") != c.likely) {
			t.Errorf("%s: got %+v", c.name, got)
		}
	}
}
