package ui

import (
	"io"
	"net/http"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
)

// The pulse of a stream of events (our own values).
const (
	heartbeat  = 15 * time.Second // proxies close a connection on which nothing comes for a minute or so
	streamLife = 5 * time.Minute  // then the browser asks again, and who asks is looked at afresh
)

// boardEvents is a stream of server-sent events: one whenever a cohort's work may look different. What changed is not told:
// the page asks for itself again, as it would be drawn for whoever looks.
func (u *UI) boardEvents(c echo.Context, who account.Caller) error {
	id, err := pathID(c, "id")
	if err != nil {
		return err
	}
	ctx := c.Request().Context()
	changed, err := u.app.WatchBoard(ctx, who, id)
	if err != nil {
		return err
	}
	h := c.Response().Header()
	h.Set(echo.HeaderContentType, "text/event-stream")
	h.Set("X-Accel-Buffering", "no") // a proxy before us that holds answers back would hold these back for good
	c.Response().WriteHeader(http.StatusOK)
	beat, last := time.NewTicker(heartbeat), time.NewTimer(streamLife)
	defer beat.Stop()
	defer last.Stop()
	words := "retry: 2000\n\n"
	for {
		if _, err := io.WriteString(c.Response(), words); err != nil {
			return nil // the page has gone
		}
		c.Response().Flush()
		select {
		case <-changed:
			words = "data: changed\n\n"
		case <-beat.C:
			words = ": still here\n\n"
		case <-last.C:
			return nil
		case <-u.closing:
			return nil
		case <-ctx.Done():
			return nil
		}
	}
}
