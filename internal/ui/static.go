package ui

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"mime"
	"net/http"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/labstack/echo/v4"

	"witnessmark/web"
)

// staticFiles serves web/static under one edition, the digest of all of it, so that scripts may name each other and
// everything may be kept for a year.
type staticFiles struct {
	edition string
	files   map[string]staticFile
	worker  staticFile          // the service worker, which is served at the root
	needs   map[string][]string // the addresses of each entry module and of all that it imports
}

// staticFile is a file as it is sent: scripts and style sheets without their comments.
type staticFile struct {
	kind          string // media type
	plain, zipped []byte
}

// workerName is the file of the service worker.
const workerName = "sw.js"

// kinds are the media types of what lies in web/static; a machine's own table may say otherwise.
var kinds = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

func newStaticFiles() (*staticFiles, error) {
	s := &staticFiles{files: map[string]staticFile{}}
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
		fmt.Fprintf(sum, "%s %d\n", name, len(content)) // a hash takes everything
		sum.Write(content)
		s.files[name], err = newStaticFile(name, content)
		return err
	})
	if err != nil {
		return nil, fmt.Errorf("read the static files: %w", err)
	}
	s.edition = hex.EncodeToString(sum.Sum(nil))[:12]
	if s.worker, err = s.newWorker(); err != nil {
		return nil, err
	}
	s.needs = map[string][]string{}
	for _, entry := range entries {
		if s.needs[entry], err = s.follow(entry); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func newStaticFile(name string, content []byte) (staticFile, error) {
	f := staticFile{kind: kinds[path.Ext(name)], plain: content}
	if f.kind == "" {
		f.kind = mime.TypeByExtension(path.Ext(name))
	}
	if ext := path.Ext(name); ext == ".js" || ext == ".css" {
		f.plain = bare(content, ext == ".js")
	}
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return f, fmt.Errorf("compress %s: %w", name, err)
	}
	w.Write(f.plain) // a buffer takes everything
	if err := w.Close(); err != nil {
		return f, fmt.Errorf("compress %s: %w", name, err)
	}
	f.zipped = b.Bytes()
	return f, nil
}

var (
	blockComment = regexp.MustCompile(`(?s)/\*.*?\*/ ?`)
	lineComment  = regexp.MustCompile(`(?m)(?:^|[ \t])// .*$`)
	lineStarts   = regexp.MustCompile(`\n\s+`)
)

// bare is a script or a style sheet without its comments and indents, a third of what would be sent. It knows no strings: a
// test sees to it that none holds what looks like a comment, or goes over the end of a line.
func bare(content []byte, script bool) []byte {
	content = blockComment.ReplaceAll(content, nil)
	if script {
		content = lineComment.ReplaceAll(content, nil)
	}
	return lineStarts.ReplaceAll(content, []byte("\n"))
}

// newWorker puts the edition and the addresses of its files before the worker's text: a new edition is a new worker.
func (s *staticFiles) newWorker() (staticFile, error) {
	names := slices.Sorted(maps.Keys(s.files))
	text := s.files[workerName].plain
	delete(s.files, workerName)
	var about struct {
		Edition string   `json:"edition"`
		Files   []string `json:"files"`
	}
	about.Edition = s.edition
	for _, name := range names {
		if name != workerName {
			about.Files = append(about.Files, s.address(name))
		}
	}
	head, err := json.Marshal(about)
	if err != nil {
		return staticFile{}, fmt.Errorf("list the worker's files: %w", err)
	}
	return newStaticFile(workerName, fmt.Appendf(nil, "self.witnessmark = %s;\n%s", head, text))
}

// address is where a static file is found.
func (s *staticFiles) address(name string) string { return "/static/" + s.edition + "/" + name }

// serve answers with a static file. One of another edition is answered with today's, which nobody keeps.
func (s *staticFiles) serve(c echo.Context) error {
	f, ok := s.files[c.Param("*")]
	if !ok {
		return echo.NewHTTPError(http.StatusNotFound)
	}
	if c.Param("edition") == s.edition {
		c.Response().Header().Set(echo.HeaderCacheControl, "public, max-age=31536000, immutable")
	}
	return f.send(c)
}

// serveWorker answers with the service worker. It may look after the whole site and is asked for afresh each time.
func (s *staticFiles) serveWorker(c echo.Context) error {
	h := c.Response().Header()
	h.Set("Service-Worker-Allowed", "/")
	h.Set(echo.HeaderCacheControl, "no-cache")
	tag := `"` + s.edition + `"`
	h.Set("ETag", tag)
	if c.Request().Header.Get("If-None-Match") == tag {
		return c.NoContent(http.StatusNotModified)
	}
	return s.worker.send(c)
}

// send writes the file, compressed for whoever takes it so.
func (f staticFile) send(c echo.Context) error {
	h, content := c.Response().Header(), f.plain
	h.Set(echo.HeaderVary, echo.HeaderAcceptEncoding)
	if strings.Contains(c.Request().Header.Get(echo.HeaderAcceptEncoding), "gzip") {
		h.Set(echo.HeaderContentEncoding, "gzip")
		content = f.zipped
	}
	h.Set(echo.HeaderContentLength, strconv.Itoa(len(content)))
	return c.Blob(http.StatusOK, f.kind, content)
}
