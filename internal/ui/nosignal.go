package ui

import (
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// NoSignalPage stands in for a page that the phone does not keep, while it has no signal.
type NoSignalPage struct{ Frame }

func (*NoSignalPage) template() string { return "no-signal" }

// noSignal draws the page that the service worker keeps for everybody: it is nobody's, whoever asks.
func (u *UI) noSignal(c echo.Context, _ account.Caller) error {
	c.Response().Header().Del(personHeader)
	return u.render(c, account.Caller{}, 200, &NoSignalPage{Frame: Frame{Title: "No signal"}})
}
