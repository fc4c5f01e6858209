package ui

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/fault"
)

// BriefsPage lists the briefs, the newest version of each first.
type BriefsPage struct {
	Frame
	Briefs   []BriefRow
	Form     Form
	MayWrite bool
}

func (*BriefsPage) template() string { return "briefs" }

// BriefRow is one version of a brief.
type BriefRow struct {
	ID                     uuid.UUID
	Version                int
	Title, Key, By         string
	Units                  []string
	State                  string
	WrittenAt, PublishedAt time.Time
	Older                  bool // a newer version of the same brief stands above
}

// BriefPage is one version of a brief: readable on the front, the file's text on the back.
type BriefPage struct {
	Frame
	Text       app.BriefText
	Sheet      *SheetView // the brief laid out; nil where it cannot be read
	Form       Form
	MayWrite   bool
	MayCorrect bool // ask for a correction, and read what it changes
}

func (*BriefPage) template() string { return "brief" }

// Draft says whether this version may still change.
func (p *BriefPage) Draft() bool { return p.Text.State == "draft" }

// BlankPage is a brief as an empty sheet for the bench.
type BlankPage struct {
	Frame
	Text  app.BriefText
	Sheet *SheetView
	Tutor bool // the tutor's own, with the questions to ask
}

// Asks says whether the brief has questions to ask.
func (p *BlankPage) Asks() bool {
	return slices.ContainsFunc(p.Sheet.Stages, func(s StageView) bool { return len(s.Questions) > 0 })
}

func (*BlankPage) template() string { return "blank" }

func (u *UI) briefRows(c echo.Context, who account.Caller) ([]BriefRow, error) {
	list, err := u.app.Briefs(c.Request().Context(), who)
	if err != nil {
		return nil, err
	}
	rows := make([]BriefRow, 0, len(list))
	newest := make(map[uuid.UUID]string, len(list)) // titles
	for _, v := range list {
		rows = append(rows, BriefRow{
			ID: v.Brief, Version: v.Version, Title: v.Title, Key: v.Key, By: v.WriterName, Units: v.Units, State: string(v.State),
			WrittenAt: v.WrittenAt, PublishedAt: v.PublishedAt,
		})
		newest[v.Brief] = cmp.Or(newest[v.Brief], v.Title)
	}
	slices.SortStableFunc(rows, func(a, b BriefRow) int {
		return cmp.Or(naturally(newest[a.ID], newest[b.ID]), strings.Compare(a.ID.String(), b.ID.String()))
	})
	for i := 1; i < len(rows); i++ {
		rows[i].Older = rows[i-1].ID == rows[i].ID
	}
	return rows, nil
}

// Words is the state of the version in words.
func (r BriefRow) Words() string {
	if r.State == "published" {
		return "published " + day(r.PublishedAt)
	}
	return "draft, written " + day(r.WrittenAt)
}

func (u *UI) briefs(c echo.Context, who account.Caller) error { return u.showBriefs(c, who, Form{}) }

func (u *UI) showBriefs(c echo.Context, who account.Caller, f Form) error {
	rows, err := u.briefRows(c, who)
	if err != nil {
		return err
	}
	return u.render(c, who, f.Status(), &BriefsPage{Frame: Frame{Title: "Briefs", Here: "/briefs"}, Briefs: rows, Form: f.For("open"), MayWrite: who.Has(account.Tutor)})
}

// published lists the published versions as what may be set.
func (u *UI) published(c echo.Context, who account.Caller) ([]Option, error) {
	rows, err := u.briefRows(c, who)
	if err != nil {
		return nil, err
	}
	os := []Option{{Text: "choose"}}
	for _, r := range rows {
		if r.State == "published" {
			os = append(os, Option{Value: r.ID.String() + " " + strconv.Itoa(r.Version), Text: fmt.Sprintf("%s, version %d", r.Title, r.Version)})
		}
	}
	return os, nil
}

