package ui

import (
	"net/http"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// ConcernedPage says what an edition of a rule set changes, and which briefs and attempts that concerns.
type ConcernedPage struct {
	Frame
	Report   app.RuleReport
	Row      RuleRow
	Attempts []ConcernedRow
}

func (*ConcernedPage) template() string { return "concerned" }

// ConcernedRow is one attempt that a change concerns.
type ConcernedRow struct {
	app.ConcernedAttempt
	Edition app.RuleEdition // the new one
}

// Why says in a sentence how the attempt stands to the new edition.
func (r ConcernedRow) Why() string {
	from := date(r.Edition.ValidFrom)
	switch {
	case r.HandedLate:
		return "Handed over " + day(r.HandedAt) + ", when the new edition held already, and marked with edition “" + r.Under + "”."
	case r.Late:
		return "Handed over " + day(r.HandedAt) + ", before the new edition, and marked with edition “" + r.Under + "” on " + day(r.MarkedAt) + "."
	case r.Under != "":
		return "Marked with edition “" + r.Under + "” on " + day(r.MarkedAt) + "; not signed off yet."
	case r.State == decision.Planned:
		return "Not started. Handed over from " + from + " on, it is marked with the new edition."
	case !r.HandedAt.IsZero():
		return "Handed over " + day(r.HandedAt) + ", not marked yet."
	}
	return "Under way. Handed over from " + from + " on, it is marked with the new edition."
}

// Differs says whether a line would come out otherwise.
func (r ConcernedRow) Differs(l app.ConcernedLine) bool { return l.Verdict != l.Would }

// Shape is how a verdict looks.
func (r ConcernedRow) Shape(v marking.Verdict) string { return markOf(v) }

func (u *UI) concerned(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	r, err := u.app.RuleReport(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &ConcernedPage{
		Frame: Frame{Title: "What edition " + r.Edition.Edition + " changes", Here: "/rules"}, Report: r, Row: RuleRow{r.Edition, u.day()},
	}
	for _, at := range r.Attempts {
		p.Attempts = append(p.Attempts, ConcernedRow{at, r.Edition})
	}
	return u.render(c, who, http.StatusOK, p)
}

type markAgainForm struct {
	Revision int       `form:"revision"`
	Edition  uuid.UUID `form:"edition" validate:"required" say:"Choose an edition."`
	Words    string    `form:"words" validate:"required,max=4000" say:"Say why another edition holds for this attempt, so that whoever reads this later can follow you."`
}

func (u *UI) markAgain(c echo.Context, who account.Caller) error {
	var f markAgainForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.MarkAgain(c.Request().Context(), who, id, f.Revision, f.Edition, f.Words)
	}
	return u.sheetForm(c, who, err, "mark-again", "#rules", "Marked again. The earlier result is kept.")
}

// OtherEditions are the editions under which the attempt could be marked again, as they are offered.
func (v *SheetView) OtherEditions() []Option {
	os := []Option{{Text: "choose"}}
	for _, e := range v.Others {
		os = append(os, Option{Value: e.ID.String(), Text: e.Title + ", edition " + e.Edition + ", from " + date(e.ValidFrom)})
	}
	return os
}
