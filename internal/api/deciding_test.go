package api_test

import (
	"net/http"
	"strings"
	"testing"
)

// What an award says of its holder, a person's file and the sheet in front of them say too.
func TestTheAwardSaysWhoseDecisionsWait(t *testing.T) {
	s := newSite(t)
	s.set(t)
	second, file := s.people["second"], "/api/people/"+s.people["second"].id.String()
	told := func() (alone bool, deciding, waits string) {
		t.Helper()
		var f struct {
			Alone    bool   `json:"decides_alone"`
			Deciding string `json:"deciding"`
		}
		var sheet struct{ Waits string }
		s.people["manager"].json(t, "GET", file, nil).into(t, &f)
		second.json(t, "GET", s.at(""), nil).into(t, &sheet)
		return f.Alone, f.Deciding, sheet.Waits
	}
	if alone, why, waits := told(); !alone || waits != "" || !strings.Contains(why, "stand by themselves") {
		t.Errorf("with an award: %v, %q, %q", alone, why, waits)
	}
	s.people["manager"].json(t, "PUT", file+"/registrations", body{"kind": "assessor", "number": "Award 1", "on": "2020-06-01"}).want(t, http.StatusNoContent)
	if alone, why, waits := told(); alone || !strings.Contains(why, "ended on 1 June 2020") || !strings.Contains(waits, "wait for a countersignature") {
		t.Errorf("after its last day: %v, %q, %q", alone, why, waits)
	}
}
