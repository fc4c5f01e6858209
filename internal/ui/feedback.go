package ui

import (
	"fmt"
	"slices"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

// FeedbackPage is what a trainee reads of an attempt that was judged, line by line; it prints.
type FeedbackPage struct {
	Frame
	Sheet    *SheetView
	Criteria []CriterionView
	Next     uuid.UUID // the attempt after this one; zero where there is none
}

func (*FeedbackPage) template() string { return "feedback" }

// HasNext says whether there is an attempt after this one.
func (p *FeedbackPage) HasNext() bool { return p.Next != uuid.Nil }

// More is what was said when the attempt was sent back; nil where it was not, and where it was said in one text.
func (v *SheetView) More() *decision.More {
	if v.Remark == nil || v.Remark.Kind != decision.KindMoreToDo {
		return nil
	}
	if m, ok := decision.ReadMore(v.Remark.Words); ok {
		return &m
	}
	return nil
}

// Lapsed says why a criterion that was met in an earlier attempt is open in this one; nil where it did not lapse.
func (k CriterionView) Lapsed() *decision.Record { return decision.Lapsed(k.On.Records, k.Ref) }

// Lapses lists the criteria that were met in an earlier attempt and have to be shown again in this one.
func (v *SheetView) Lapses() []CriterionView {
	var ks []CriterionView
	for _, k := range v.Each() {
		if k.Lapsed() != nil {
			ks = append(ks, k)
		}
	}
	return ks
}

// Each is every criterion, without its evidence.
func (v *SheetView) Each() []CriterionView {
	ks := make([]CriterionView, len(v.Criteria))
	for i, c := range v.Criteria {
		ks[i] = CriterionView{SheetCriterion: c, On: v}
	}
	return ks
}

// Amiss lists the stage's lines that are not plainly as they should be.
func (s StageView) Amiss() []LineView {
	var ls []LineView
	for _, it := range s.Items {
		ls = append(ls, slices.DeleteFunc(slices.Clone(it.Lines), func(l LineView) bool { return l.Finding == nil || l.sound() })...)
	}
	return ls
}

// Right lists in words what of the stage is as it should be: an item once where all of it is, with a figure's value.
func (s StageView) Right() []string {
	var ws []string
	for _, it := range s.Items {
		var sound []string
		found := 0
		for _, l := range it.Lines {
			if l.Finding == nil {
				continue
			}
			if found++; l.sound() {
				sound = append(sound, l.Caption())
			}
		}
		switch words := fmt.Sprintf("%d %s", it.Number, it.Title); {
		case len(sound) == 0:
		case it.Figure != nil && it.One().Entry != nil:
			ws = append(ws, fmt.Sprintf("%s, %s%s%s", words, it.One().Entry.Text, thin, it.One().StatedUnit()))
		case len(sound) == found:
			ws = append(ws, words)
		default:
			ws = append(ws, words+", "+join(sound))
		}
	}
	return ws
}

// sound says whether the line's verdict leaves nothing to say.
func (l LineView) sound() bool { return l.Mark() == "good" && l.Verdict() != marking.FollowThrough }

// Faulty lists the functional tests of the stage whose wrong cells point at something.
func (s StageView) Faulty() []ItemView {
	return slices.DeleteFunc(slices.Clone(s.Items), func(it ItemView) bool { return it.Test == nil || it.Diagnosis == nil })
}

// FollowsThrough says whether a line of the sheet is right from the trainee's own earlier figures alone.
func (v *SheetView) FollowsThrough() bool {
	for _, st := range v.Stages {
		if slices.ContainsFunc(st.Amiss(), func(l LineView) bool { return l.Verdict() == marking.FollowThrough }) {
			return true
		}
	}
	return false
}

// feedback shows what was decided and found, in the words for the trainee.
func (u *UI) feedback(c echo.Context, who account.Caller) error {
	return u.showFeedback(c, who, Form{})
}

func (u *UI) showFeedback(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.Sheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	v := newSheetView(s, f)
	if !v.Closed() {
		return fault.Conflict("This attempt is %s: there is no feedback to read yet.", s.State.Words())
	}
	v.Findings = true
	p := &FeedbackPage{Frame: Frame{Title: "Feedback: " + s.BriefTitle, Here: "/tasks"}, Sheet: v, Criteria: v.Each()}
	if !s.Own {
		p.Here = "/cohorts"
	} else if s.State == decision.MoreToDo {
		if p.Next, err = u.nextAttempt(c, who, s); err != nil {
			return err
		}
	}
	return u.render(c, who, f.Status(), p)
}

// feedbackForm answers a form of the feedback: the feedback again.
func (u *UI) feedbackForm(c echo.Context, who account.Caller, err error, which, notice string) error {
	switch {
	case fault.KindOf(err) == fault.KindForbidden:
		return err
	case err != nil:
		return u.again(c, err, which, func(f Form) error { return u.showFeedback(c, who, f) })
	}
	return u.taken(c, "/attempts/"+c.Param("id")+"/feedback", notice)
}
