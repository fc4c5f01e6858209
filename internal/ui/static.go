package ui

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"time"

	"github.com/labstack/echo/v4"

	"witnessmark/web"
)

// staticFiles serves web/static under one edition, the digest of all of it, so that scripts may name each other and
// everything may be kept for a year.
type staticFiles struct {
	edition string
	files   map[string][]byte
}

// kinds are the media types of what lies in web/static; a machine's own table may say otherwise.
var kinds = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

func newStaticFiles() (*staticFiles, error) {
	s := &staticFiles{files: map[string][]byte{}}
	sum := sha256.New()
	err := fs.WalkDir(web.Files, "static", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := web.Files.ReadFile(p)
		if err != nil {
			return err
		}
		name := p[len("static/"):]
		s.files[name] = content
		fmt.Fprintf(sum, "%s %d\n", name, len(content)) // a hash takes everything
		sum.Write(content)
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("read the static files: %w", err)
	}
	s.edition = hex.EncodeToString(sum.Sum(nil))[:12]
	return s, nil
}

// address is where a static file is found.
func (s *staticFiles) address(name string) string { return "/static/" + s.edition + "/" + name }

// serve answers with a static file. One of another edition is answered with today's, which nobody keeps.
func (s *staticFiles) serve(c echo.Context) error {
	name := c.Param("*")
	content, ok := s.files[name]
	if !ok {
		return echo.NewHTTPError(http.StatusNotFound)
	}
	h := c.Response().Header()
	kind := kinds[path.Ext(name)]
	if kind == "" {
		kind = mime.TypeByExtension(path.Ext(name))
	}
	h.Set(echo.HeaderContentType, kind)
	if c.Param("edition") == s.edition {
		h.Set(echo.HeaderCacheControl, "public, max-age=31536000, immutable")
	}
	http.ServeContent(c.Response(), c.Request(), name, time.Time{}, bytes.NewReader(content))
	return nil
}
