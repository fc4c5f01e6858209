package api_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"

	"witnessmark/internal/app"
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
			at := strings.NewReplacer("{id}", s.attempt.String(), "{version}", "1", "{token}", "x").Replace(path)
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
	case s.Type.Is("integer"):
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

// TestFiles sends files that are none, or not those that were meant; nothing of them is kept.
func TestFiles(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	own := s.people["own"]
	good := picture(t, 1)
	digest := func(b []byte) http.Header {
		d := sha256.Sum256(b)
		return http.Header{"Repr-Digest": {"sha-256=:" + base64.StdEncoding.EncodeToString(d[:]) + ":"}}
	}
	for _, c := range []struct {
		name   string
		bytes  []byte
		header http.Header
		status int
		place  string
	}{
		{"cut in half", good[:len(good)/2], nil, 422, "stops half-way"},
		{"no bytes", []byte{}, nil, 422, ""},
		{"three bytes", []byte("\xff\xd8\xff"), nil, 422, "half-way"},
		{"60,000 × 60,000", claiming(t, good, 60_000), nil, 422, "60,000"},
		{"a text", []byte("GIF89a nothing of the kind"), nil, 422, ""},
		{"other bytes than announced", good, digest(picture(t, 2)), 422, "Repr-Digest"},
		{"a digest that is none", good, http.Header{"Repr-Digest": {"sha-256=abc"}}, 422, "Repr-Digest"},
		{"a PDF cut", []byte("%PDF-1.7\n1 0 obj\n"), nil, 422, "half-way"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := own.send(t, "PUT", s.at("/files/"+newID(t)+"?item=before"), c.bytes, c.header)
			a.want(t, c.status)
			a.hasPlace(t, c.place)
		})
	}
	id := newID(t)
	for range 2 { // the second time the answer to the first got lost
		own.send(t, "PUT", s.at("/files/"+id+"?item=before&name=rig.jpg"), good, digest(good)).want(t, http.StatusOK)
	}
	var sheet struct {
		Stages []struct {
			Items []struct{ Files []struct{ ID, SHA256 string } }
		}
	}
	own.json(t, "GET", s.at(""), nil).into(t, &sheet)
	if files := sheet.Stages[0].Items[0].Files; len(files) != 1 || files[0].SHA256 != fmt.Sprintf("%x", sha256.Sum256(good)) {
		t.Errorf("the sheet has %+v, want the one file", files)
	}
	a := own.json(t, "GET", "/api/files/"+id, nil)
	if a.want(t, http.StatusOK); !bytes.Equal(a.Body.Bytes(), good) || a.Header().Get("Content-Type") != "image/jpeg" {
		t.Errorf("the file comes back as %d bytes of %s, want the %d sent", a.Body.Len(), a.Header().Get("Content-Type"), len(good))
	}
	a = own.send(t, "GET", "/api/files/"+id, nil, http.Header{"Range": {"bytes=0-1"}})
	if a.Code != http.StatusPartialContent || !bytes.Equal(a.Body.Bytes(), good[:2]) {
		t.Errorf("a part of the file comes back as %d with %d bytes", a.Code, a.Body.Len())
	}
}

// claiming is a JPEG whose frame header (ITU-T T.81, B.2.2) claims a size that its pixels do not have.
func claiming(t *testing.T, jpeg []byte, side int) []byte {
	t.Helper()
	i := bytes.Index(jpeg, []byte{0xff, 0xc0})
	if i < 0 {
		t.Fatal("the picture has no frame header")
	}
	out := bytes.Clone(jpeg)
	for _, at := range []int{i + 5, i + 7} {
		out[at], out[at+1] = byte(side>>8), byte(side)
	}
	return out
}

// TestTooBigAFile sends more than a file may have: once announced, once not. The second is read up to the limit alone.
func TestTooBigAFile(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	for _, announced := range []bool{true, false} {
		sent := &counter{r: io.MultiReader(bytes.NewReader(picture(t, 1)), zeros{})}
		req := httptest.NewRequestWithContext(t.Context(), "PUT", s.at("/files/"+newID(t)+"?item=before"), io.LimitReader(sent, app.EvidenceLimit*2))
		req.ContentLength = -1
		if announced {
			req.ContentLength = app.EvidenceLimit + 1
		}
		a := s.people["own"].exchange(t, req)
		a.want(t, http.StatusRequestEntityTooLarge)
		a.hasPlace(t, "25 MiB")
		if announced && sent.n > 0 || sent.n > app.EvidenceLimit+1<<20 {
			t.Errorf("announced %t: %d bytes were read", announced, sent.n)
		}
	}
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) { clear(p); return len(p), nil }

type counter struct {
	r io.Reader
	n int
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += n
	return n, err
}

