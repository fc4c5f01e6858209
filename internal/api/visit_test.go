package api_test

import (
	"net/http"
	"testing"

	"github.com/google/uuid"
)

// visiting opens a visit by its link and is its verifier from then on.
func (s *site) visiting(t *testing.T, token string) *client {
	t.Helper()
	c := &client{site: s, name: "visitor"}
	a := c.json(t, "POST", "/api/visit-links/"+token, nil)
	a.want(t, http.StatusOK)
	c.id = mustUUID(t, a.member(t, "person"))
	return c
}

// TestOnAVisit has a verifier do all that they can on a visit; nothing else is there for them, and nothing at all once it is ended.
func TestOnAVisit(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	s.work(t)
	s.handIn(t)
	manager, tutor := s.people["manager"], s.people["teaches"]
	for _, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
		tutor.json(t, "POST", s.at("/decide"), body{"revision": s.revision(t), "criterion": ref, "outcome": "met"}).want(t, http.StatusNoContent)
	}
	tutor.json(t, "POST", s.at("/sign-off"), body{"revision": s.revision(t), "password": password}).want(t, http.StatusNoContent)
	made := tutor.json(t, "POST", "/api/portfolios", body{"trainee": s.people["own"].id, "unit": "H2"}).member(t, "id")
	must(t, s.BuildPortfolio(t.Context(), s.centre, mustUUID(t, made)))
	arranged := manager.json(t, "POST", "/api/visits", body{"name": "Vera Outside", "unit": "H2", "words": "The spring visit.", "ends_on": "2026-05-06"})
	arranged.want(t, http.StatusCreated)
	v := s.visiting(t, arranged.member(t, "token"))

	v.json(t, "GET", s.path("/api/visit/attempts/{attempt}"), nil).want(t, http.StatusNotFound) // it is not on the list yet
	var reach struct{ Attempts []struct{ ID uuid.UUID } }
	v.json(t, "GET", "/api/visit/reach", nil).into(t, &reach)
	if len(reach.Attempts) != 1 || reach.Attempts[0].ID != s.attempt {
		t.Fatalf("the visit reaches %v, want the one that is signed off", reach.Attempts)
	}
	v.json(t, "POST", "/api/visit/draws", body{"size": 1}).want(t, http.StatusNoContent)
	v.json(t, "POST", "/api/visit/draws", body{"size": 1}).want(t, http.StatusConflict) // nothing is left to draw from
	v.json(t, "POST", "/api/visit/choices", body{"attempts": []uuid.UUID{s.attempt}}).want(t, http.StatusNoContent)
	v.json(t, "POST", "/api/visit/choices", body{"attempts": []string{newID(t)}}).want(t, http.StatusNotFound)
	var mine struct {
		Attempts   []struct{ Draw int }
		Portfolios []struct{ ID string }
	}
	v.json(t, "GET", "/api/visit", nil).into(t, &mine)
	if len(mine.Attempts) != 1 || mine.Attempts[0].Draw != 1 || len(mine.Portfolios) != 1 || mine.Portfolios[0].ID != made {
		t.Fatalf("the visit's list is %+v, want the attempt from the first draw and the portfolio", mine)
	}
	var seen struct{ Sheet sheetFiles }
	v.json(t, "GET", s.path("/api/visit/attempts/{attempt}"), nil).into(t, &seen)
	v.json(t, "GET", "/api/visit/files/"+seen.Sheet.first(t), nil).want(t, http.StatusOK)
	v.json(t, "GET", "/api/visit/portfolios/"+made, nil).want(t, http.StatusOK)
	v.json(t, "POST", "/api/visit/notes", body{"attempt": s.attempt, "finding": "confirmed"}).want(t, http.StatusNoContent)
	v.json(t, "POST", "/api/visit/notes", body{"finding": "remark"}).want(t, http.StatusUnprocessableEntity) // which?
	v.json(t, "POST", "/api/visit/actions", body{"words": "Photograph the label.", "owner": tutor.id, "due": "2099-01-01"}).want(t, http.StatusNoContent)

	for _, path := range []string{s.at(""), "/api/people", "/api/cohorts", "/api/visits", "/api/portfolios/" + made + "/file", "/api/files/" + seen.Sheet.first(t)} {
		v.json(t, "GET", path, nil).want(t, http.StatusNotFound)
	}
	manager.json(t, "POST", "/api/visits/"+arranged.member(t, "id")+"/end", nil).want(t, http.StatusNoContent)
	for _, path := range []string{"/api/visit", "/api/visit/portfolios/" + made} {
		if a := v.json(t, "GET", path, nil); a.Code != http.StatusForbidden && a.Code != http.StatusUnauthorized {
			t.Errorf("%s after the visit: %d", path, a.Code)
		}
	}
}

// sheetFiles is what a sheet says of files.
type sheetFiles struct {
	Stages []struct {
		Items []struct{ Files []struct{ ID string } }
	}
}

// first is the id of the first file.
func (s sheetFiles) first(t *testing.T) string {
	t.Helper()
	for _, stage := range s.Stages {
		for _, item := range stage.Items {
			for _, f := range item.Files {
				return f.ID
			}
		}
	}
	t.Fatal("the sheet has no file")
	return ""
}
