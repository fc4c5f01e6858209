package ui

import (
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/insight"
	"witnessmark/internal/marking"
)

// samplePagesOfSeeing adds the pages that show how a term, a trainee, a brief and a correction stand.
func samplePagesOfSeeing(ps map[string]page) {
	ps["term-empty"] = &TermPage{Frame: Frame{Title: "Term", Here: "/cohorts"}, Term: app.Term{Name: "Monday"}}
	term := app.Term{Cohort: id(1), Name: hostile}
	for i := range 30 {
		term.Tasks = append(term.Tasks, app.TermTask{Number: i + 1})
	}
	p := &TermPage{Frame: Frame{Title: "Term", Here: "/cohorts"}, Term: term}
	for i := range 200 {
		at := func(tasks ...int) []app.TermPlace {
			var out []app.TermPlace
			for _, k := range tasks {
				out = append(out, app.TermPlace{Task: k, Attempt: id(k), Number: 1 + k%2})
			}
			return out
		}
		p.Rows = append(p.Rows, newTermRow(app.TermRow{Trainee: id(i), Name: hostile, SignedOff: at(1, 2, 3, 5), Waiting: at(6), Sent: at(7, 8), Late: at(9), Under: at(10), Not: at(11, 12)}, 30))
	}
	ps["term"] = p
	ps["progress-empty"] = &ProgressPage{Frame: Frame{Title: "Shown", Here: "/cohorts"}}
	met, not := &app.CriterionDecision{Outcome: "met", ByName: hostile, At: when, State: decision.SignedOff}, &app.CriterionDecision{Outcome: "not_yet_met", ByName: "Owen", At: when}
	ps["progress"] = &ProgressPage{Frame: Frame{Title: "Shown", Here: "/cohorts"}, Progress: app.Progress{
		Cohort: id(1), CohortName: "Monday", Trainee: app.Member{Name: hostile}, Tasks: []app.ProgressTask{{Number: 1}, {Number: 2, At: app.ProgressTask{}.At}},
		Units: []app.ProgressUnit{{Code: "H2", Title: "Heat", Met: 1, Criteria: []app.ProgressCriterion{
			{Ref: "H2/1.1", Text: hostile, Decision: met, Tasks: []int{1}}, {Ref: "H2/1.2", Text: "x", Decision: not, Tasks: []int{1, 2}}, {Ref: "H2/1.3", Text: "y", Tasks: []int{2}}, {Ref: "H2/1.4", Text: "z"},
		}}},
	}}
	ps["numbers-none"] = newInsightPage(app.Insight{})
	ps["numbers-few"] = newInsightPage(sampleInsight(6))
	ps["numbers"] = newInsightPage(sampleInsight(400))
	ps["corrections-none"] = &CorrectionsPage{Frame: Frame{Title: "Corrections", Here: "/briefs"}, Versions: []app.BriefVersion{{Version: 1}}}
	report := app.RemarkReport{Remark: app.Remark{ID: id(4), Title: hostile, From: 1, To: 2, Words: hostile, ByName: "Owen", At: when, State: app.RemarkMarked, Total: 400, Done: 400}}
	report.Counts = []app.RemarkCount{{Shift: "up", Live: true, Attempts: 3, Resting: 1}, {Shift: "down", Attempts: 2}, {Shift: "lacking", Live: true, Attempts: 1}}
	report.Lines = []app.RemarkLineCount{{Line: "heat", Title: hostile, Up: 3, Down: 2}}
	line := app.RemarkLine{Title: hostile, Stated: "15.8", Was: marking.Wrong, Now: marking.Correct, WasRef: "14 kW", NowRef: "15.8 kW", Stands: true}
	for i, shift := range []string{"up", "down", "aside", "same"} {
		row := app.RemarkRow{Lines: []app.RemarkLine{line}}
		row.Attempt, row.TraineeName, row.CohortName, row.Shift, row.Live, row.State, row.NowMarks, row.Rests = id(i), hostile, hostile, shift, i%2 == 0, decision.Decided, i, []string{"H2/1.1"}
		if shift == "same" {
			row.Lacking = "No edition is in force."
		}
		report.Rows = append(report.Rows, row)
	}
	for _, st := range []app.RemarkState{app.RemarkMarking, app.RemarkStopped, app.RemarkMarked, app.RemarkTaking, app.RemarkTaken, app.RemarkDropped} {
		r := report
		r.State = st
		ps["correction-"+string(st)] = &CorrectionPage{Frame: Frame{Title: "Correction", Here: "/briefs"}, Report: r, View: CorrectionView{r.Remark}}
	}
	ps["corrections"] = &CorrectionsPage{Frame: Frame{Title: "Corrections", Here: "/briefs"}, Name: hostile, Brief: uuid.New(), Corrections: []CorrectionView{{report.Remark}}, Versions: []app.BriefVersion{{Version: 2, PublishedAt: when}, {Version: 1, PublishedAt: when.Add(-time.Hour)}}}
}

func sampleInsight(n int) app.Insight {
	in := app.Insight{Attempts: n, More: n > 100}
	for i, title := range []string{"Heat output", hostile, "Nobody did this"} {
		f := app.FigureInsight{Key: "k", Title: title, Slips: []app.SlipCount{{Is: hostile, Times: 3}}}
		f.Item = insight.Item{Answered: n, Right: n / (i + 2), Known: n >= insight.Enough, Discrimination: 0.4 - 0.3*float64(i), Strong: insight.Group{Answered: n / 4, Right: n / (4 + 6*i)}, Weak: insight.Group{Answered: n / 4, Right: n / 8}, Suspect: i == 1}
		if i == 2 {
			f.Item = insight.Item{}
		}
		in.Figures = append(in.Figures, f)
	}
	return in
}

func TestSpans(t *testing.T) {
	for _, c := range []struct {
		tasks []int
		want  string
	}{{nil, ""}, {[]int{3}, "3"}, {[]int{1, 2}, "1, 2"}, {[]int{1, 2, 3, 4, 7}, "1 to 4, 7"}, {[]int{2, 4, 5}, "2, 4, 5"}} {
		var places []app.TermPlace
		for _, k := range c.tasks {
			places = append(places, app.TermPlace{Task: k})
		}
		if got := spans(places); got != c.want {
			t.Errorf("%v: got %q, want %q", c.tasks, got, c.want)
		}
	}
}
