package ui

import (
	"context"
	"net/http"
	"time"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

func (u *UI) evidence(c echo.Context, who account.Caller) error {
	return u.serveFile(c, who, func(ctx context.Context, who account.Caller, id uuid.UUID) (app.File, error) {
		return u.app.OpenFile(ctx, who, id, false)
	})
}

func (u *UI) preview(c echo.Context, who account.Caller) error {
	return u.serveFile(c, who, func(ctx context.Context, who account.Caller, id uuid.UUID) (app.File, error) {
		return u.app.OpenFile(ctx, who, id, true)
	})
}

func (u *UI) original(c echo.Context, who account.Caller) error {
	return u.serveFile(c, who, u.app.OpenOriginal)
}

// serveFile gives the bytes of a file, whole or in parts. Pictures are shown, everything else is kept; whatever the bytes
// are, they run nothing.
func (u *UI) serveFile(c echo.Context, who account.Caller, open func(context.Context, account.Caller, uuid.UUID) (app.File, error)) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	f, err := open(c.Request().Context(), who, id)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, f.Type)
	h.Set(echo.HeaderContentSecurityPolicy, httpd.EvidencePolicy)
	h.Set(echo.HeaderCacheControl, "private, no-cache")
	h.Set("ETag", `"`+f.Shown+`"`)
	if f.Type != "image/jpeg" && f.Type != "image/png" {
		h.Set(echo.HeaderContentDisposition, attachment(f.Name))
	}
	http.ServeContent(c.Response(), c.Request(), "", time.Time{}, f.Content)
	return f.Content.Close()
}
