package api_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/google/uuid"
	"github.com/labstack/echo/v4"

	"witnessmark/internal/account"
	"witnessmark/internal/api"
	"witnessmark/internal/app"
	"witnessmark/internal/blob"
	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/httpd"
	"witnessmark/internal/localpg/testpg"
	"witnessmark/internal/marking"
	"witnessmark/internal/store"
	"witnessmark/internal/store/storetest"
)

func TestMain(m *testing.M) { testpg.Main(m) }

// password is everybody's here.
const password = "seven bays and a rig"

// morning is when everything happens.
var morning = time.Date(2026, 5, 4, 8, 0, 0, 0, time.UTC)

// site is the server with everything before its routes, on a real database: a centre with a manager, a
// trainee and the two tutors of their cohort, and whoever else is added.
type site struct {
	*app.App
	db      *store.Store
	handler *echo.Echo
	doc     *openapi3.T
	centre  int64
	people  map[string]*client
	cohort  uuid.UUID
	brief   uuid.UUID
	digest  string
	attempt uuid.UUID // of "own"
	tried   map[string]bool
}

// callers are the columns of the table of who gets what.
var callers = []string{"anybody", "own", "peer", "teaches", "elsewhere", "assurer", "manager", "technician", "verifier", "stranger", "strange tutor"}

func newSite(t *testing.T) *site {
	t.Helper()
	raw, err := os.ReadFile("testdata/openapi.json")
	must(t, err)
	doc, err := openapi3.NewLoader().LoadFromData(raw)
	must(t, err)
	s := &site{db: storetest.New(t), doc: doc, people: map[string]*client{}}
	blobs, err := blob.OpenFolder(t.TempDir())
	must(t, err)
	s.App = app.New(s.db, blobs, func() time.Time { return morning })
	log := slog.New(slog.DiscardHandler)
	s.handler = httpd.New(httpd.Config{Log: log})
	s.handler.HTTPErrorHandler = func(err error, c echo.Context) {
		if !c.Response().Committed {
			if httpd.Status(err) == http.StatusInternalServerError {
				t.Errorf("%s %s: %v", c.Request().Method, c.Request().URL, err)
			}
			api.Fail(c, err)
		}
	}
	api.Register(s.handler, s.App, httpd.NewSessions(s.db, s.App, false, log))

	s.people["anybody"] = &client{site: s}
	s.centre = s.newCentre(t, "NORTH", "manager")
	for name, role := range map[string]account.Role{"own": account.Trainee, "teaches": account.Tutor, "second": account.Tutor} {
		s.person(t, name, "manager", role)
	}
	s.furnish(t)
	return s
}

// everybody adds the callers who are only there to be refused.
func (s *site) everybody(t *testing.T) {
	t.Helper()
	for name, role := range map[string]account.Role{
		"peer": account.Trainee, "elsewhere": account.Tutor, "assurer": account.QualityAssurer, "technician": account.Technician,
		"verifier": account.ExternalVerifier,
	} {
		s.person(t, name, "manager", role)
	}
	s.newCentre(t, "SOUTH", "stranger")
	s.person(t, "strange tutor", "stranger", account.Tutor)
}

// newCentre opens a centre with a first manager.
func (s *site) newCentre(t *testing.T, code, manager string) int64 {
	t.Helper()
	row, err := s.db.CreateCentre(t.Context(), code, code+" Yard Training", morning)
	must(t, err)
	inv, err := s.InviteManager(t.Context(), row.ID, app.NewPerson{Name: "Person " + manager, SignInName: manager})
	must(t, err)
	s.accept(t, manager, inv.Token)
	return row.ID
}

// person is added by a manager and accepts the invitation, all through the API.
func (s *site) person(t *testing.T, name, manager string, role account.Role) {
	t.Helper()
	a := s.people[manager].json(t, "POST", "/api/people", body{
		"name": "Person " + name, "sign_in_name": strings.ReplaceAll(name, " ", "-"), "roles": []account.Role{role},
	})
	a.want(t, http.StatusCreated)
	s.accept(t, name, a.member(t, "token"))
}

// accept uses an invitation, which signs the person in.
func (s *site) accept(t *testing.T, name, token string) {
	t.Helper()
	c := &client{site: s, name: name}
	a := c.json(t, "POST", "/api/invitations/"+token, body{"password": password})
	a.want(t, http.StatusOK)
	c.id = uuid.MustParse(a.member(t, "person"))
	s.people[name] = c
}

