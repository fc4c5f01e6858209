package api_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"

	"github.com/getkin/kin-openapi/openapi3"
)

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
		own.json(t, "POST", s.at("/hand-over"), body{"own_work": true}).want(t, http.StatusOK)
	}
	own.json(t, "POST", s.at("/entries"), body{"entries": []body{{"id": newID(t), "item": "why", "text": "Late."}}}).want(t, http.StatusNoContent)
	var sheet struct {
		Held   []struct{ Text string }
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
	if len(sheet.Held) != 1 || sheet.Held[0].Text != "Late." {
		t.Errorf("held is %+v, want what came late", sheet.Held)
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
			"/sign-off": {"password": password}, "/more-to-do": {"good": "Clean work.", "missing": "The valve.", "to_do": "Show it.", "by": "2026-05-11"},
		}[path]
		stale["revision"] = seen
		s.people["teaches"].json(t, "POST", s.at(path), stale).want(t, http.StatusConflict)
		stale["revision"] = -1
		a := s.people["teaches"].json(t, "POST", s.at(path), stale)
		a.want(t, http.StatusUnprocessableEntity) // nobody gets past by a number that stands for "any"
		a.hasPlace(t, "/revision")
	}
}

// A sheet says how its task was set: from when, how often, and who observes.
func TestSheetSaysHowItWasSet(t *testing.T) {
	s := newSite(t)
	s.everybody(t)
	tutor := s.people["teaches"]
	tutor.json(t, "POST", s.path("/api/briefs/{brief}/versions/1/ask"), body{"digest": s.digest}).want(t, http.StatusNoContent)
	s.people["second"].json(t, "POST", s.path("/api/briefs/{brief}/versions/1/publish"), body{"digest": s.digest}).want(t, http.StatusNoContent)
	tutor.json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/tasks", body{
		"brief": s.brief, "version": 1, "from_on": "2026-05-06", "attempts": 2, "observer": s.people["second"].id,
	}).want(t, http.StatusCreated)
	s.findAttempt(t)
	for _, name := range []string{"own", "teaches"} {
		var sheet struct {
			FromOn   string `json:"from_on"`
			Attempts int
			Observer string
		}
		s.people[name].json(t, "GET", s.at(""), nil).into(t, &sheet)
		if sheet.FromOn != "2026-05-06" || sheet.Attempts != 2 || sheet.Observer == "" {
			t.Errorf("%s reads %+v", name, sheet)
		}
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

// TestTheJudgeCanFail holds an answer that lacks a member, and one with a member of another kind, against openapi.json.
func TestTheJudgeCanFail(t *testing.T) {
	s := newSite(t)
	s.set(t)
	raw := s.people["own"].json(t, "GET", s.at(""), nil).Body.Bytes()
	schema := s.doc.Components.Schemas["Sheet"].Value
	for _, spoil := range []func(body){
		func(b body) {},
		func(b body) { delete(b, "revision") },
		func(b body) {
			b["stages"].([]any)[0].(map[string]any)["items"].([]any)[0].(map[string]any)["form"] = "song"
		},
	} {
		var b map[string]any
		must(t, json.Unmarshal(raw, &b))
		before := fmt.Sprint(b)
		spoil(b)
		if err := schema.VisitJSON(b, openapi3.EnableJSONSchema2020()); (err == nil) != (fmt.Sprint(b) == before) {
			t.Errorf("spoilt %t, judged %v", fmt.Sprint(b) != before, err)
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

// TestShutOutAtOnce takes a signed-in tutor's right to sign in away: their next request is nobody's.
func TestShutOutAtOnce(t *testing.T) {
	s := newSite(t)
	second := s.people["second"]
	second.json(t, "GET", "/api/session", nil).want(t, http.StatusOK)
	s.people["manager"].json(t, "PUT", "/api/people/"+second.id.String()+"/sign-in", body{"allowed": false}).want(t, http.StatusNoContent)
	a := second.json(t, "GET", "/api/session", nil)
	a.want(t, http.StatusUnauthorized)
	a.hasPlace(t, "Sign in")
}

// TestSignInAndOut signs in by name and password, and out again; the cookie of the session that ended is worth nothing.
func TestSignInAndOut(t *testing.T) {
	s := newSite(t)
	c := &client{site: s, name: "own again"}
	c.json(t, "POST", "/api/session", body{"name": "own", "password": "not " + password}).want(t, http.StatusUnprocessableEntity)
	c.json(t, "POST", "/api/session", body{"name": " Own ", "password": password}).want(t, http.StatusOK)
	kept := *c.cookie
	if !kept.HttpOnly || kept.SameSite != http.SameSiteLaxMode {
		t.Errorf("the session's cookie is %v, want it HttpOnly and SameSite=Lax", kept)
	}
	c.json(t, "GET", "/api/tasks", nil).want(t, http.StatusOK)
	c.json(t, "DELETE", "/api/session", nil).want(t, http.StatusNoContent)
	c.cookie = &kept
	c.json(t, "GET", "/api/tasks", nil).want(t, http.StatusUnauthorized)
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
