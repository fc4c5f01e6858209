package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SmallFilesPage lists adjustments, appeals, prior learning and inquiries, as far as the reader may see them.
type SmallFilesPage struct {
	Frame
	app.SmallFiles
	MayInquire bool
	Pages      Paged
}

func (*SmallFilesPage) template() string { return "smallfiles" }

// What says what a file beside an attempt is.
func (*SmallFilesPage) What(k decision.Kind) string {
	if k == decision.KindAppeal {
		return "appeal"
	}
	return "adjustment"
}

func (u *UI) smallFiles(c echo.Context, who account.Caller) error {
	pages := newPaged(c, "/small-files")
	f, err := u.app.SmallFiles(c.Request().Context(), who, pages.Page)
	if err != nil {
		return err
	}
	pages.Of = f.Page.Of
	return u.render(c, who, 200, &SmallFilesPage{Frame: Frame{Title: "Small files", Here: "/centre"}, SmallFiles: f, MayInquire: account.As(who, account.Inquire) != "", Pages: pages})
}

type setAsideForm struct {
	Revision int    `form:"revision"`
	Words    string `form:"words" validate:"required,max=4000" say:"Say why it is set aside."`
	Again    bool   `form:"again"`
}

func (u *UI) setAside(c echo.Context, who account.Caller) error {
	var f setAsideForm
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	if err = u.read(c, &f); err == nil {
		err = u.app.SetAside(c.Request().Context(), who, id, f.Revision, f.Words, f.Again)
	}
	return u.sheetForm(c, who, err, "set-aside", "", "Set aside. It counts for nothing from now on; nothing of it is removed.")
}
