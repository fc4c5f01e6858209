// Package api is JSON under /api: the same operations as the pages, through the same methods of the application.
//
// One table (table.go) lists every operation: method, path, what it asks of the caller, one sentence, handler. A handler is
// a plain function of a context, a caller, path, query and body, each of the three a type of its own; one generic adapter
// (adapt.go) reads them strictly, calls, and replies. openapi.json is emitted from the same table and types.
//
// The rules of its world:
//
//   - What cannot be read to the letter is refused: unknown and repeated members, null, trailing text, broken UTF-8.
//   - Every trouble is answered by a problem document (RFC 9457) whose sentences are meant for a person.
//   - Times are RFC 3339 in UTC, dates YYYY-MM-DD, ids canonical UUIDs; what is not known is left out.
//   - Who may do what is the application's to say, never asked here.
package api

import (
	"strings"

	"github.com/go-playground/validator/v10"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

// service is what the handlers stand on.
type service struct {
	app      *app.App
	sessions *httpd.Sessions
	validate *validator.Validate
	document []byte // openapi.json
}

// newService puts a service together; a table that cannot be described is a mistake of ours and shows at start-up.
func newService(a *app.App, s *httpd.Sessions) *service {
	sv := &service{app: a, sessions: s, validate: newValidator()}
	sv.document = emit(sv.routes())
	return sv
}

// Register adds every operation to the server, each with the session loaded before it. Trouble goes to the server's error
// handler, which answers with Fail.
func Register(e *echo.Echo, a *app.App, s *httpd.Sessions) {
	sv := newService(a, s)
	for _, r := range sv.routes() {
		before := []echo.MiddlewareFunc{s.Load()}
		if r.Slow {
			before = append(before, s.Slowly())
		}
		e.Add(r.Method, echoPath(r.Path), sv.adapt(r), before...)
	}
}

// echoPath is a path of the table as echo writes it: {id} becomes :id.
func echoPath(path string) string {
	return strings.NewReplacer("{", ":", "}", "").Replace(path)
}
