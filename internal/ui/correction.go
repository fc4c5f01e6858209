package ui

import (
	"context"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

// CorrectionsPage lists the corrections of a brief, with the form to ask for one.
type CorrectionsPage struct {
	Frame
	Brief       uuid.UUID
	Name        string // the newest version's title
	Corrections []CorrectionView
	Versions    []app.BriefVersion // published ones, the newest first
	Form        Form
}

func (*CorrectionsPage) template() string { return "corrections" }

// May says whether there are two published versions, so that one can correct the other.
func (p *CorrectionsPage) May() bool { return len(p.Versions) > 1 }

// From is the choice of the version that was wrong, To of the one that corrects it.
func (p *CorrectionsPage) From() Field {
	return p.Form.Field("from", "Marked under version").From(p.options(1)).Needed()
}

// To is the choice of the version that corrects it.
func (p *CorrectionsPage) To() Field {
	return p.Form.Field("to", "Hold it against version").From(p.options(0)).Needed()
}

// options are the versions from the i-th newest on.
func (p *CorrectionsPage) options(i int) []Option {
	var out []Option
	for _, v := range p.Versions {
		if i--; i < 0 {
			out = append(out, Option{Value: strconv.Itoa(v.Version), Text: fmt.Sprintf("%d, published %s", v.Version, day(v.PublishedAt))})
		}
	}
	return out
}

// CorrectionPage is one correction: how far it has come, and what it changes.
type CorrectionPage struct {
	Frame
	Report app.RemarkReport
	View   CorrectionView
	Pages  Paged
	Form   Form
}

func (*CorrectionPage) template() string { return "correction" }

// CorrectionView is a correction in words.
type CorrectionView struct{ app.Remark }

// Working says whether a job is at it now.
func (v CorrectionView) Working() bool {
	return v.State == app.RemarkMarking || v.State == app.RemarkTaking
}

// Where says in a sentence how far it has come.
func (v CorrectionView) Where() string {
	switch v.State {
	case app.RemarkMarking:
		return fmt.Sprintf("Marking again: %d of %d done. Nothing counts yet.", v.Done, v.Total)
	case app.RemarkStopped:
		return fmt.Sprintf("Stopped with %d of %d done. Nothing counts yet.", v.Done, v.Total)
	case app.RemarkMarked:
		return fmt.Sprintf("%s marked again. Nothing counts before somebody says so.", sentence(count(v.Done, "attempt is", "attempts are")))
	case app.RemarkTaking:
		return fmt.Sprintf("Taking effect: %d of %d done.", v.Took, v.Took+v.Taking)
	case app.RemarkTaken:
		return fmt.Sprintf("It took effect on %s, by %s.", count(v.Took, "attempt", "attempts"), v.SettledBy)
	}
	return fmt.Sprintf("Dropped by %s. Nothing changed.", v.SettledBy)
}

// Now and Most are the ends of the bar.
func (v CorrectionView) Now() int {
	if v.State == app.RemarkTaking {
		return v.Took
	}
	return v.Done
}

// Most is the far end of the bar.
func (v CorrectionView) Most() int {
	if v.State == app.RemarkTaking {
		return max(v.Took+v.Taking, 1)
	}
	return max(v.Total, v.Done, 1)
}

// CorrectionSum is one way that attempts go.
type CorrectionSum struct {
	Words         string
	Live, Closed  int // neither signed off nor closed; the others, which stay as they are
	LiveR, CloseR int // of them with a decision that rests on it
}

// Sums are the ways in which attempts go, those that lose first.
func (p *CorrectionPage) Sums() []CorrectionSum {
	var out []CorrectionSum
	for _, w := range []struct{ shift, words string }{
		{string(marking.Down), "lose"}, {string(marking.Mixed), "gain on one line and lose on another"}, {string(marking.Up), "gain"},
		{string(marking.Aside), "read otherwise, and neither gain nor lose"}, {string(marking.Same), "stay as they are"}, {"lacking", "cannot be marked"},
	} {
		s := CorrectionSum{Words: w.words}
		for _, c := range p.Report.Counts {
			switch {
			case c.Shift != w.shift:
			case c.Live:
				s.Live, s.LiveR = c.Attempts, c.Resting
			default:
				s.Closed, s.CloseR = c.Attempts, c.Resting
			}
		}
		if s.Live+s.Closed > 0 {
			out = append(out, s)
		}
	}
	return out
}

// Live and Closed are the rows on which it takes effect, and those that are listed only.
func (p *CorrectionPage) Live() []CorrectionRow { return p.rows(true) }

// Closed are rows that are signed off or closed.
func (p *CorrectionPage) Closed() []CorrectionRow { return p.rows(false) }

func (p *CorrectionPage) rows(live bool) []CorrectionRow {
	var out []CorrectionRow
	for _, r := range p.Report.Rows {
		if r.Live == live {
			out = append(out, CorrectionRow{r})
		}
	}
	return out
}

// CorrectionRow is one attempt that comes out otherwise.
type CorrectionRow struct{ app.RemarkRow }

// Way says which way it goes, with its marks.
func (r CorrectionRow) Way() string {
	if r.Lacking != "" {
		return "Cannot be marked. " + r.Lacking
	}
	words := map[string]string{string(marking.Up): "Gains", string(marking.Down): "Loses", string(marking.Mixed): "Gains and loses"}[r.Shift]
	if words == "" {
		return "Reads otherwise; neither gains nor loses."
	}
	if r.WasMarks != r.NowMarks {
		return fmt.Sprintf("%s: %d marks, would be %d.", words, r.WasMarks, r.NowMarks)
	}
	return words + "; the marks stay " + strconv.Itoa(r.WasMarks) + "."
}

// Resting names the criteria whose decision rests on it.
func (r CorrectionRow) Resting() string { return strings.Join(r.Rests, ", ") }

// Shape is how a verdict looks.
func (r CorrectionRow) Shape(v marking.Verdict) string { return markOf(v) }

func (u *UI) corrections(c echo.Context, who account.Caller) error {
	return u.showCorrections(c, who, Form{})
}

func (u *UI) showCorrections(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	list, err := u.app.Remarks(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	versions, err := u.app.BriefVersions(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &CorrectionsPage{Frame: Frame{Title: "Corrections of " + versions[0].Title, Here: "/briefs"}, Brief: id, Name: versions[0].Title, Form: f.For("correction")}
	p.Versions = slices.DeleteFunc(versions, func(v app.BriefVersion) bool { return v.State != "published" })
	for _, w := range list {
		p.Corrections = append(p.Corrections, CorrectionView{w})
	}
	return u.render(c, who, f.Status(), p)
}

type correctionForm struct {
	From  int    `form:"from" validate:"required" say:"Choose the version that was wrong."`
	To    int    `form:"to" validate:"required" say:"Choose the version that corrects it."`
	Words string `form:"words" validate:"required,max=4000" say:"Say what was wrong, so that whoever reads this later can follow you."`
}

func (u *UI) askCorrection(c echo.Context, who account.Caller) error {
	var f correctionForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	var remark uuid.UUID
	if err = u.read(c, &f); err == nil {
		remark, err = u.app.AskRemark(c.Request().Context(), who, app.AskRemark{Brief: id, From: f.From, To: f.To, Words: f.Words})
	}
	if err != nil {
		return u.again(c, err, "correction", func(form Form) error { return u.showCorrections(c, who, form) })
	}
	return u.taken(c, "/corrections/"+remark.String(), "Every attempt is being marked again. Nothing counts yet: first you see what changes.")
}

func (u *UI) correction(c echo.Context, who account.Caller) error {
	return u.showCorrection(c, who, Form{})
}

func (u *UI) showCorrection(c echo.Context, who account.Caller, f Form) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	pages := newPaged(c, "/corrections/"+id.String())
	r, err := u.app.RemarkReport(c.Request().Context(), who, id, pages.Page)
	if err != nil {
		return err
	}
	p := &CorrectionPage{Frame: Frame{Title: "What version " + strconv.Itoa(r.To) + " changes", Here: "/briefs"}, Report: r, View: CorrectionView{r.Remark}, Pages: pages, Form: f.For("move")}
	p.Pages.All, p.Pages.Of = r.All, r.Page.Of
	if p.View.Working() {
		p.Again = 2
	}
	return u.render(c, who, max(f.Status(), http.StatusOK), p)
}

// moveCorrection is the handler of a button that moves a correction on.
func moveCorrection(do func(a *app.App, ctx context.Context, who account.Caller, id uuid.UUID) error, notice string) handler {
	return func(u *UI, c echo.Context, who account.Caller) error {
		id, err := pathID(c, "id")
		if err != nil {
			return err
		}
		if err := do(u.app, c.Request().Context(), who, id); err != nil {
			return u.again(c, err, "move", func(f Form) error { return u.showCorrection(c, who, f) })
		}
		return u.taken(c, "/corrections/"+id.String(), notice)
	}
}

// Corrected lists the corrections of the brief that took effect on the attempt, oldest first.
func (v *SheetView) Corrected() []decision.Record {
	return slices.DeleteFunc(slices.Clone(v.Records), func(r decision.Record) bool { return r.Kind != decision.KindCorrected })
}
