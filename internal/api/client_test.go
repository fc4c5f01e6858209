package api_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
)

// body is a JSON object to be sent.
type body map[string]any

// client is one person's, signed in by the cookie; anybody's has none.
type client struct {
	site   *site
	name   string
	id     uuid.UUID
	cookie *http.Cookie
}

// answer is what came back.
type answer struct {
	*httptest.ResponseRecorder
	what string
}

// json sends an object, or nothing where b is nil.
func (c *client) json(t *testing.T, method, path string, b body) answer {
	t.Helper()
	if b == nil {
		return c.send(t, method, path, nil, nil)
	}
	raw, err := json.Marshal(b)
	must(t, err)
	return c.send(t, method, path, raw, http.Header{"Content-Type": {"application/json"}})
}

// send sends bytes with headers, keeps the cookie, and has the answer judged against openapi.json.
func (c *client) send(t *testing.T, method, path string, raw []byte, h http.Header) answer {
	t.Helper()
	var r io.Reader
	if raw != nil {
		r = bytes.NewReader(raw)
	}
	req := httptest.NewRequestWithContext(t.Context(), method, path, r)
	for k, v := range h {
		req.Header[k] = v
	}
	return c.exchange(t, req)
}

func (c *client) exchange(t *testing.T, req *http.Request) answer {
	t.Helper()
	if c.cookie != nil {
		req.AddCookie(c.cookie)
	}
	if req.RemoteAddr == "192.0.2.1:1234" { // everybody sits somewhere else, so that nobody waits for another
		s := sha256.Sum256([]byte(newID(t)))
		req.RemoteAddr = netip.AddrPortFrom(netip.AddrFrom16([16]byte(s[:16])), 40000).String()
	}
	a := answer{httptest.NewRecorder(), c.name + " " + req.Method + " " + req.URL.Path}
	c.site.handler.ServeHTTP(a.ResponseRecorder, req)
	for _, k := range a.Result().Cookies() {
		c.cookie = k
	}
	c.site.judge(t, req, a)
	return a
}

// judge holds an answer against the document: its status is described and its body has the described form.
func (s *site) judge(t *testing.T, req *http.Request, a answer) {
	t.Helper()
	media := a.Header().Get("Content-Type")
	schema := s.doc.Components.Schemas["Problem"].Value
	if a.Code < 300 {
		op := s.operation(req)
		if op == nil {
			t.Errorf("%s: answered %d and is not in openapi.json", a.what, a.Code)
			return
		}
		r := op.Responses.Status(a.Code)
		if r == nil {
			t.Errorf("%s: openapi.json knows no answer %d", a.what, a.Code)
			return
		}
		m := r.Value.Content.Get("application/json")
		if m == nil || m.Schema == nil || media != "application/json" {
			return
		}
		schema = m.Schema.Value
	} else if media != "application/problem+json" {
		t.Errorf("%s: %d comes as %q, want a problem document: %s", a.what, a.Code, media, a.Body)
		return
	}
	var v any
	if err := json.Unmarshal(a.Body.Bytes(), &v); err != nil {
		t.Errorf("%s: %d: %v", a.what, a.Code, err)
	} else if err := schema.VisitJSON(v, openapi3.EnableJSONSchema2020()); err != nil {
		t.Errorf("%s: %d does not have the form that openapi.json gives: %v\n%s", a.what, a.Code, err, a.Body)
	}
}

// operation finds the operation of a request in the document; paths without parameters come first.
func (s *site) operation(req *http.Request) *openapi3.Operation {
	parts := strings.Split(req.URL.Path, "/")
	for _, exact := range []bool{true, false} {
	paths:
		for path, item := range s.doc.Paths.Map() {
			want := strings.Split(path, "/")
			if len(want) != len(parts) || exact == strings.Contains(path, "{") {
				continue
			}
			for i := range want {
				if want[i] != parts[i] && !strings.HasPrefix(want[i], "{") {
					continue paths
				}
			}
			if op := item.GetOperation(req.Method); op != nil {
				return op
			}
		}
	}
	return nil
}

// want fails the test where the answer has another status.
func (a answer) want(t *testing.T, status int) {
	t.Helper()
	if a.Code != status {
		t.Fatalf("%s: got %d, want %d: %s", a.what, a.Code, status, a.Body)
	}
}

func (a answer) into(t *testing.T, v any) {
	t.Helper()
	a.want(t, http.StatusOK)
	must(t, json.Unmarshal(a.Body.Bytes(), v))
}

// member is a text member of the answer.
func (a answer) member(t *testing.T, name string) string {
	t.Helper()
	var m map[string]any
	must(t, json.Unmarshal(a.Body.Bytes(), &m))
	s, ok := m[name].(string)
	if !ok {
		t.Fatalf("%s: the answer has no text %q: %s", a.what, name, a.Body)
	}
	return s
}

// picture is a small JPEG; each n looks different.
func picture(t *testing.T, n int) []byte {
	t.Helper()
	img := image.NewRGBA(image.Rect(0, 0, 64, 48))
	for x := range 64 {
		for y := range 48 {
			img.Set(x, y, color.RGBA{uint8(x * 4), uint8(y * 5), uint8(n * 40), 255})
		}
	}
	var b bytes.Buffer
	must(t, jpeg.Encode(&b, img, nil))
	return b.Bytes()
}

func newID(t *testing.T) string {
	t.Helper()
	id, err := uuid.NewV7()
	must(t, err)
	return id.String()
}

func mustUUID(t *testing.T, s string) uuid.UUID {
	t.Helper()
	id, err := uuid.Parse(s)
	must(t, err)
	return id
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}
