package ui

import (
	"slices"
	"strings"

	"github.com/google/uuid"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SheetView is an attempt laid out for one of the three pages that show it.
type SheetView struct {
	app.Sheet
	Form     Form
	Checks   map[string][]app.SpotCheck // by stage: what the trainee's phone checks a release on the spot by
	Stages   []StageView
	Findings bool                     // the marker's findings and the tutor's decisions are shown
	Tutor    bool                     // in the words for the tutor
	Trying   bool                     // nobody's attempt: a brief being tried, in one form
	Rulings  map[string]app.RulingRow // in force, by criterion; where it is judged
}

// StageView is one stage with its items.
type StageView struct {
	app.SheetStage
	On    *SheetView
	Items []ItemView
}

// ItemView is one item with its lines.
type ItemView struct {
	app.SheetItem
	On    *SheetView
	Stage int    // its number
	Under string // the criterion under which it is shown; "" where it stands in its stage
	Lines []LineView
}

// LineView is one line.
type LineView struct {
	app.SheetLine
	On *SheetView
	Of *ItemView
}

// newSheetView lays a sheet out; everything in it points back to it.
func newSheetView(s app.Sheet, f Form) *SheetView {
	v := &SheetView{Sheet: s, Form: f}
	for _, st := range s.Stages {
		stage := StageView{SheetStage: st, On: v, Items: make([]ItemView, len(st.Items))}
		for i, it := range st.Items {
			item := &stage.Items[i]
			*item = ItemView{SheetItem: it, On: v, Stage: st.Number}
			for _, l := range it.Lines {
				item.Lines = append(item.Lines, LineView{SheetLine: l, On: v, Of: item})
			}
		}
		v.Stages = append(v.Stages, stage)
	}
	return v
}

// Where says where the attempt stands, in a sentence.
func (v *SheetView) Where() string {
	switch v.State {
	case decision.Planned:
		return "Set " + day(v.SetAt) + ", not started."
	case decision.Open:
		return "Started " + day(v.OpenedAt) + ", in progress."
	case decision.HandedOver:
		if v.Waits() {
			return "Handed over " + clock(v.HandedAt) + ". " + v.Arriving() + "; the marker waits for it."
		}
		return "Handed over " + clock(v.HandedAt) + ". The marker is working through it."
	case decision.Checked:
		return "Handed over " + clock(v.HandedAt) + ", waiting for the tutor."
	case decision.Decided:
		if v.Own {
			return "Handed over " + clock(v.HandedAt) + ", waiting for the tutor."
		}
		return "Every criterion has a decision. It waits to be signed off or sent back."
	case decision.SignedOff:
		return "Signed off " + clock(v.SignedAt) + "."
	case decision.MoreToDo:
		return "Sent back with more to do."
	}
	return strings.ToUpper(v.State.Words()[:1]) + v.State.Words()[1:] + "."
}

// Stops are the stops for safety that stand, the first first.
func (v *SheetView) Stops() []decision.Record {
	if v.State != decision.SafetyStopped {
		return nil
	}
	return decision.Stops(v.Records)
}

// MayStop says whether the work can be stopped for safety.
func (v *SheetView) MayStop() bool { return v.State == decision.Open && v.ID != uuid.Nil }

// Required counts the items that have to be there, and Ready those of them that are.
func (v *SheetView) Required() int { r, _ := v.counts(); return r }

// Ready counts the required items that are there.
func (v *SheetView) Ready() int { _, d := v.counts(); return d }

func (v *SheetView) counts() (required, done int) {
	for _, st := range v.Stages {
		for _, it := range st.Items {
			if it.Optional || it.Otherwise != nil {
				continue
			}
			required++
			if it.Done {
				done++
			}
		}
	}
	return required, done
}

// Met counts the criteria that are met.
func (v *SheetView) Met() int {
	n := 0
	for _, c := range v.Criteria {
		if c.Decision != nil && c.Decision.Outcome == string(decision.Met) {
			n++
		}
	}
	return n
}

// Undecided counts the criteria that are open.
func (v *SheetView) Undecided() int {
	n := 0
	for _, c := range v.Criteria {
		if c.Decision == nil {
			n++
		}
	}
	return n
}

// Judging says whether the caller may decide now.
func (v *SheetView) Judging() bool {
	return v.Judge && (v.State == decision.Checked || v.State == decision.Decided)
}

// Closed says whether the attempt has been judged to its end, so that the trainee reads what was decided.
func (v *SheetView) Closed() bool {
	return slices.Contains([]decision.State{
		decision.MoreToDo, decision.SignedOff, decision.Cleared, decision.Claimed, decision.Archived, decision.UnderAppeal,
	}, v.State)
}

// Whole says whether the attempt is signed off or beyond.
func (v *SheetView) Whole() bool {
	return v.Closed() && v.State != decision.MoreToDo && !v.SignedAt.IsZero()
}

// By is the date by which more is to be done, in words; "" where none was set.
func (v *SheetView) By() string {
	if v.Remark == nil || v.Remark.Kind != decision.KindMoreToDo {
		return ""
	}
	return dateWords(v.Remark.Value)
}

// Left counts what is missing in the stage.
func (s StageView) Left() int {
	n := 0
	for _, it := range s.Items {
		if !it.Done && !it.Optional && it.Otherwise == nil {
			n++
		}
	}
	return n
}

// FormID is the id of the stage's form, to which its inputs belong wherever they stand.
func (s StageView) FormID() string { return formID(s.Number) }

// Holding says whether the stage's hold point has not been released.
func (s StageView) Holding() bool { return s.Hold != nil && s.Hold.Release == nil }

// Entitled is the registration or approval that the releaser needs, in words.
func (s StageView) Entitled() string {
	switch s.Hold.Entitlement {
	case "gas":
		return "somebody with a gas registration in date"
	case "electrical":
		return "somebody with an electrical registration in date"
	case "unvented":
		return "somebody with an unvented approval in date"
	}
	return "a tutor of the cohort"
}
