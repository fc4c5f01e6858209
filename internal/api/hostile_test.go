package api_test

import (
	"encoding/json"
	"fmt"
	"maps"
	"net/http"
	"regexp"
	"strings"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"

	"witnessmark/internal/httpd"
)

// problem is what the tests look at in a problem document.
type problem struct {
	Type, Detail string
	Status       int
	Errors       []struct{ Pointer, Parameter, Name, Detail string }
}

func (a answer) problem(t *testing.T) problem {
	t.Helper()
	var p problem
	must(t, json.Unmarshal(a.Body.Bytes(), &p))
	if p.Status != a.Code || p.Detail == "" {
		t.Errorf("%s: the problem says %d %q, the answer %d", a.what, p.Status, p.Detail, a.Code)
	}
	return p
}

// asJSON is the header that bodies come with.
var asJSON = http.Header{"Content-Type": {"application/json"}}

// TestHostileBodies sends what no honest program sends to one operation; the rest read the same way.
func TestHostileBodies(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own := s.people["own"]
	id := newID(t)
	entry := func(more string) string {
		return fmt.Sprintf(`{"entries":[{"id":%q,"item":"dt","text":"18.5"%s}]}`, id, more)
	}
	for _, c := range []struct {
		name, body string
		status     int
		place      string // pointer of the first place, or words of the detail
	}{
		{"nothing", "", 400, "ends where a value"},
		{"not JSON", "entries=1", 400, "starts no JSON value"},
		{"cut half-way", entry("")[:40], 400, "Byte"},
		{"trailing text", entry("") + "x", 400, "after the end"},
		{"two objects", entry("") + entry(""), 400, "after the end"},
		{"byte order mark", "\ufeff" + entry(""), 400, "starts no JSON value"},
		{"10,001 levels", strings.Repeat("[", 10_001) + strings.Repeat("]", 10_001), 400, "levels deep"},
		{"33 levels in a member", `{"entries":` + strings.Repeat("[", 32) + strings.Repeat("]", 32) + `}`, 400, "levels deep"},
		{"a million ids", `{"entries":[` + strings.Repeat("1,", 400_000) + `1]}`, 400, "more than"},
		{"member twice", entry(`,"text":"2"`), 400, "second time"},
		{"member in another case", entry(`,"Text":"2"`), 400, "second time"},
		{"invalid UTF-8", entry(",\"note\":\"\xff\""), 400, "not UTF-8"},
		{"lone surrogate", entry(`,"note":"\ud800"`), 400, "surrogate"},
		{"NUL", entry(`,"note":"a\u0000b"`), 400, "NUL"},
		{"NaN", entry(`,"note":NaN`), 400, "starts no JSON value"},
		{"an array", `[]`, 422, "one JSON object"},
		{"a text", `"x"`, 422, "one JSON object"},
		{"null", `null`, 422, "one JSON object"},
		{"unknown member", entry(`,"by":"me"`), 422, "/entries/0/by"},
		{"unknown member above", `{"entries":[],"centre_id":1}`, 422, "/centre_id"},
		{"prototype", `{"entries":[],"__proto__":{}}`, 422, "/__proto__"},
		{"member with a slash", `{"entries":[],"a/b~c":1}`, 422, "/a~1b~0c"},
		{"name in another case", `{"Entries":[]}`, 422, "/Entries"},
		{"missing", `{}`, 422, "/entries"},
		{"null for what is required", `{"entries":null}`, 422, "/entries"},
		{"null for what is not", entry(`,"note":null`), 422, "/entries/0/note"},
		{"object for an array", `{"entries":{}}`, 422, "/entries"},
		{"number for a text", entry(`,"note":5`), 422, "/entries/0/note"},
		{"empty list", `{"entries":[]}`, 422, "/entries"},
		{"list of something else", `{"entries":["x"]}`, 422, "/entries/0"},
		{"upper-case UUID", strings.Replace(entry(""), id, strings.ToUpper(id), 1), 422, "/entries/0/id"},
		{"UUID in braces", strings.Replace(entry(""), id, "{"+id+"}", 1), 422, "/entries/0/id"},
		{"UUID as URN", strings.Replace(entry(""), id, "urn:uuid:"+id, 1), 422, "/entries/0/id"},
		{"UUID without dashes", strings.Replace(entry(""), id, strings.ReplaceAll(id, "-", ""), 1), 422, "/entries/0/id"},
		{"UUID of zeros", strings.Replace(entry(""), id, "00000000-0000-0000-0000-000000000000", 1), 422, "/entries/0/id"},
		{"time without a zone", entry(`,"captured_at":"2026-03-02T09:30:00"`), 422, "/entries/0/captured_at"},
		{"29 February 2026", entry(`,"captured_at":"2026-02-29T09:30:00Z"`), 422, "/entries/0/captured_at"},
		{"24:00", entry(`,"captured_at":"2026-02-28T24:00:00Z"`), 422, "/entries/0/captured_at"},
		{"time with a comma", entry(`,"captured_at":"2026-02-28T09:00:00,5Z"`), 422, "/entries/0/captured_at"},
		{"unknown phase", entry(`,"phase":"before"`), 422, "/entries/0/phase"},
		{"text too long", entry(`,"unit":"` + strings.Repeat("m", 65) + `"`), 422, "/entries/0/unit"},
		{"unknown item", strings.Replace(entry(""), `"dt"`, `"nothing"`, 1), 422, "has no item"},
		{"more than 1 MiB", `{"entries":"` + strings.Repeat("x", 1<<20) + `"}`, 413, "1 MiB"},
		{"taken in the end", entry(`,"note":"É ŵ 水 \ud83d\ude00"`), 204, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := own.send(t, "POST", s.at("/entries"), []byte(c.body), asJSON)
			a.want(t, c.status)
			if c.status >= 400 {
				a.hasPlace(t, c.place)
			}
		})
	}
}

