package ui

import (
	"strings"
	"testing"

	"witnessmark/internal/brief/sample"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// pointed is a sheet whose grid points at the sample's fault.
func pointed(t *testing.T, st decision.State, own bool) *SheetView {
	t.Helper()
	v := sampleView(t, st, own)
	v.Findings = !own || v.Closed()
	for i := range v.Stages {
		for j := range v.Stages[i].Items {
			if it := &v.Stages[i].Items[j]; it.Key == "demand" {
				f := it.Test.Faults[0]
				it.Diagnosis = &marking.Diagnosis{
					Item: it.Key, Wrong: 7, Tutor: "Words for the tutor.", Trainee: "Words for the trainee.",
					Likely: []marking.LikelyFault{
						{Key: f.Key, Is: f.Is, Look: f.Look, Fits: []string{"heat/pump", "heat/valve"}},
						{Key: "other", Is: "another fault", Fits: []string{"heat/pump"}, Against: []string{"heat/valve", "both/pump", "both/valve", "none/pump", "none/valve"}},
					},
				}
			}
		}
	}
	return v
}

// The tutor reads the likely faults beside the grid, with where to look and what speaks against them; the trainee reads
// their own sentence, and that only once the decision is out.
func TestLikelyFaultsStandBesideTheGrid(t *testing.T) {
	u := newUI(t)
	f := sample.Brief().Stages[1].Items[0].Test.Faults[0]
	tutor := draw(t, u, newJudgePage(pointed(t, decision.Checked, false)))
	for _, want := range []string{
		"Words for the tutor.", sentence(f.Is), sentence(f.Look), `data-head="Cells for it">2<`, `data-head="Against it">nothing`,
		`data-head="Against it">row 1 valve, row 2 pump, row 2 valve, row 3 pump and 1 more`,
	} {
		if !strings.Contains(tutor, want) {
			t.Errorf("the tutor does not read %q", want)
		}
	}
	for st, reads := range map[decision.State]bool{decision.HandedOver: false, decision.MoreToDo: true} {
		v := pointed(t, st, true)
		html := draw(t, u, &WorkPage{Frame: Frame{Title: v.BriefTitle, Here: "/tasks"}, Sheet: v})
		if strings.Contains(html, "Words for the trainee.") != reads || strings.Contains(html, "Words for the tutor.") || strings.Contains(html, sentence(f.Look)) {
			t.Errorf("%s: the trainee reads it (%v wanted), or what only the tutor reads", st, reads)
		}
	}
}

// Questions stand on what tutors read, and never on what trainees do, in any state.
func TestQuestionsAreForTutors(t *testing.T) {
	u := newUI(t)
	q := sample.Brief().Stages[0].Questions[0]
	tutors := map[string]bool{"brief": true, "edit": true, "edit-front": true, "edit-back": true, "blank-tutor": true}
	for name, p := range samplePages(t) {
		html, want := draw(t, u, p), tutors[name]
		switch p.(type) {
		case *JudgePage, *WorkshopPage:
			want = true
		}
		if asked := strings.Contains(html, q.Ask) && strings.Contains(html, q.Listen); asked != want || strings.Contains(html, q.Ask) != asked {
			t.Errorf("%s asks: %v, want %v", name, asked, want)
		}
	}
}