// cutVersion reads a published version as published lists it.
func cutVersion(s string) (id uuid.UUID, version int, ok bool) {
	a, b, _ := strings.Cut(s, " ")
	id, err := uuid.Parse(a)
	if err != nil {
		return uuid.Nil, 0, false
	}
	version, err = strconv.Atoi(b)
	return id, version, err == nil
}

// versionOf reads which version of which brief the address names, and loads it.
func (u *UI) versionOf(c echo.Context, who account.Caller) (app.BriefText, error) {
	id, version, err := briefVersion(c)
	if err != nil {
		return app.BriefText{}, err
	}
	return u.app.Brief(c.Request().Context(), who, id, version)
}

// briefVersion reads which version of which brief the address names.
func briefVersion(c echo.Context) (id uuid.UUID, version int, err error) {
	if id, err = pathID(c, "id"); err != nil {
		return uuid.Nil, 0, err
	}
	if version, err = strconv.Atoi(c.Param("version")); err != nil {
		return uuid.Nil, 0, fault.NotFound("There is no such version of the brief. Go back and choose again.")
	}
	return id, version, nil
}

func (u *UI) brief(c echo.Context, who account.Caller) error { return u.showBrief(c, who, Form{}) }

func (u *UI) showBrief(c echo.Context, who account.Caller, f Form) error {
	t, err := u.versionOf(c, who)
	if err != nil {
		return err
	}
	p := &BriefPage{
		Frame: Frame{Title: t.Title, Here: "/briefs"}, Text: t, Form: f,
		MayWrite: who.Has(account.Tutor), MayCorrect: account.May(who, account.RemarkBrief) == nil,
	}
	if t.Brief != nil {
		p.Sheet = blankSheet(t.Brief)
	}
	return u.render(c, who, f.Status(), p)
}

// blankSheet lays a brief out as a sheet with nothing in it.
func blankSheet(b *brief.Brief) *SheetView {
	s := app.Sheet{BriefKey: b.Key, BriefTitle: b.Title, About: b.About, Cautions: b.Cautions, Conventions: b.Conventions}
	for _, g := range b.Given {
		value := g.Value
		if g.From != "" {
			value = fmt.Sprintf("drawn for each trainee: %s to %s in steps of %s", spaced(g.From), spaced(g.To), spaced(g.Step))
		}
		s.Given = append(s.Given, app.GivenRow{Name: g.Name, Is: g.Is, Value: value})
	}
	number := 0
	for i := range b.Stages {
		st := &b.Stages[i]
		stage := app.SheetStage{Number: i + 1, Key: st.Key, Title: st.Title, About: st.About, Cautions: st.Cautions, Questions: st.Questions}
		if st.Hold != nil {
			stage.Hold = &app.SheetHold{Show: st.Hold.Show, Entitlement: st.Hold.Entitlement}
		}
		for j := range st.Items {
			number++
			it := app.SheetItem{Item: &st.Items[j], Number: number}
			for _, k := range it.Item.Criteria {
				it.Criteria = append(it.Criteria, b.Ref(k))
			}
			for _, slot := range it.Slots() {
				it.Lines = append(it.Lines, app.SheetLine{Slot: slot, Item: it.Key})
			}
			stage.Items = append(stage.Items, it)
		}
		s.Stages = append(s.Stages, stage)
	}
	return newSheetView(s, Form{})
}

func (u *UI) blankBrief(c echo.Context, who account.Caller) error {
	t, err := u.versionOf(c, who)
	if err != nil {
		return err
	}
	if t.Brief == nil {
		return fault.Conflict("This draft cannot be read yet, so there is nothing to print. Mend what the list beside its text names.")
	}
	sheet := blankSheet(t.Brief)
	for i := range sheet.Given {
		if t.Brief.Given[i].From != "" {
			sheet.Given[i].Value = "" // each trainee writes in their own
		}
	}
	return u.render(c, who, http.StatusOK, &BlankPage{Frame: Frame{Title: t.Title, Here: "/briefs"}, Text: t, Sheet: sheet, Tutor: c.QueryParam("for") == "tutor"})
}
