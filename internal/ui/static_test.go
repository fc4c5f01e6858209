package ui

import (
	"bytes"
	"compress/gzip"
	"io"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// asked is an answer to a GET with headers of its own.
func (v *visitor) asked(t *testing.T, path string, header http.Header) answer {
	t.Helper()
	r := httptest.NewRequestWithContext(t.Context(), "GET", path, nil)
	for k, vs := range header {
		r.Header[k] = vs
	}
	if v.cookie != nil {
		r.AddCookie(v.cookie)
	}
	w := httptest.NewRecorder()
	v.site.handler.ServeHTTP(w, r)
	return answer{w.Code, w.Body.String(), w.Header()}
}

func unzip(t *testing.T, a answer) string {
	t.Helper()
	if got := a.header.Get("Content-Encoding"); got != "gzip" {
		t.Fatalf("Content-Encoding is %q, want gzip", got)
	}
	r, err := gzip.NewReader(bytes.NewReader([]byte(a.body)))
	must(t, err)
	plain, err := io.ReadAll(r)
	must(t, err)
	return string(plain)
}

func TestTheWorkerIsOfItsEdition(t *testing.T) {
	s := newSite(t)
	u, err := readStaticFiles()
	must(t, err)
	v := &visitor{site: s}
	a := v.asked(t, "/sw.js", nil).want(t, http.StatusOK, u.edition, u.address("capture.js"), u.address("phone/early.js"), u.address("phone.css"))
	for k, want := range map[string]string{"Service-Worker-Allowed": "/", "Cache-Control": "no-cache", "Content-Type": "text/javascript; charset=utf-8"} {
		if got := a.header.Get(k); got != want {
			t.Errorf("%s is %q, want %q", k, got, want)
		}
	}
	v.asked(t, "/sw.js", http.Header{"If-None-Match": {a.header.Get("ETag")}}).want(t, http.StatusNotModified)
	v.asked(t, "/sw.js", http.Header{"If-None-Match": {`"000000000000"`}}).want(t, http.StatusOK)
	if csp := a.header.Get("Content-Security-Policy"); !strings.Contains(csp, "worker-src 'self'") || !strings.Contains(csp, "connect-src 'self'") {
		t.Errorf("the worker's policy is %q", csp)
	}
	v.get(t, u.address("sw.js")).want(t, http.StatusNotFound) // at the root alone: a worker of the static files' scope is of no use
}

func TestPagesAndScriptsComeCompressedAndFilesDoNot(t *testing.T) {
	s := newSite(t)
	u, err := readStaticFiles()
	must(t, err)
	trainee := s.in(t, "trainee")
	takes := http.Header{"Accept-Encoding": {"br, gzip"}}
	for path, want := range map[string]string{"/tasks": "My tasks", "/sign-in?next=%2Ftasks": "", u.address("capture.js"): "import", u.address("phone.css"): ".stage", "/sw.js": u.edition} {
		a := trainee.asked(t, path, takes)
		if a.status == http.StatusSeeOther {
			continue
		}
		if page := unzip(t, a); !strings.Contains(page, want) {
			t.Errorf("%s does not hold %q", path, want)
		}
		if !strings.Contains(strings.Join(a.header.Values("Vary"), ","), "Accept-Encoding") {
			t.Errorf("%s does not vary with Accept-Encoding", path)
		}
		if plain := trainee.asked(t, path, nil); plain.header.Get("Content-Encoding") != "" || !strings.Contains(plain.body, want) {
			t.Errorf("%s comes compressed to whoever does not take it so", path)
		}
	}
	files := map[string]bool{"/evidence/:id": true, "/evidence/:id/preview": true, "/portfolios/:id/file": true}
	for _, r := range routes() {
		if files[r.Path] && !r.Bytes {
			t.Errorf("%s compresses a file that is compressed already", r.Path)
		}
		delete(files, r.Path)
	}
	if len(files) > 0 {
		t.Errorf("no such routes: %v", sortedKeys(files))
	}
}

// A service worker keeps a page under the name that the server put on it, and what has no name is never kept.
func TestPagesSayWhoseTheyAre(t *testing.T) {
	s := newSite(t)
	u, err := readStaticFiles()
	must(t, err)
	trainee, stranger := s.in(t, "trainee"), &visitor{site: s}
	id := s.people["trainee"].Person.String()
	for _, c := range []struct {
		who    *visitor
		path   string
		status int
		want   string
	}{
		{trainee, "/tasks", 200, id}, {trainee, s.attempt, 200, id}, {trainee, "/bench", 403, id},
		{stranger, "/sign-in", 200, nobody}, {stranger, "/tasks", 303, nobody},
		{trainee, "/no-signal", 200, ""}, {stranger, "/no-signal", 200, ""}, {trainee, "/no-such-page", 404, ""},
	} {
		a := c.who.get(t, c.path).want(t, c.status)
		if got := a.header.Get(personHeader); got != c.want {
			t.Errorf("%s: %s is %q, want %q", c.path, personHeader, got, c.want)
		}
	}
	a := trainee.get(t, "/tasks").want(t, 200, `data-person="`+id+`"`, `data-drawn="`)
	if got := a.header.Get(editionHeader); got != u.edition {
		t.Errorf("the page is of edition %q, want %q", got, u.edition)
	}
	stranger.get(t, "/sign-in").want(t, 200, `data-person=""`)
	if page := trainee.get(t, "/no-signal").body; strings.Contains(page, "Person trainee") || strings.Contains(page, id) {
		t.Error("the page that everybody is shown without signal names somebody")
	}
}

// What waits to be sent is in the browser's storage: signing out clears the copies of pages and never that.
func TestSigningOutClearsCopiesAndNoStorage(t *testing.T) {
	s := newSite(t)
	v := s.in(t, "trainee")
	a := v.post(t, "/sign-out", nil)
	a.sent(t, "/sign-in")
	if got := a.header.Get("Clear-Site-Data"); got != `"cache"` {
		t.Errorf("Clear-Site-Data is %q", got)
	}
}
