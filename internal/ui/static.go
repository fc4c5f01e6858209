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
	"net/http"
	"path"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/evanw/esbuild/pkg/api"
	"github.com/labstack/echo/v4"

	"witnessmark/web"
)

// staticFiles serves web/static under one edition, the digest of all of it, so that scripts may name each other and
// everything may be kept for a year.
type staticFiles struct {
	edition string
	files   map[string]staticFile
	scripts *bundle
	worker  staticFile // the service worker, which is served at the root
}

// staticFile is a file as it is sent.
type staticFile struct {
	kind          string // media type
	plain, zipped []byte
}

// workerName is the file of the service worker.
const workerName = "sw.js"

// kinds are the media types of what lies in web/static; a machine's own table may say otherwise.
var kinds = map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".svg": "image/svg+xml"}

// joined are the style sheets that a page always has together, in their order: they go as one file, since on a slow phone every
// file is waited for, with signal and without.
var joined = map[string][]string{
	"phone.css":  {"witnessmark.css", "sheet.css", "phone.css"},
	"office.css": {"office.css", "workshop.css", "reference.css", "insight.css", "centre.css"},
}

// readStaticFiles reads them once for the whole process, in which they never change.
var readStaticFiles = sync.OnceValues(newStaticFiles)

func newStaticFiles() (*staticFiles, error) {
	folder, err := fs.Sub(web.Files, "static")
	if err != nil {
		return nil, fmt.Errorf("find the static files: %w", err)
	}
	s := &staticFiles{files: map[string]staticFile{}}
	if s.scripts, err = newBundle(folder); err != nil {
		return nil, err
	}
	contents := s.scripts.files
	others, err := fs.Glob(folder, "*")
	if err != nil {
		return nil, fmt.Errorf("list the static files: %w", err)
	}
	for _, name := range others {
		if kinds[path.Ext(name)] == "" || path.Ext(name) == ".js" {
			continue
		}
		if contents[name], err = fs.ReadFile(folder, name); err != nil {
			return nil, fmt.Errorf("read the static files: %w", err)
		}
	}
	for to, names := range joined {
		var all []byte
		for _, name := range names {
			all = append(all, contents[name]...)
			delete(contents, name)
		}
		contents[to] = all
	}
	worker, err := fs.ReadFile(folder, workerName)
	if err != nil {
		return nil, fmt.Errorf("read the service worker: %w", err)
	}
	sum := sha256.New()
	for _, name := range slices.Sorted(maps.Keys(contents)) {
		fmt.Fprintf(sum, "%s %d\n%s", name, len(contents[name]), contents[name]) // a hash takes everything
		if s.files[name], err = newStaticFile(name, contents[name]); err != nil {
			return nil, err
		}
	}
	sum.Write(worker)
	s.edition = hex.EncodeToString(sum.Sum(nil))[:12]
	s.worker, err = s.newWorker(worker)
	return s, err
}

// newStaticFile makes a file ready to be sent, without the comments that style sheets and the worker still have.
func newStaticFile(name string, content []byte) (staticFile, error) {
	f := staticFile{kind: kinds[path.Ext(name)], plain: content}
	if loader := map[string]api.Loader{".css": api.LoaderCSS, ".js": api.LoaderJS}[path.Ext(name)]; loader != api.LoaderNone {
		made := api.Transform(string(content), api.TransformOptions{Loader: loader, MinifyWhitespace: true, Charset: api.CharsetUTF8, Sourcefile: name})
		if err := troubles(made.Errors); err != nil {
			return f, err
		}
		f.plain = made.Code
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

// newWorker puts the edition and the addresses of its files before the worker's text: a new edition is a new worker.
func (s *staticFiles) newWorker(text []byte) (staticFile, error) {
	about := struct {
		Edition string   `json:"edition"`
		Files   []string `json:"files"`
	}{Edition: s.edition}
	for _, name := range slices.Sorted(maps.Keys(s.files)) {
		about.Files = append(about.Files, s.address(name))
	}
	head, err := json.Marshal(about)
	if err != nil {
		return staticFile{}, fmt.Errorf("list the worker's files: %w", err)
	}
	return newStaticFile(workerName, fmt.Appendf(nil, "self.witnessmark = %s;\n%s", head, text))
}

// address is where a static file is found.
func (s *staticFiles) address(name string) string { return "/static/" + s.edition + "/" + name }

// modules lists the addresses of an entry and of what it needs at once: a page that names them all spares a walk to the server
// for each.
func (s *staticFiles) modules(entry string) []string {
	names := s.scripts.follow(entry, false)
	for i, name := range names {
		names[i] = s.address(name)
	}
	return names
}

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
