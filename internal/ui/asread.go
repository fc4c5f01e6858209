package ui

import (
	"bytes"
	"net/http"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/marking"
	"witnessmark/internal/quantity"
)

// AsReadPage is how a line reads while it is being typed: a small document whose body a script puts beside the line.
type AsReadPage struct {
	Frame
	marking.AsRead
}

func (*AsReadPage) template() string { return "asread" }

// boundWords are what stands before and after the number of a reading that was out of the instrument's range.
var boundWords = map[quantity.Bound][2]string{
	quantity.Above:   {"out of range of the instrument, more than ", ""},
	quantity.AtLeast: {"out of range of the instrument, ", " or more"},
	quantity.Below:   {"out of range of the instrument, less than ", ""},
	quantity.AtMost:  {"out of range of the instrument, ", " or less"},
}

// Before is what stands before the number, and After what stands after it.
func (p *AsReadPage) Before() string { return boundWords[p.Bound][0] }

// After is what stands after the number.
func (p *AsReadPage) After() string { return boundWords[p.Bound][1] }

// Overload says whether the instrument showed OL.
func (p *AsReadPage) Overload() bool { return p.Bound == quantity.OverRange }

// Set lists the lines of working that something can be said of.
func (p *AsReadPage) Set() []marking.WrittenLine {
	var ls []marking.WrittenLine
	for _, l := range p.Working {
		if l.Line != nil || l.Stopped != "" {
			ls = append(ls, l)
		}
	}
	return ls
}

// look says how a line of an attempt reads as it stands.
func (u *UI) look(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	return u.sayAsRead(c, func(e marking.Entry) (marking.AsRead, error) {
		return u.app.ReadLine(c.Request().Context(), who, id, e)
	})
}

// lookTrial does the same where a brief is being tried.
func (u *UI) lookTrial(c echo.Context, who account.Caller) error {
	id, version, err := briefVersion(c)
	if err != nil {
		return err
	}
	return u.sayAsRead(c, func(e marking.Entry) (marking.AsRead, error) {
		return u.app.ReadTrialLine(c.Request().Context(), who, id, version, e)
	})
}

type lookForm struct {
	Line    string `form:"line"`
	Text    string `form:"text"`
	Unit    string `form:"unit"`
	Working string `form:"working"`
}

func (u *UI) sayAsRead(c echo.Context, read func(marking.Entry) (marking.AsRead, error)) error {
	var f lookForm
	if err := u.read(c, &f); err != nil {
		return err
	}
	e := lineEntry(f.Line)
	e.Text, e.Unit, e.Working = f.Text, f.Unit, strings.ReplaceAll(f.Working, "\r\n", "\n")
	a, err := read(e)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := u.write(&b, &AsReadPage{AsRead: a}); err != nil {
		return err
	}
	c.Response().Header().Set(echo.HeaderCacheControl, "no-store")
	return c.HTMLBlob(http.StatusOK, b.Bytes())
}
