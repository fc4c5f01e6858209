package ui

import (
	"net/http"
	"slices"

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
	Report app.RuleReport
	Row    RuleRow
	Marked []ConcernedRow // with another edition
	Coming []ConcernedRow // not marked yet
}

func (*ConcernedPage) template() string { return "concerned" }

// ConcernedRow is one attempt that a change concerns.
type ConcernedRow struct {
	app.ConcernedAttempt
	Edition app.RuleEdition // the new one
}

// Why says in a sentence how the attempt stands to the new edition.
func (r ConcernedRow) Why() string {
	state, with := sentence(r.State.Words())+". ", "marked with edition “"+r.Under+"”"
	switch {
	case r.HandedLate:
		return state + "Handed over " + day(r.HandedAt) + ", on the new edition's first day or later, and " + with + "."
	case r.Late:
		return state + "Handed over " + day(r.HandedAt) + ", before the new edition, and " + with + " on " + day(r.MarkedAt) + "."
	case r.Under != "":
		return state + "Handed over " + day(r.HandedAt) + " and " + with + "; not signed off yet."
	case !r.HandedAt.IsZero():
		return state + "Handed over " + day(r.HandedAt) + "."
	}
	return state + "Handed over from " + date(r.Edition.ValidFrom) + " on, it is marked with the new edition."
}

// Differing are the lines that would come out otherwise.
func (r ConcernedRow) Differing() []app.ConcernedLine { return r.lines(true) }

// Staying are the lines that a changed limit leaves as they are judged.
func (r ConcernedRow) Staying() []app.ConcernedLine { return r.lines(false) }

func (r ConcernedRow) lines(differ bool) []app.ConcernedLine {
	return slices.DeleteFunc(slices.Clone(r.Lines), func(l app.ConcernedLine) bool { return (l.Verdict != l.Would) != differ })
}

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
	p.sort(r.Attempts)
	return u.render(c, who, http.StatusOK, p)
}

// sort puts attempts where they belong, in their order.
func (p *ConcernedPage) sort(attempts []app.ConcernedAttempt) {
	for _, at := range attempts {
		to := &p.Coming
		if at.Under != "" {
			to = &p.Marked
		}
		*to = append(*to, ConcernedRow{at, p.Report.Edition})
	}
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

// MarkedAgain lists when the attempt was marked again under another edition, oldest first.
func (v *SheetView) MarkedAgain() []decision.Record {
	return slices.DeleteFunc(slices.Clone(v.Records), func(r decision.Record) bool { return r.Kind != decision.KindMarkAgain })
}

// OtherEditions are the editions under which the attempt could be marked again, as they are offered.
func (v *SheetView) OtherEditions() []Option {
	os := []Option{{Text: "choose"}}
	for _, e := range v.Others {
		os = append(os, Option{Value: e.ID.String(), Text: e.Title + ", edition " + e.Edition + ", from " + date(e.ValidFrom)})
	}
	return os
}
