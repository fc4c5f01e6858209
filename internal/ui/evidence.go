package ui

import (
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/httpd"
)

func (u *UI) evidence(c echo.Context, who account.Caller) error { return u.serveFile(c, who, false) }

func (u *UI) preview(c echo.Context, who account.Caller) error { return u.serveFile(c, who, true) }

// serveFile gives the bytes of a file, whole or in parts. Pictures are shown, everything else is kept; whatever the bytes
// are, they run nothing.
func (u *UI) serveFile(c echo.Context, who account.Caller, preview bool) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	f, err := u.app.OpenFile(c.Request().Context(), who, id, preview)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, f.Type)
	h.Set(echo.HeaderContentSecurityPolicy, httpd.EvidencePolicy)
	h.Set(echo.HeaderCacheControl, "private, no-cache")
	h.Set("ETag", etag(f.Evidence.Digest, f.PreviewDigest, preview))
	if f.Type != "image/jpeg" && f.Type != "image/png" {
		h.Set(echo.HeaderContentDisposition, attachment(f.Name))
	}
	http.ServeContent(c.Response(), c.Request(), "", time.Time{}, f.Content)
	return f.Content.Close()
}

// etag names the bytes by their digest; before a preview is made the whole picture stands in for it.
func etag(digest, preview string, small bool) string {
	if small && preview != "" {
		digest = preview
	}
	return `"` + digest + `"`
}
