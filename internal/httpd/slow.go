package httpd

import (
	"net/http"
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
		IdentifierExtractor: func(c echo.Context) (string, error) { return c.RealIP(), nil },
		DenyHandler: func(echo.Context, string, error) error {
			return echo.NewHTTPError(http.StatusTooManyRequests)
		},
	})
}
