package ui

import (
	"errors"
	"io"
	"mime/multipart"
	"net/http"
	"net/url"
	"slices"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/fault"
	"witnessmark/internal/httpd"
)

// VerifyPage is for anybody who has a portfolio and wants to know whether it is what the centre made.
type VerifyPage struct {
	Frame
	Form  Form
	Name  string // of the file that was checked
	Found *app.Verified
}

func (*VerifyPage) template() string { return "verify" }

// Good says that the file is genuine, Bad that it was altered.
func (p *VerifyPage) Good() bool {
	return p.Found.Word == app.VerifiedGenuine || p.Found.Word == app.VerifiedCentreTime
}

// Bad says that the file was altered.
func (p *VerifyPage) Bad() bool { return p.Found.Word == app.VerifiedAltered }

// Outside says that something was given, or is to be mended, of what somebody outside says of the portfolio.
func (p *VerifyPage) Outside() bool {
	return slices.ContainsFunc([]string{"witness", "later", "authority"}, func(name string) bool {
		return p.Form.Fault(name) != "" || p.Form.Typed(name, "") != ""
	})
}

// VerifiedPart is the checks that went one way.
type VerifiedPart struct {
	Title string
	Lines []app.VerifiedLine
}

// Parts are the checks, by how they went; what is empty is left out.
func (p *VerifyPage) Parts() []VerifiedPart {
	all := []VerifiedPart{{Title: "What is not as it was"}, {Title: "What cannot be told"}, {Title: "Checked, and right"}, {Title: "Not checked"}}
	for _, l := range p.Found.Lines {
		at := 3
		switch l.State {
		case app.LineBroken:
			at = 0
		case app.LineUnknown:
			at = 1
		case app.LineHolds:
			at = 2
		}
		all[at].Lines = append(all[at].Lines, l)
	}
	var out []VerifiedPart
	for _, part := range all {
		if len(part.Lines) > 0 {
			out = append(out, part)
		}
	}
	return out
}

func (u *UI) showVerify(c echo.Context, who account.Caller) error {
	return u.renderVerify(c, who, &VerifyPage{})
}

func (u *UI) renderVerify(c echo.Context, who account.Caller, p *VerifyPage) error {
	p.Frame = Frame{Title: "Check a portfolio"}
	p.Form = p.Form.For("verify")
	return u.render(c, who, p.Form.Status(), p)
}

// checkPortfolio streams the file to where it is checked; what else is known of it comes before it in the form.
func (u *UI) checkPortfolio(c echo.Context, who account.Caller) error {
	if err := httpd.Within(c, app.CheckTime); err != nil {
		return err
	}
	c.Request().Body = http.MaxBytesReader(c.Response(), c.Request().Body, app.VerifyLimit+wordsMost)
	parts, err := c.Request().MultipartReader()
	if err != nil {
		return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
	}
	words := url.Values{}
	page := &VerifyPage{}
	err = u.checkParts(c, parts, words, page)
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		err = fault.Invalid("file", "This file is too large to be checked here. Check it on your own machine, with witnessmark-verify.")
	}
	if f, ok := errors.AsType[*fault.Error](err); ok {
		page.Form = newForm("verify", words, f, httpd.Status(f))
		return u.renderVerify(c, who, page)
	}
	if err != nil {
		return err
	}
	return u.renderVerify(c, who, page)
}

// checkParts reads the form's parts up to the file, and has that checked.
func (u *UI) checkParts(c echo.Context, parts *multipart.Reader, words url.Values, page *VerifyPage) error {
	for {
		p, err := parts.NextPart()
		switch {
		case errors.Is(err, io.EOF):
			return fault.Invalid("file", "Choose the portfolio's file, a PDF.")
		case err != nil:
			return echo.NewHTTPError(http.StatusBadRequest).SetInternal(err)
		case p.FormName() == "file" && p.FileName() != "":
			found, err := u.app.VerifyPortfolio(c.Request().Context(), p, app.Known{
				Keys: words.Get("key"), Witnesses: words.Get("witness"), Later: words.Get("later"), Authorities: words.Get("authority"),
			})
			page.Name, page.Found = p.FileName(), &found
			if err != nil {
				page.Found = nil
			}
			return err
		}
		if err := takeWord(words, p); err != nil {
			return err
		}
	}
}
