package httpd

import (
	"fmt"
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

// Whoever tries too often is told to wait and for how long; another address of the same household gets no further tries, and another
// household has its own.
func TestTriesOfOneHousehold(t *testing.T) {
	e := echo.New()
	e.IPExtractor = echo.ExtractIPDirect()
	e.POST("/", func(c echo.Context) error { return c.NoContent(http.StatusNoContent) }, slowly())
	try := func(address string) *httptest.ResponseRecorder {
		r := httptest.NewRequestWithContext(t.Context(), http.MethodPost, "/", nil)
		r.RemoteAddr = address
		w := httptest.NewRecorder()
		e.ServeHTTP(w, r)
		return w
	}
	for _, one := range []struct {
		name string
		at   func(n int) string
	}{
		{"an address", func(int) string { return "192.0.2.7:4000" }},
		{"many of IPv6", func(n int) string { return fmt.Sprintf("[2001:db8:0:1:%x::9]:4000", n+1) }},
	} {
		for n := range tryBurst {
			if w := try(one.at(n)); w.Code != http.StatusNoContent {
				t.Fatalf("%s: try %d: %d", one.name, n+1, w.Code)
			}
		}
		refused := 0
		for n := range 5 { // a slow machine may earn one or the other try meanwhile
			if w := try(one.at(tryBurst + n)); w.Code == http.StatusTooManyRequests && w.Header().Get("Retry-After") == "3" {
				refused++
			}
		}
		if refused == 0 {
			t.Errorf("%s: %d tries left more, or nobody is told when to try again", one.name, tryBurst)
		}
	}
	for _, other := range []string{"192.0.2.8:4000", "[2001:db8:0:2::9]:4000", "[::ffff:192.0.2.9]:4000"} {
		if w := try(other); w.Code != http.StatusNoContent {
			t.Errorf("%s: %d", other, w.Code)
		}
	}
}
