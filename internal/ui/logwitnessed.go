package ui

import (
	"fmt"
	"strconv"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// Since is the form that asks for what a witness signed since a portfolio was made.
func (*LogPage) Since() Form { return Form{}.For("since") }

// Signers are those whose signature may be asked for.
func (p *LogPage) Signers() []Option {
	options := []Option{{Text: "whoever signed first"}}
	for _, w := range p.Log.Witnesses {
		options = append(options, Option{Value: w.Name, Text: w.Name})
	}
	return options
}

// logWitnessed sends a later state of the log with a witness's signature, to be kept beside a portfolio.
func (u *UI) logWitnessed(c echo.Context, who account.Caller) error {
	size, err := strconv.ParseInt(c.QueryParam("size"), 10, 64)
	if err != nil {
		size = 0 // which is refused in a sentence
	}
	r, err := u.app.WitnessedLog(c.Request().Context(), who, size, c.QueryParam("witness"))
	if err != nil {
		return err
	}
	return sendText(c, fmt.Sprintf("witnessed-since-%d.txt", size), r.Text())
}
