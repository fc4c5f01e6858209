package ui

import (
	"fmt"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/brief"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// MarkSheetPage is an attempt's decisions and findings as they go on file; it prints. Its trainee reads the feedback instead.
type MarkSheetPage struct {
	Frame
	Sheet    *SheetView
	Criteria []CriterionView
}

func (*MarkSheetPage) template() string { return "marksheet" }

// Marked lists the lines on which there is a finding or a check reading, in order.
func (v *SheetView) Marked() []LineView {
	var ls []LineView
	for _, st := range v.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Finding != nil {
					ls = append(ls, l)
				}
			}
		}
	}
	return ls
}

// Named is the line's item, with the line's own label where the item has several that are judged apart.
func (l LineView) Named() string {
	if l.Label == "" || l.Of.Sequence != nil || l.Of.Labelled() {
		return l.Of.Title
	}
	return l.Of.Title + ", " + l.Label
}

// Reference is what the line was held against: the figure's reference with its tolerance, the limit, or what was expected.
func (l LineView) Reference() string {
	if s := l.Against(); s != "" {
		return s[len("against "):]
	}
	if s := l.LimitWords(); s != "" {
		return s
	}
	return l.Finding.Expected
}

// RestsOn lists in words what the decision rests on.
func (k CriterionView) RestsOn() []string {
	if k.Decision == nil {
		return nil
	}
	var ts []string
	for _, key := range k.Decision.Evidence {
		ts = append(ts, k.On.item(key))
	}
	return ts
}

// item is an item's number and title; its key where the brief has no such item.
func (v *SheetView) item(key string) string {
	for _, st := range v.Stages {
		for _, it := range st.Items {
			if it.Key == key {
				return fmt.Sprintf("%d %s", it.Number, it.Title)
			}
		}
	}
	return key
}

// LogLine is one record as the log of a mark sheet has it.
type LogLine struct {
	decision.Record
	Superseded bool
}

// Log is everything decided, oldest first.
func (v *SheetView) Log() []LogLine {
	ls := make([]LogLine, len(v.Records))
	for i, r := range v.Records {
		later := !r.Kind.Apart() && decision.Latest(v.Records, r.Kind, r.Subject) != &v.Records[i]
		ls[i] = LogLine{r, later}
	}
	return ls
}

// Concerns is what the record is about, in words: a criterion, or an item of the brief by its title.
func (v *SheetView) Concerns(l LogLine) string {
	line := lineEntry(l.Subject)
	for _, st := range v.Stages {
		if st.Key == l.Subject {
			return "stage " + st.Title
		}
		for _, it := range st.Items {
			if it.Key != line.Item {
				continue
			}
			if line.Phase != brief.NoPhase {
				return it.Title + ", " + line.Phase.Words()
			}
			return it.Title
		}
	}
	return l.Subject
}

// marksheet shows the mark sheet to whoever sees the attempt and is not its trainee.
func (u *UI) marksheet(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.Sheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	if s.Own {
		return fault.Forbidden("The mark sheet is for tutors. What was decided stands in your feedback.")
	}
	if s.HandedAt.IsZero() {
		return fault.Conflict("This attempt is %s: there is no mark sheet yet.", s.State.Words())
	}
	v := newSheetView(s, Form{})
	v.Tutor, v.Findings = true, true
	return u.render(c, who, 200, &MarkSheetPage{Frame: Frame{Title: "Mark sheet: " + s.Trainee, Here: "/cohorts"}, Sheet: v, Criteria: v.Each()})
}
