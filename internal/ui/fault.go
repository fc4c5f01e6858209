package ui

import (
	"net/http"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
	"witnessmark/internal/httpd"
)

// FaultPage says what happened, what it means and what to do.
type FaultPage struct {
	Frame
	Message string
	Again   bool   // loading the page again helps
	Back    string // where to go on; "" for nowhere
}

func (*FaultPage) template() string { return "fault" }

// Fault turns trouble into a page, for whatever no route of ours answered.
func (u *UI) Fault(err error, c echo.Context) { u.fault(c, account.Caller{}, err) }

// fault logs what is our own trouble, once and here, and shows the page for it.
func (u *UI) fault(c echo.Context, who account.Caller, err error) {
	status := httpd.Status(err)
	if status >= http.StatusInternalServerError {
		u.log.Error("a page broke", "route", c.Path(), "err", err)
	}
	if c.Response().Committed {
		return
	}
	if wantsJSON(c) {
		err = c.JSON(status, problem{Title: httpd.Sentence(err)})
	} else {
		err = u.render(c, who, status, faultPage(c, status, httpd.Sentence(err), fault.KindOf(err)))
	}
	if err != nil {
		u.log.Error("the fault page broke", "route", c.Path(), "err", err)
	}
}

func faultPage(c echo.Context, status int, sentence string, kind fault.Kind) *FaultPage {
	p := &FaultPage{Frame: Frame{Title: "Something is in the way"}, Message: sentence, Back: "/"}
	switch {
	case kind == fault.KindConflict:
		p.Title, p.Again = "This has changed since you looked", true
	case status == http.StatusNotFound:
		p.Title = "Not here"
	case status == http.StatusForbidden:
		p.Title = "Not for you to do"
	case status >= http.StatusInternalServerError:
		p.Title, p.Again = "This did not work", true
	}
	if p.Again && c.Request().Method != http.MethodGet {
		p.Again = false // loading a sent form again would send it again
		p.Back = samePage(refererPath(c))
	}
	return p
}

// refererPath is the page of this site that the form stood on.
func refererPath(c echo.Context) string {
	r := c.Request()
	const scheme = "://"
	ref := r.Referer()
	for _, prefix := range []string{"http" + scheme + r.Host, "https" + scheme + r.Host} {
		if len(ref) > len(prefix) && ref[:len(prefix)] == prefix {
			return ref[len(prefix):]
		}
	}
	return "/"
}
