package httpd

import (
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

func server(cfg Config) *echo.Echo {
	cfg.Log = slog.New(slog.DiscardHandler)
	e := New(cfg)
	e.HTTPErrorHandler = func(err error, c echo.Context) {
		if !c.Response().Committed {
			_ = c.String(Status(err), Sentence(err)) // the recorder takes anything
		}
	}
	e.GET("/ip", func(c echo.Context) error { return c.String(http.StatusOK, c.RealIP()) })
	e.POST("/write", func(c echo.Context) error { return c.NoContent(http.StatusNoContent) })
	e.GET("/panic", func(echo.Context) error { panic("inside knowledge") })
	return e
}

func ask(e *echo.Echo, method, path string, header http.Header) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, path, nil)
	for k, v := range header {
		r.Header[k] = v
	}
	w := httptest.NewRecorder()
	e.ServeHTTP(w, r)
	return w
}

func TestHeadersOnEveryAnswer(t *testing.T) {
	for _, path := range []string{"/ip", "/nowhere", "/panic"} {
		h := ask(server(Config{HTTPS: true}), "GET", path, nil).Header()
		csp := h.Get("Content-Security-Policy")
		for _, want := range []string{"default-src 'none'", "script-src 'self'", "require-trusted-types-for 'script'", "frame-ancestors 'none'", "form-action 'self'"} {
			if !strings.Contains(csp, want) {
				t.Errorf("%s: the policy %q lacks %q", path, csp, want)
			}
		}
		if strings.Contains(csp, "unsafe") {
			t.Errorf("%s: the policy %q allows something unsafe", path, csp)
		}
		for k, want := range map[string]string{"X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Strict-Transport-Security": "max-age=31536000"} {
			if got := h.Get(k); got != want {
				t.Errorf("%s: %s is %q, want %q", path, k, got, want)
			}
		}
	}
	if h := ask(server(Config{}), "GET", "/ip", nil).Header().Get("Strict-Transport-Security"); h != "" {
		t.Errorf("over plain http Strict-Transport-Security is %q, want none", h)
	}
}

// The rules are Fetch metadata's (W3C), as net/http reads them.
func TestWritesFromAnotherSiteAreRefused(t *testing.T) {
	for _, c := range []struct {
		name   string
		header http.Header
		want   int
	}{
		{"another site", http.Header{"Sec-Fetch-Site": {"cross-site"}}, http.StatusForbidden},
		{"another site below the same domain", http.Header{"Sec-Fetch-Site": {"same-site"}}, http.StatusForbidden},
		{"the same origin", http.Header{"Sec-Fetch-Site": {"same-origin"}}, http.StatusNoContent},
		{"typed by the person", http.Header{"Sec-Fetch-Site": {"none"}}, http.StatusNoContent},
		{"another origin, older browser", http.Header{"Origin": {"https://elsewhere.example"}}, http.StatusForbidden},
		{"no browser", http.Header{}, http.StatusNoContent},
	} {
		if got := ask(server(Config{}), "POST", "/write", c.header).Code; got != c.want {
			t.Errorf("%s: got %d, want %d", c.name, got, c.want)
		}
	}
}

func TestOnlyTrustedProxiesSpeakForAClient(t *testing.T) {
	forwarded := http.Header{"X-Forwarded-For": {"203.0.113.9"}}
	// httptest's requests come from 192.0.2.1.
	if got := ask(server(Config{}), "GET", "/ip", forwarded).Body.String(); got != "192.0.2.1" {
		t.Errorf("with no proxy trusted the client is %s, want 192.0.2.1", got)
	}
	trusted := Config{TrustedProxies: []netip.Prefix{netip.MustParsePrefix("192.0.2.0/24")}}
	if got := ask(server(trusted), "GET", "/ip", forwarded).Body.String(); got != "203.0.113.9" {
		t.Errorf("behind a trusted proxy the client is %s, want 203.0.113.9", got)
	}
	other := Config{TrustedProxies: []netip.Prefix{netip.MustParsePrefix("10.0.0.0/8")}}
	if got := ask(server(other), "GET", "/ip", forwarded).Body.String(); got != "192.0.2.1" {
		t.Errorf("with another proxy trusted the client is %s, want 192.0.2.1", got)
	}
}

func TestStatusAndSentence(t *testing.T) {
	for _, c := range []struct {
		err  error
		want int
		say  string // "" where only the status counts
	}{
		{fault.Invalid("name", "Give a name."), 422, "Give a name."},
		{fault.NotFound("Not here."), 404, "Not here."},
		{fault.Conflict("Changed."), 409, "Changed."},
		{fault.Forbidden("Not you."), 403, "Not you."},
		{fmt.Errorf("save: %w", fault.Conflict("Changed.")), 409, "Changed."},
		{ErrSignedOut, 401, ""},
		{echo.ErrNotFound, 404, ""},
		{echo.NewHTTPError(http.StatusRequestEntityTooLarge), 413, ""},
		{fmt.Errorf("storing a blob: %w", syscall.ENOSPC), 507, "The centre's disk has no room left, so nothing was kept. Keep your copy, tell the centre, and send it again later."},
		{fmt.Errorf("read people: %w", store.ErrAway), 503, ""},
		{errors.New("password=hunter2 in column secret"), 500, ""},
	} {
		if got := Status(c.err); got != c.want {
			t.Errorf("Status(%v) = %d, want %d", c.err, got, c.want)
		}
		got := Sentence(c.err)
		if got == "" || c.say != "" && got != c.say || strings.Contains(got, "hunter2") {
			t.Errorf("Sentence(%v) = %q, want %q and nothing inside", c.err, got, c.say)
		}
	}
}

func TestAPanicShowsNothingInside(t *testing.T) {
	w := ask(server(Config{}), "GET", "/panic", nil)
	if w.Code != http.StatusInternalServerError || strings.Contains(w.Body.String(), "inside knowledge") {
		t.Errorf("a panic answers %d %q, want 500 and nothing inside", w.Code, w.Body)
	}
}

// A body that stops coming is not waited for longer than is said, and whoever sends it gets an answer.
func TestWithin(t *testing.T) {
	e := server(Config{})
	e.POST("/slow", func(c echo.Context) error {
		if err := Within(c, 50*time.Millisecond); err != nil {
			return err
		}
		_, err := io.ReadAll(c.Request().Body)
		return c.String(http.StatusOK, fmt.Sprint(errors.Is(err, os.ErrDeadlineExceeded)))
	})
	s := httptest.NewServer(e)
	defer s.Close()
	body, w := io.Pipe()
	defer w.Close()
	go func() { _, _ = w.Write([]byte("the beginning")) }() // and nothing more
	r, err := http.NewRequestWithContext(t.Context(), http.MethodPost, s.URL+"/slow", body)
	if err != nil {
		t.Fatal(err)
	}
	got, err := http.DefaultClient.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer got.Body.Close()
	if said, err := io.ReadAll(got.Body); err != nil || string(said) != "true" {
		t.Errorf("answered %q, %v", said, err)
	}
}