// furnish gives the first centre units, a cohort, and the sample brief published and set.
func (s *site) furnish(t *testing.T) {
	t.Helper()
	must(t, s.db.Write(t.Context(), s.centre, func(tx *store.Tx) error {
		for code, criteria := range map[string][]string{"H2": {"1.1", "1.2", "2.1"}, "H3": {"1.10"}} {
			o := store.Outcome{Code: "1", Title: "Do it"}
			for _, c := range criteria {
				o.Criteria = append(o.Criteria, store.Criterion{Code: c, Text: "Do " + c + "."})
			}
			if err := tx.SaveUnit(t.Context(), store.Unit{Code: code, Title: "Unit " + code, Edition: "1", Outcomes: []store.Outcome{o}}); err != nil {
				return err
			}
		}
		return tx.SetRegistrations(t.Context(), s.people["teaches"].id, []account.Registration{
			{Kind: "electrical", Number: "E-1", ValidFrom: morning.AddDate(-1, 0, 0), ValidTo: morning.AddDate(1, 0, 0)},
		})
	}))
	manager, tutor := s.people["manager"], s.people["teaches"]
	a := manager.json(t, "POST", "/api/cohorts", body{"name": "Monday evening"})
	a.want(t, http.StatusCreated)
	s.cohort = uuid.MustParse(a.member(t, "id"))
	for name, part := range map[string]string{"own": "trainee", "teaches": "tutor", "second": "tutor"} {
		manager.json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/members", body{"person": s.people[name].id, "part": part}).want(t, http.StatusNoContent)
	}
	source, err := brief.Print(sample.Brief())
	must(t, err)
	a = tutor.json(t, "POST", "/api/briefs", body{"source": string(source)})
	a.want(t, http.StatusOK)
	s.brief, s.digest = uuid.MustParse(a.member(t, "brief")), brief.Digest(source)
}

// set publishes the brief and sets it to the cohort.
func (s *site) set(t *testing.T) {
	t.Helper()
	tutor := s.people["teaches"]
	tutor.json(t, "POST", "/api/briefs/"+s.brief.String()+"/versions/1/publish", body{"digest": s.digest}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/tasks", body{"brief": s.brief, "version": 1}).want(t, http.StatusCreated)
	s.findAttempt(t)
}

func (s *site) findAttempt(t *testing.T) {
	t.Helper()
	var tasks struct{ Tasks []struct{ Attempt uuid.UUID } }
	s.people["own"].json(t, "GET", "/api/tasks", nil).into(t, &tasks)
	if len(tasks.Tasks) != 1 {
		t.Fatalf("the trainee has %d tasks, want 1", len(tasks.Tasks))
	}
	s.attempt = tasks.Tasks[0].Attempt
}

// at is a path below the attempt.
func (s *site) at(rest string) string { return "/api/attempts/" + s.attempt.String() + rest }

// open starts the attempt.
func (s *site) open(t *testing.T) {
	t.Helper()
	s.people["own"].json(t, "POST", s.at("/open"), body{"plan_agreed": true, "risk_seen": true}).want(t, http.StatusNoContent)
}

// work records everything, with holds released, up to handing over.
func (s *site) work(t *testing.T) {
	t.Helper()
	own, tutor := s.people["own"], s.people["teaches"]
	own.json(t, "POST", s.at("/entries"), body{"entries": s.entries(t)}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", s.at("/check-reading"), body{"item": "continuity"}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", s.at("/release"), body{"stage": "wire", "words": "Covers on."}).want(t, http.StatusNoContent)
	for i := range 2 {
		own.send(t, "PUT", s.at("/files/"+newID(t)+"?item=before"), picture(t, i), nil).want(t, http.StatusOK)
	}
}

// handIn hands over and has the marker run, as the queue would.
func (s *site) handIn(t *testing.T) {
	t.Helper()
	s.people["own"].json(t, "POST", s.at("/hand-over"), body{"own_work": true}).want(t, http.StatusNoContent)
	must(t, s.MarkAttempt(t.Context(), s.centre, s.attempt))
}

// entries is the model answer, with what rests on drawn values put so that nothing blocks.
func (s *site) entries(t *testing.T) []body {
	t.Helper()
	b := sample.Brief()
	compiled, problems := brief.Compile(b, app.Functions())
	must(t, problems.Err())
	var out []body
	add := func(e marking.Entry) {
		line := body{"id": newID(t), "item": e.Item, "text": e.Text, "captured_at": morning.Format(time.RFC3339)}
		for k, v := range map[string]string{"part": e.Part, "phase": string(e.Phase), "unit": e.Unit, "working": e.Working} {
			if v != "" {
				line[k] = v
			}
		}
		out = append(out, line)
	}
	for _, e := range marking.ModelSheet(compiled).Entries {
		if e.Item == "lift" {
			e.Text = "25"
		}
		add(e)
	}
	add(marking.Entry{Item: "why", Text: "The pump was dead; I replaced it."})
	return out
}

// revision is the sheet's as a tutor sees it.
func (s *site) revision(t *testing.T) int {
	t.Helper()
	var sheet struct{ Revision int }
	s.people["teaches"].json(t, "GET", s.at(""), nil).into(t, &sheet)
	return sheet.Revision
}

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