// hasPlace says whether a problem names the place: as its first pointer or parameter, or in its detail.
func (a answer) hasPlace(t *testing.T, place string) {
	t.Helper()
	p := a.problem(t)
	if len(p.Errors) > 0 && (p.Errors[0].Pointer == place || p.Errors[0].Parameter == place) || strings.Contains(p.Detail, place) {
		return
	}
	t.Errorf("%s: got %+v, want %q", a.what, p, place)
}

// anyID is a parameter of a path that names something by its id.
var anyID = regexp.MustCompile(`\{[a-z]+\}`)

// TestEveryMemberOfEveryBody takes each body of openapi.json and leaves out, nulls and mistypes each of its members in
// turn. Nothing of that is taken, and each answer points at the member.
func TestEveryMemberOfEveryBody(t *testing.T) {
	s := newSite(t)
	s.set(t)
	for path, item := range s.doc.Paths.Map() {
		for method, o := range item.Operations() {
			if o.RequestBody == nil || o.RequestBody.Value.Content["application/json"] == nil {
				continue
			}
			schema := o.RequestBody.Value.Content["application/json"].Schema.Value
			at := strings.NewReplacer("{version}", "1", "{token}", "x").Replace(path)
			at = anyID.ReplaceAllString(at, s.attempt.String())
			for name := range schema.Properties {
				whole := body{}
				for n, p := range schema.Properties {
					whole[n] = example(p.Value)
				}
				for _, bad := range []any{nil, []any{[]any{}}, body{"x": 1}} {
					broken := maps.Clone(whole)
					broken[name] = bad
					a := s.people["teaches"].json(t, method, at, broken)
					a.want(t, http.StatusUnprocessableEntity)
					if p := a.problem(t); len(p.Errors) == 0 || !strings.HasPrefix(p.Errors[0].Pointer, "/"+name) {
						t.Errorf("%s %s with %s %v: got %+v, want a place at it", method, path, name, bad, p)
					}
				}
				missing := maps.Clone(whole)
				delete(missing, name)
				for _, required := range schema.Required {
					if required == name {
						a := s.people["teaches"].json(t, method, at, missing)
						a.want(t, http.StatusUnprocessableEntity)
						a.hasPlace(t, "/"+name)
					}
				}
			}
		}
	}
}

// example is a value that a schema takes.
func example(s *openapi3.Schema) any {
	switch {
	case len(s.Enum) > 0:
		return s.Enum[0]
	case s.Type.Is("boolean"):
		return true
	case s.Type.Is("integer"), s.Type.Is("number"):
		return 1
	case s.Type.Is("array"):
		return []any{example(s.Items.Value)}
	case s.Type.Is("object"):
		o := body{}
		for n, p := range s.Properties {
			o[n] = example(p.Value)
		}
		return o
	case s.Format == "uuid":
		return "01890a5d-ac96-774b-bcce-b302099a8057"
	case s.Format == "date":
		return "2026-06-01"
	case s.Format == "date-time":
		return "2026-06-01T10:00:00Z"
	case s.MaxLength != nil && *s.MaxLength == 64 && s.MinLength == 64:
		return strings.Repeat("a", 64)
	}
	return strings.Repeat("x", 12)
}

