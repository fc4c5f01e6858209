// Package httpd is what both ways in share, pages and API alike: the server with its limits, the headers on every answer,
// sessions, and the one table that turns a fault into a status.
package httpd

import (
	"context"
	"errors"
	"log/slog"
	"net/http"
	"net/netip"
	"strconv"
	"syscall"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"

	"witnessmark/internal/fault"
	"witnessmark/internal/store"
)

// Limits on what one request may bring; the routes for evidence have their own.
const (
	BodyLimit     = "1M"
	HeaderLimit   = 32 << 10 // bytes
	HeaderTimeout = 10 * time.Second
	IdleTimeout   = 2 * time.Minute
)

// Config says how the server stands in the world.
type Config struct {
	Log            *slog.Logger
	HTTPS          bool           // people reach it over https: cookies are Secure, and only then
	TrustedProxies []netip.Prefix // whose X-Forwarded-For is believed; none by default
}

// New makes the server with everything that stands before any route. Routes are added by the ways in.
func New(cfg Config) *echo.Echo {
	e := echo.New()
	e.HideBanner, e.HidePort = true, true
	e.Server.ReadHeaderTimeout, e.TLSServer.ReadHeaderTimeout = HeaderTimeout, HeaderTimeout
	e.Server.IdleTimeout, e.TLSServer.IdleTimeout = IdleTimeout, IdleTimeout
	e.Server.MaxHeaderBytes, e.TLSServer.MaxHeaderBytes = HeaderLimit, HeaderLimit
	e.IPExtractor = echo.ExtractIPDirect()
	if len(cfg.TrustedProxies) > 0 {
		e.IPExtractor = echo.ExtractIPFromXFFHeader(trust(cfg.TrustedProxies)...)
	}
	e.Use(requestLog(cfg.Log), middleware.RecoverWithConfig(middleware.RecoverConfig{
		LogErrorFunc: func(c echo.Context, err error, stack []byte) error {
			cfg.Log.Error("a handler panicked", "err", err, "stack", string(stack))
			return err
		},
	}), headers(cfg.HTTPS), sameOrigin())
	return e
}

// trust lists the proxies that may speak for a client, and nobody else.
func trust(proxies []netip.Prefix) []echo.TrustOption {
	opts := []echo.TrustOption{echo.TrustLoopback(false), echo.TrustLinkLocal(false), echo.TrustPrivateNet(false)}
	for _, p := range proxies {
		opts = append(opts, echo.TrustIPRange(ipNet(p)))
	}
	return opts
}

// policy is the content security policy of every page. One trusted-types policy exists, which admits the service worker's
// address and nothing else.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; " +
	"manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; " +
	"require-trusted-types-for 'script'; trusted-types witnessmark"

// EvidencePolicy is that of uploaded bytes: whatever they are, they run nothing.
const EvidencePolicy = "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src 'self'"

// TimeHeader carries the server's clock on every answer, in milliseconds since 1970: finer than Date, so that a phone knows
// how far its own clock is off.
const TimeHeader = "Witnessmark-Time"

// headers sets what stands on every answer. Answers are not kept by anybody unless a handler says otherwise.
func headers(https bool) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			h := c.Response().Header()
			h.Set("Content-Security-Policy", policy)
			h.Set("X-Content-Type-Options", "nosniff")
			h.Set("Referrer-Policy", "same-origin")
			h.Set("Cross-Origin-Opener-Policy", "same-origin")
			h.Set("Cross-Origin-Resource-Policy", "same-origin")
			h.Set("Permissions-Policy", "geolocation=(), microphone=(), payment=()")
			h.Set("Cache-Control", "no-store")
			h.Set(TimeHeader, strconv.FormatInt(time.Now().UnixMilli(), 10))
			if https {
				h.Set("Strict-Transport-Security", "max-age=31536000")
			}
			return next(c)
		}
	}
}

// sameOrigin refuses writes that another site started.
func sameOrigin() echo.MiddlewareFunc {
	cop := http.NewCrossOriginProtection()
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			if err := cop.Check(c.Request()); err != nil {
				return fault.Forbidden("This was sent from another site, so nothing was done. Open the page here and send it again.")
			}
			return next(c)
		}
	}
}

// Method is the request's method where it is a usual one, else "other": anybody can send any word.
func Method(r *http.Request) string {
	switch r.Method {
	case http.MethodGet, http.MethodHead, http.MethodPost, http.MethodPut, http.MethodPatch, http.MethodDelete, http.MethodOptions:
		return r.Method
	}
	return "other"
}

// requestLog writes one line per request: no names, no query, nothing that was typed.
func requestLog(log *slog.Logger) echo.MiddlewareFunc {
	return func(next echo.HandlerFunc) echo.HandlerFunc {
		return func(c echo.Context) error {
			start := time.Now()
			err := next(c)
			if err != nil {
				c.Error(err)
			}
			log.Info("request", "method", Method(c.Request()), "route", c.Path(), "status", c.Response().Status,
				"bytes", c.Response().Size, "ms", time.Since(start).Milliseconds())
			return nil
		}
	}
}

// ErrSignedOut is the trouble of a request that needs a session and has none.
var ErrSignedOut = errors.New("signed out")

// Within has what the request brings come within a time: reading on after that is os.ErrDeadlineExceeded.
func Within(c echo.Context, d time.Duration) error {
	err := http.NewResponseController(c.Response()).SetReadDeadline(time.Now().Add(d))
	if errors.Is(err, http.ErrNotSupported) { // no connection behind it
		return nil
	}
	return err
}

// Status is the table that turns trouble into a status. What is not a fault is 500: log it, show nothing of it.
func Status(err error) int {
	var he *echo.HTTPError
	switch {
	case errors.Is(err, ErrSignedOut):
		return http.StatusUnauthorized
	case errors.As(err, &he) && fault.KindOf(err) == fault.Internal:
		return he.Code
	case errors.Is(err, context.Canceled):
		return 499 // the client went away; nobody reads it
	case errors.Is(err, syscall.ENOSPC):
		return http.StatusInsufficientStorage
	case errors.Is(err, store.ErrAway):
		return http.StatusServiceUnavailable
	}
	switch fault.KindOf(err) {
	case fault.KindInvalid:
		return http.StatusUnprocessableEntity
	case fault.KindNotFound:
		return http.StatusNotFound
	case fault.KindConflict:
		return http.StatusConflict
	case fault.KindForbidden:
		return http.StatusForbidden
	}
	return http.StatusInternalServerError
}

// Sentence is what a person may read of err.
func Sentence(err error) string {
	if f, ok := fault.As(err); ok {
		return f.Message
	}
	switch Status(err) {
	case http.StatusUnauthorized:
		return "Sign in to go on."
	case http.StatusNotFound:
		return "There is no such page."
	case http.StatusMethodNotAllowed:
		return "That cannot be done here."
	case http.StatusRequestEntityTooLarge:
		return "That is more than can be taken at once."
	case http.StatusInsufficientStorage:
		return "The centre's disk has no room left, so nothing was kept. Keep your copy, tell the centre, and send it again later."
	case http.StatusServiceUnavailable:
		return "The centre's database does not answer just now, so nothing was kept. Keep this page open and try again in a minute; tell the centre if it lasts."
	case http.StatusTooManyRequests:
		return "Too many tries from here. Wait a minute and try again."
	case http.StatusBadRequest, http.StatusUnsupportedMediaType:
		return "That could not be read. Load the page again and send it once more."
	}
	return "Something broke on our side. Nothing you sent was half-kept; try again, and tell the centre if it happens twice."
}