// TestAnUploadThatStops has the connection end before the length that was announced.
func TestAnUploadThatStops(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	req := httptest.NewRequestWithContext(t.Context(), "PUT", s.at("/files/"+newID(t)+"?item=before"),
		io.MultiReader(bytes.NewReader(picture(t, 1)[:100]), broken{}))
	req.ContentLength = 5000
	a := s.people["own"].exchange(t, req)
	a.want(t, http.StatusBadRequest)
	a.hasPlace(t, "stopped before its end")
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestSentTwice(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	s.work(t)
	own := s.people["own"]
	line := body{"entries": []body{{"id": newID(t), "item": "why", "text": "Once."}}}
	for range 2 {
		own.json(t, "POST", s.at("/entries"), line).want(t, http.StatusNoContent)
	}
	for range 2 {
		own.json(t, "POST", s.at("/hand-over"), body{"own_work": true}).want(t, http.StatusNoContent)
	}
	a := own.json(t, "POST", s.at("/entries"), body{"entries": []body{{"id": newID(t), "item": "why", "text": "Late."}}})
	a.want(t, http.StatusConflict)
	a.hasPlace(t, "handed over")
	var sheet struct {
		Stages []struct {
			Items []struct {
				Key   string
				Lines []struct{ Earlier []struct{ Text string } }
			}
		}
	}
	own.json(t, "GET", s.at(""), nil).into(t, &sheet)
	items := sheet.Stages[3].Items
	if got := items[len(items)-1].Lines[0].Earlier; len(got) != 1 { // the one of work, before "Once."
		t.Errorf("the line has the earlier entries %+v, want one: an entry sent twice counts once", got)
	}
}

// TestTwoTutorsAtOnce has two tutors of one cohort decide one criterion from the same page: one is told.
func TestTwoTutorsAtOnce(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	s.work(t)
	s.handIn(t)
	seen := s.revision(t)
	b := body{"revision": seen, "criterion": "H2/1.1", "outcome": "met"}
	answers := make([]answer, 2)
	var both sync.WaitGroup
	for i, name := range []string{"teaches", "second"} {
		both.Go(func() { answers[i] = s.people[name].json(t, "POST", s.at("/decide"), b) })
	}
	both.Wait()
	got := map[int]int{}
	for _, a := range answers {
		got[a.Code]++
		if a.Code == http.StatusConflict {
			if p := a.problem(t); p.Type != "/api/problems/conflict" {
				t.Errorf("the conflict is of the type %q", p.Type)
			}
		}
	}
	if got[http.StatusNoContent] != 1 || got[http.StatusConflict] != 1 {
		t.Errorf("got the answers %v, want one 204 and one 409", got)
	}
	for _, path := range []string{"/decide", "/override", "/sign-off", "/more-to-do"} {
		stale := map[string]body{
			"/decide": b, "/override": {"item": "share", "verdict": "wrong", "words": "No."},
			"/sign-off": {"password": password}, "/more-to-do": {"words": "More."},
		}[path]
		stale["revision"] = seen
		s.people["teaches"].json(t, "POST", s.at(path), stale).want(t, http.StatusConflict)
		stale["revision"] = -1
		a := s.people["teaches"].json(t, "POST", s.at(path), stale)
		a.want(t, http.StatusUnprocessableEntity) // nobody gets past by a number that stands for "any"
		a.hasPlace(t, "/revision")
	}
}

// TestTraineesDoNotSeeTheAnswers looks for what would give the next attempt away on the trainee's sheet.
func TestTraineesDoNotSeeTheAnswers(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	s.work(t)
	s.handIn(t)
	for _, secret := range []string{`"from_given"`, `"tutor":`, `"finding"`} {
		if body := s.people["teaches"].json(t, "GET", s.at(""), nil).Body.String(); !strings.Contains(body, secret) {
			t.Errorf("the tutor's sheet lacks %s", secret)
		}
		if body := s.people["own"].json(t, "GET", s.at(""), nil).Body.String(); strings.Contains(body, secret) {
			t.Errorf("the trainee's sheet has %s while the tutor has not decided", secret)
		}
	}
}

// TestMissingItemsAreNamed has a hand-over with nothing in it say what is missing, by the items' keys.
func TestMissingItemsAreNamed(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	a := s.people["own"].json(t, "POST", s.at("/hand-over"), body{"own_work": true})
	a.want(t, http.StatusUnprocessableEntity)
	if p := a.problem(t); len(p.Errors) < 5 || p.Errors[0].Name != "before" {
		t.Errorf("got %+v, want every missing item by its key", p.Errors)
	}
	a = s.people["own"].json(t, "POST", s.at("/hand-over"), body{"own_work": false})
	a.want(t, http.StatusUnprocessableEntity)
	a.hasPlace(t, "/own_work")
}

func TestSignInIsSlowedByAddress(t *testing.T) {
	s := newSite(t)
	got := map[int]int{}
	for range 25 {
		raw := []byte(`{"name":"nobody","password":"x"}`)
		req := httptest.NewRequestWithContext(t.Context(), "POST", "/api/session", bytes.NewReader(raw))
		req.Header.Set("Content-Type", "application/json")
		req.RemoteAddr = "198.51.100.7:4000"
		got[s.people["anybody"].exchange(t, req).Code]++
	}
	if got[http.StatusUnprocessableEntity] < 20 || got[http.StatusTooManyRequests] == 0 {
		t.Errorf("25 tries from one address got %v, want 20 let through and then some refused", got)
	}
}
