package httpd

import (
	"math"
	"net/http"
	"net/netip"
	"strconv"
	"time"

	"github.com/labstack/echo/v4"
	"github.com/labstack/echo/v4/middleware"
)

// How often one address may try to sign in or to use an invitation: so many times at once, then so many a second. Both are
// our own values: a class behind one address can sign in together, a guesser gets nowhere.
const (
	tryBurst = 20
	tryRate  = 1.0 / 3
)

// Slowly limits how often one address may try a route. Every route of pages and API alike that stands behind it shares one
// budget.
func (s *Sessions) Slowly() echo.MiddlewareFunc { return s.slowly }

func slowly() echo.MiddlewareFunc {
	return middleware.RateLimiterWithConfig(middleware.RateLimiterConfig{
		Store:               middleware.NewRateLimiterMemoryStoreWithConfig(middleware.RateLimiterMemoryStoreConfig{Rate: tryRate, Burst: tryBurst, ExpiresIn: 10 * time.Minute}),
		IdentifierExtractor: func(c echo.Context) (string, error) { return household(c.RealIP()), nil },
		DenyHandler: func(c echo.Context, _ string, _ error) error {
			c.Response().Header().Set("Retry-After", strconv.Itoa(int(math.Ceil(1/tryRate))))
			return echo.NewHTTPError(http.StatusTooManyRequests)
		},
	})
}

// household is who counts as one address: whoever has one of IPv6 has a /64 of them, and could take another for each try (RFC 6177;
// from memory).
func household(ip string) string {
	a, err := netip.ParseAddr(ip)
	if err != nil || a.Unmap().Is4() {
		return ip
	}
	p, err := a.WithZone("").Prefix(64)
	if err != nil {
		return ip
	}
	return p.String()
}
