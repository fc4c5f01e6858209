// Package upload takes files in parts under /uploads, by the open tus protocol (version 1.0.0), for phones whose signal
// comes and goes. It is a way in beside the pages and the API: the protocol is tusd's handler, what it does is the
// application's.
//
// The rules of its world:
//
//   - A file is announced by POST with its id, size and SHA-256, and sent by PATCH. Announced again it is the same upload
//     under the same address: a repeat never makes a second one and never cuts one short.
//   - Whose an upload is comes from the session. Somebody else's is not there.
//   - The last byte is acknowledged with Witnessmark-Received, the digest of what was kept, and not before it is evidence.
//     Every later POST, HEAD and PATCH says so again. Bytes that do not have the announced digest are answered 460 and
//     thrown away with their upload.
//   - A later request for an upload ends an earlier one that still waits for bytes: the phone has given that up.
//   - Trouble is JSON with a title meant for a person.
package upload

import (
	"context"
	"io"
	"log/slog"
	"net/http"

	"github.com/google/uuid"
	"github.com/labstack/echo/v4"
	"github.com/tus/tusd/v2/pkg/handler"
	silent "golang.org/x/exp/slog"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/httpd"
)

// Path is where files are announced; an upload lies below it.
const Path = "/uploads"

// ReceivedHeader carries the SHA-256 in hex of a file that is kept.
const ReceivedHeader = "Witnessmark-Received"

// service is what the requests stand on.
type service struct {
	app      *app.App
	sessions *httpd.Sessions
	log      *slog.Logger
	tus      *handler.UnroutedHandler
}

// Register adds the uploads to the server, each request with its session loaded and with no limit on its body or time but
// the protocol's own.
func Register(e *echo.Echo, a *app.App, s *httpd.Sessions, log *slog.Logger) error {
	sv := &service{app: a, sessions: s, log: log}
	composer := handler.NewStoreComposer()
	composer.UseCore(files{sv})
	composer.UseLocker(newLocks())
	var err error
	sv.tus, err = handler.NewUnroutedHandler(handler.Config{
		StoreComposer: composer,
		BasePath:      Path,
		MaxSize:       app.EvidenceLimit,
		Cors:          &handler.CorsConfig{Disable: true},
		Logger:        silent.New(silent.NewTextHandler(io.Discard, nil)), // the server has its own line per request
	})
	if err != nil {
		return err
	}
	e.Any(Path, sv.serve, s.Load())
	e.Any(Path+"/:id", sv.serve, s.Load())
	return nil
}

// call is one request: whose it is, and where its answer is written.
type call struct {
	who  account.Caller
	r    *http.Request
	w    http.ResponseWriter
	body *body
}

type callKey struct{}

// callOf is the request that the protocol's handler is working on.
func callOf(ctx context.Context) *call { return ctx.Value(callKey{}).(*call) }

// serve hands a request to the protocol's handler.
func (s *service) serve(c echo.Context) error {
	w := &answer{ResponseWriter: c.Response(), body: &body{ReadCloser: c.Request().Body, conn: http.NewResponseController(c.Response())}}
	defer w.end()
	who, err := s.sessions.Caller(c.Request().Context())
	if err != nil {
		w.refuse(s.status(err), httpd.Sentence(err))
		return nil
	}
	next, ok := s.method(c)
	if !ok {
		w.refuse(http.StatusMethodNotAllowed, httpd.Sentence(echo.ErrMethodNotAllowed))
		return nil
	}
	k := &call{who: who, w: w, body: w.body}
	k.r = c.Request().WithContext(context.WithValue(c.Request().Context(), callKey{}, k))
	k.r.Body = k.body
	k.r.Header.Del("X-HTTP-Method-Override") // one way to ask for a thing
	for header, title := range notOffered {
		if k.r.Header.Get(header) != "" {
			w.refuse(http.StatusBadRequest, title)
			return nil
		}
	}
	at := *k.r.URL
	at.Path = c.Param("id")
	k.r.URL = &at
	s.tus.Middleware(next).ServeHTTP(w, k.r)
	return nil
}

// notOffered are the protocol's extensions that would change what a request means, by their headers: silence would be
// taken for consent.
var notOffered = map[string]string{
	"Upload-Checksum": "Parts are not checked one by one here. Send the SHA-256 of the whole file when you announce it.",
	"Upload-Concat":   "A file is not put together of several uploads here. Announce the whole file.",
}

// method is the handler of a request's method, where there is one for its path. OPTIONS is answered before it is asked.
func (s *service) method(c echo.Context) (http.HandlerFunc, bool) {
	if id := c.Param("id"); id != "" {
		switch c.Request().Method {
		case http.MethodHead:
			return s.tus.HeadFile, true
		case http.MethodPatch:
			return s.tus.PatchFile, true
		}
	} else if c.Request().Method == http.MethodPost {
		return s.tus.PostFile, true
	}
	return http.NotFound, c.Request().Method == http.MethodOptions
}

// parseID is an upload's id as we write it.
func parseID(s string) (uuid.UUID, bool) {
	id, err := uuid.Parse(s)
	return id, err == nil && id.String() == s
}
