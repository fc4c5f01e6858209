package api

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"syscall"
	"testing"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/fault"
	"witnessmark/internal/httpd"
	"witnessmark/internal/store"
)

func TestProblems(t *testing.T) {
	for _, c := range []struct {
		name   string
		err    error
		status int
		slug   string
		detail string // somewhere in the detail
	}{
		{"invalid", fault.Invalid("words", "Say what is missing."), 422, "needs-mending", "Say what is missing."},
		{"not found", fault.NotFound("There is no such attempt."), 404, "not-found", "no such attempt"},
		{"conflict", fmt.Errorf("decide: %w", fault.Conflict("Ruben did.")), 409, "conflict", "Ruben did."},
		{"forbidden", fault.Forbidden("This is for a tutor."), 403, "forbidden", "for a tutor"},
		{"signed out", httpd.ErrSignedOut, 401, "signed-out", "Sign in"},
		{"no route", echo.ErrNotFound, 404, "not-found", "openapi.json"},
		{"refused before the application", refuse(http.StatusBadRequest, "Not JSON."), 400, "unreadable", "Not JSON."},
		{"refused under way", fmt.Errorf("receiving: %w", refuse(http.StatusBadRequest, "It stopped.")), 400, "unreadable", "It stopped."},
		{"no room", fmt.Errorf("store: %w", syscall.ENOSPC), 507, "no-room", "no room left"},
		{"the database is away", fmt.Errorf("read people: %w", store.ErrAway), 503, "away", "does not answer"},
		{"our own", errors.New("pq: password for witnessmark_app at 10.0.0.5"), 500, "internal", "on our side"},
		{"gone away", context.Canceled, 499, "internal", ""},
	} {
		p := problemOf(c.err)
		if p.Status != c.status || p.Type != typeBase+c.slug || p.Title == "" || !strings.Contains(p.Detail, c.detail) {
			t.Errorf("%s: got %+v, want %d %s with %q", c.name, p, c.status, c.slug, c.detail)
		}
		if strings.Contains(p.Detail, "10.0.0.5") {
			t.Errorf("%s: the detail shows what is ours alone: %q", c.name, p.Detail)
		}
	}
}
