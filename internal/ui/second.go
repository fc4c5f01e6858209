package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// SecondPage lists what waits for a second person.
type SecondPage struct {
	Frame
	Looks []SecondRow
	Pages Paged
}

func (*SecondPage) template() string { return "second" }

// SecondRow is one attempt that waits for a second person.
type SecondRow struct{ app.SecondLook }

// Why says what it waits for.
func (r SecondRow) Why() string {
	if r.State == decision.UnderAppeal {
		return "an appeal to be heard"
	}
	return "a countersignature"
}

// Place is where on the sheet the form stands.
func (r SecondRow) Place() string {
	if r.State == decision.UnderAppeal {
		return "settle"
	}
	return "countersign"
}

func (u *UI) second(c echo.Context, who account.Caller) error {
	pages := newPaged(c, "/second-looks")
	looks, err := u.app.SecondLooks(c.Request().Context(), who, pages.Page)
	if err != nil {
		return err
	}
	p := &SecondPage{Frame: Frame{Title: "Second looks", Here: "/second-looks"}, Pages: pages}
	p.Pages.All, p.Pages.Of = looks.All, looks.Page.Of
	for _, l := range looks.Rows {
		p.Looks = append(p.Looks, SecondRow{l})
	}
	return u.render(c, who, 200, p)
}
