package api

import (
	"encoding/json"
	"errors"
	"fmt"
	"reflect"

	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/fault"
)

// adapt puts a row's handler behind the question who asks.
func (s *service) adapt(r Route) echo.HandlerFunc {
	return func(c echo.Context) error {
		var who account.Caller
		if r.Action != "" {
			var err error
			if who, err = s.sessions.Caller(c.Request().Context()); err != nil {
				return err
			}
		}
		return r.answer(s, request{c}, who)
	}
}

// serve reads the request, calls the handler and sends its answer.
func serve[P, Q, B, R any](s *service, c request, who account.Caller, fn handler[P, Q, B, R]) error {
	var p P
	var q Q
	var b B
	if err := readAll(s, c, &p, &q, &b); err != nil {
		return err
	}
	r, err := fn(c.Request().Context(), who, p, q, b)
	if f, ok := fault.As(err); ok && len(f.Fields) > 0 && !isRefusal(err) {
		return &placed{err, places(f, fieldPlaces(reflect.TypeFor[Q](), reflect.TypeFor[B]()))}
	}
	if err != nil {
		return err
	}
	return send(c, r)
}

// isRefusal says whether the trouble came from reading the body, which the handler streams.
func isRefusal(err error) bool {
	var r *refusal
	return errors.As(err, &r)
}

// send answers with r in the way of its type.
func send[R any](c request, r R) error {
	status := statusOf(reflect.TypeFor[R]())
	switch r := any(r).(type) {
	case none:
		return c.NoContent(status)
	case content:
		return r.send(c)
	case document:
		return c.Blob(status, echo.MIMEApplicationJSON, r)
	}
	body, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("write an answer: %w", err)
	}
	return c.Blob(status, echo.MIMEApplicationJSON, append(body, '\n'))
}

// document is JSON that is ready.
type document []byte
