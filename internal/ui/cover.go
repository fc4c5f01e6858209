package ui

import (
	"encoding/json"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

// FileView is a file with what may be done with it.
type FileView struct {
	app.SheetFile
	On *SheetView
}

func fileOf(v *SheetView, f app.SheetFile) FileView { return FileView{f, v} }

// Handles says whether the caller may do anything with a file besides looking at it.
func (v *SheetView) Handles(f app.SheetFile) bool {
	w := fileOf(v, f)
	return !v.Trying && (w.MayCover() || w.HasOriginal() || w.MayWithdraw())
}

// MayCover says whether the caller may lay covers over the photo.
func (f FileView) MayCover() bool {
	return f.Preview && f.Withdrawn == nil && (f.On.Judge || f.On.Record)
}

// MayWithdraw says whether the caller may take the original away.
func (f FileView) MayWithdraw() bool { return f.On.Judge && f.Withdrawn == nil }

// HasOriginal says whether the caller may look at what the covered copy stands in for.
func (f FileView) HasOriginal() bool { return f.On.Judge && f.Copy && f.Withdrawn == nil }

// CoverForm is the form of its covers, and WithdrawForm that of taking its original away.
func (f FileView) CoverForm() Form    { return f.On.Form.For("cover-" + f.ID.String()) }
func (f FileView) WithdrawForm() Form { return f.On.Form.For("withdraw-" + f.ID.String()) }

// cardWords says what was read of the code card in a photo; "" where it was not looked for.
func cardWords(card string) string {
	switch card {
	case app.CardRead:
		return "This attempt's code card was read."
	case app.CardOther:
		return "The code card of another attempt was read."
	case app.CardNotRead:
		return "No code card was read, which proves nothing."
	}
	return ""
}

type coverForm struct {
	Attempt uuid.UUID `form:"attempt"`
	Covers  string    `form:"covers"`
	Nothing bool      `form:"nothing"`
}

func (u *UI) coverFile(c echo.Context, who account.Caller) error {
	var f coverForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		var covers []app.Cover
		if f.Nothing {
			err = u.app.NothingToCover(c.Request().Context(), who, id)
		} else if f.Covers != "" && json.Unmarshal([]byte(f.Covers), &covers) != nil {
			err = fault.Invalid("covers", "These covers cannot be read. Lay them again.")
		} else {
			err = u.app.CoverFile(c.Request().Context(), who, id, covers)
		}
	}
	done := "Covered. The copy that people see is being made."
	if f.Nothing {
		done = "Noted: nothing in this photo has to be covered."
	}
	return u.fileForm(c, who, f.Attempt, err, "cover-"+id.String(), done)
}

type withdrawForm struct {
	Attempt uuid.UUID `form:"attempt"`
	Words   string    `form:"words" validate:"max=4000" say:"Shorten this to 4000 letters."`
}

func (u *UI) withdrawFile(c echo.Context, who account.Caller) error {
	var f withdrawForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.WithdrawFile(c.Request().Context(), who, id, f.Words)
	}
	return u.fileForm(c, who, f.Attempt, err, "withdraw-"+id.String(), "Withdrawn. The digest, and the record of who and why, stay.")
}

// fileForm answers a form of a file, which stands on the sheet of its attempt.
func (u *UI) fileForm(c echo.Context, who account.Caller, attempt uuid.UUID, err error, which, notice string) error {
	if err != nil {
		return u.again(c, err, which, func(f Form) error { return u.showSheet(c, who, attempt, f) })
	}
	return u.taken(c, "/attempts/"+attempt.String(), notice)
}

// CardPage is an attempt's code card, to be printed and laid into photos.
type CardPage struct {
	Frame
	Sheet *SheetView
	Short string
}

func (*CardPage) template() string { return "card" }

func (u *UI) card(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.Sheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	p := &CardPage{Frame: Frame{Title: "Code card: " + s.BriefTitle, Here: "/tasks"}, Sheet: newSheetView(s, Form{}), Short: app.CardName(s.Card)}
	if s.State == decision.Planned {
		p.Trouble = "This attempt is not started yet. Its card holds from the start."
	}
	return u.render(c, who, 200, p)
}

func (u *UI) cardCode(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	s, err := u.app.Sheet(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	svg, err := app.CardCode(s.Card)
	if err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "private, no-cache")
	return c.Blob(200, "image/svg+xml", svg)
}
