package httpd

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"testing"
	"testing/synctest"
	"time"

	"witnessmark/internal/app"
)

// Whoever asks often gets the same answer for some seconds, and then a new one; what failed is named, and the cause is not.
func TestReadinessIsKept(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		asked := 0
		var trouble []app.Unready
		e := server(Config{})
		Health(e, Config{Log: slog.New(slog.DiscardHandler)}, func(context.Context) []app.Unready { asked++; return trouble })
		says := func(code int, want string) {
			t.Helper()
			w := ask(e, http.MethodGet, "/readyz", nil)
			if w.Code != code || w.Body.String() != want {
				t.Errorf("got %d %q, want %d %q", w.Code, w.Body, code, want)
			}
		}
		says(http.StatusOK, "ready\n")
		trouble = []app.Unready{{Part: "database", Words: "it does not answer", Err: errors.New("10.0.0.5 said no to ada")}, {Part: "evidence", Words: "the folder cannot be written"}}
		time.Sleep(readyKept - time.Millisecond)
		says(http.StatusOK, "ready\n")
		time.Sleep(time.Millisecond)
		for range 3 {
			says(http.StatusServiceUnavailable, "not ready\ndatabase: it does not answer\nevidence: the folder cannot be written\n")
		}
		if asked != 2 {
			t.Errorf("asked %d times, want 2", asked)
		}
		if w := ask(e, http.MethodGet, "/healthz", nil); w.Code != http.StatusOK {
			t.Errorf("healthz: %d, want 200 while the database is away", w.Code)
		}
	})
}
