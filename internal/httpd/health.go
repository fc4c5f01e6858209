package httpd

import (
	"context"
	"fmt"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/app"
)

const (
	// readyTime is how long what is asked for readiness may take: whoever watches asks every few seconds (our own value).
	readyTime = 3 * time.Second
	// readyKept is how long the answer is given again, so that asking often costs little (our own value).
	readyKept = 5 * time.Second
)

// Health adds the two addresses for whoever watches over the program: /healthz says that it runs, /readyz that it can do its
// work, else in a line each what keeps it from that, as ready has it. The causes stand in the log alone.
func Health(e *echo.Echo, cfg Config, ready func(context.Context) []app.Unready) {
	e.GET("/healthz", func(c echo.Context) error { return c.String(http.StatusOK, "running\n") })
	r := &readiness{ask: ready, cfg: cfg}
	e.GET("/readyz", func(c echo.Context) error {
		if lines := r.lines(); lines != "" {
			return c.String(http.StatusServiceUnavailable, "not ready\n"+lines)
		}
		return c.String(http.StatusOK, "ready\n")
	})
}

// readiness is the last answer, and when it was given.
type readiness struct {
	ask func(context.Context) []app.Unready
	cfg Config

	mu   sync.Mutex
	at   time.Time
	last string
}

// lines is what keeps the program from its work, a line each; "" for nothing. Whoever asks while it is being found out waits for the
// same answer.
func (r *readiness) lines() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	if !r.at.IsZero() && time.Since(r.at) < readyKept {
		return r.last
	}
	ctx, stop := context.WithTimeout(context.Background(), readyTime) // not the request's: the answer is others' too
	defer stop()
	var b strings.Builder
	for _, u := range r.ask(ctx) {
		r.cfg.Log.Warn("not ready", "part", u.Part, "because", u.Words, "err", u.Err)
		fmt.Fprintf(&b, "%s: %s\n", u.Part, u.Words)
	}
	r.last, r.at = b.String(), time.Now()
	return r.last
}