func TestHostileHeadersAndQueries(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own := s.people["own"]
	put := s.at("/files/" + newID(t))
	const entries = `{"entries":[]}`
	many := http.Header{}
	many["Content-Type"] = []string{"application/json", "text/plain"}
	for _, c := range []struct {
		name, method, path string
		body               string
		header             http.Header
		status             int
		place              string
	}{
		{"no content type", "POST", s.at("/entries"), entries, nil, 415, "application/json"},
		{"text", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"text/plain"}}, 415, "application/json"},
		{"form", "POST", s.at("/entries"), "entries=", http.Header{"Content-Type": {"application/x-www-form-urlencoded"}}, 415, "application/json"},
		{"UTF-16", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json; charset=utf-16"}}, 415, "application/json"},
		{"UTF-8", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json; charset=UTF-8"}}, 422, "/entries"},
		{"multipart without boundary", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"multipart/form-data"}}, 415, "application/json"},
		{"two content types", "POST", s.at("/entries"), entries, many, 415, "application/json"},
		{"compressed", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, "Content-Encoding": {"gzip"}}, 415, "compressed"},
		{"body where none is due", "GET", "/api/tasks", "{}", asJSON, 400, "takes no body"},
		{"unknown parameter", "GET", "/api/tasks?page=1", "", nil, 422, "page"},
		{"id that is none", "GET", "/api/attempts/me", "", nil, 422, "id"},
		{"id in upper case", "GET", "/api/attempts/" + strings.ToUpper(s.attempt.String()), "", nil, 422, "id"},
		{"id of zeros", "GET", "/api/attempts/00000000-0000-0000-0000-000000000000", "", nil, 404, "attempt"},
		{"version below zero", "GET", "/api/briefs/" + s.brief.String() + "/versions/-1", "", nil, 403, "This is for"},
		{"version with a sign", "GET", "/api/briefs/" + s.brief.String() + "/versions/+1", "", nil, 422, "version"},
		{"version past 32 bits", "GET", "/api/briefs/" + s.brief.String() + "/versions/4294967297", "", nil, 422, "version"},
		{"parameter missing", "PUT", put, "x", nil, 422, "item"},
		{"parameter twice", "PUT", put + "?item=before&item=after", "x", nil, 422, "item"},
		{"parameter as an array", "PUT", put + "?item[]=before", "x", nil, 422, "item"},
		{"semicolon", "PUT", put + "?item=before;name=x", "x", nil, 400, "query"},
		{"bad percent", "PUT", put + "?item=%zz", "x", nil, 400, "query"},
		{"NUL in a parameter", "PUT", put + "?item=before&name=%00", "x", nil, 422, "name"},
		{"broken UTF-8 in a parameter", "PUT", put + "?item=before&name=%ff", "x", nil, 422, "name"},
		{"file as a form", "PUT", put + "?item=before", "x", http.Header{"Content-Type": {"multipart/form-data; boundary=x"}}, 415, "whole body"},
		{"TRACE", "TRACE", "/api/tasks", "", nil, 405, "cannot be done here"},
		{"another method", "DELETE", "/api/tasks", "", nil, 405, "cannot be done here"},
		{"another method by a header", "POST", "/api/tasks", "", http.Header{"X-Http-Method-Override": {"GET"}}, 405, "cannot be done here"},
		{"no such operation", "GET", "/api/nothing", "", nil, 404, "openapi.json"},
		{"meant for somebody else", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, httpd.PersonHeader: {uuid.NewString()}}, 401, "Sign in"},
		{"cross-site", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, "Sec-Fetch-Site": {"cross-site"}}, 403, "another site"},
		{"same-site", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, "Sec-Fetch-Site": {"same-site"}}, 403, "another site"},
		{"origin null", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, "Origin": {"null"}}, 403, "another site"},
		{"origin of another site", "POST", s.at("/entries"), entries, http.Header{"Content-Type": {"application/json"}, "Origin": {"https://other.example"}}, 403, "another site"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var raw []byte
			if c.body != "" {
				raw = []byte(c.body)
			}
			a := own.send(t, c.method, c.path, raw, c.header)
			a.want(t, c.status)
			a.hasPlace(t, c.place)
		})
	}
}
