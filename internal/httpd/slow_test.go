package httpd

import (
	"log/slog"
	"net/http"
	"net/http/httptest"
	"testing"

	"github.com/labstack/echo/v4"
)

// An address that spent its tries on one route has none left on another; other addresses have all of theirs.
func TestOneAddressHasOneBudget(t *testing.T) {
	s := &Sessions{slowly: slowly()}
	e := New(Config{Log: slog.New(slog.DiscardHandler)})
	answer := func(c echo.Context) error { return c.NoContent(http.StatusNoContent) }
	e.GET("/pages", answer, s.Slowly())
	e.GET("/api", answer, s.Slowly())
	ask := func(path, address string) int {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodGet, path, nil)
		r.RemoteAddr = address + ":4000"
		w := httptest.NewRecorder()
		e.ServeHTTP(w, r)
		return w.Code
	}
	for i := range tryBurst {
		if got := ask([]string{"/pages", "/api"}[i%2], "198.51.100.7"); got != http.StatusNoContent {
			t.Fatalf("try %d got status %d, want 204", i+1, got)
		}
	}
	refused := 0
	for range 5 { // a slow machine may earn one or the other try meanwhile
		if ask("/api", "198.51.100.7") == http.StatusTooManyRequests {
			refused++
		}
	}
	if refused == 0 {
		t.Errorf("%d tries on both routes together left more, want none", tryBurst)
	}
	if got := ask("/pages", "198.51.100.8"); got != http.StatusNoContent {
		t.Errorf("another address got status %d, want 204", got)
	}
}
