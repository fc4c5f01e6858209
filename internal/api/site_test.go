package api_test

import (
	"log/slog"
	"net/http"
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
	s.App = app.New(s.db, blobs, func() time.Time { return morning }).WithHashing(app.QuickHashing)
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
	if manager == "manager" && (role == account.Tutor || role == account.QualityAssurer) {
		s.people[manager].json(t, "POST", "/api/people/"+s.people[name].id.String()+"/registrations",
			body{"kind": "assessor", "number": "Award 1", "valid_from": "2020-01-01"}).want(t, http.StatusNoContent)
	}
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
		return tx.SetRegistrations(t.Context(), s.people["teaches"].id, []account.Registration{storetest.Award(),
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
	tutor.json(t, "POST", s.path("/api/briefs/{brief}/versions/1/ask"), body{"digest": s.digest}).want(t, http.StatusNoContent)
	s.people["second"].json(t, "POST", s.path("/api/briefs/{brief}/versions/1/publish"), body{"digest": s.digest}).want(t, http.StatusNoContent)
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
	before, after := s.aroundHold(s.entries(t))
	own.json(t, "POST", s.at("/entries"), body{"entries": before}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", s.at("/check-reading"), body{"item": "continuity", "password": password}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", s.at("/release"), body{"stage": "wire", "words": "Covers on."}).want(t, http.StatusNoContent)
	own.json(t, "POST", s.at("/entries"), body{"sent_at": morning.Format(time.RFC3339), "entries": after}).want(t, http.StatusNoContent)
	for i := range 2 {
		own.send(t, "PUT", s.at("/files/"+newID(t)+"?item=before"), picture(t, i), nil).want(t, http.StatusOK)
	}
}

// aroundHold parts lines into those of the stage before the hold point, and those after it with what a phone says whose clock is right.
func (s *site) aroundHold(entries []body) (before, after []body) {
	b := sample.Brief()
	for _, e := range entries {
		if _, st, _ := b.Item(e["item"].(string)); st.Key == b.Stages[0].Key {
			before = append(before, e)
			continue
		}
		e["clock_offset_ms"] = 0
		after = append(after, e)
	}
	return before, after
}

// handIn hands over and has the marker run, as the queue would.
func (s *site) handIn(t *testing.T) {
	t.Helper()
	s.people["own"].json(t, "POST", s.at("/hand-over"), body{"own_work": true}).want(t, http.StatusOK)
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
