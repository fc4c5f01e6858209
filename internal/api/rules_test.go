package api_test

import (
	"net/http"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// An edition goes its way through the API: saved, checked by somebody else, named by a brief, changed, and told of.
func TestRulesThroughTheAPI(t *testing.T) {
	s := newSite(t)
	tutor, second := s.people["teaches"], s.people["second"]
	save := func(source string) string {
		t.Helper()
		a := tutor.json(t, "POST", "/api/rules", body{"source": source})
		a.want(t, http.StatusOK)
		return a.member(t, "edition")
	}
	first := save(bay7)
	check := func(id, source string, b body) answer {
		t.Helper()
		b["digest"] = brief.Digest([]byte(source))
		return second.json(t, "POST", "/api/rules/"+id+"/check", b)
	}
	check(first, bay7, body{}).want(t, http.StatusNoContent)

	b := sample.Brief()
	b.Stages[0].Items[2].Reading.Limit = &brief.Limit{Rule: "bay7/cpc"}
	source, err := brief.Print(b)
	must(t, err)
	a := tutor.json(t, "POST", "/api/briefs", body{"source": string(source), "over": s.digest})
	a.want(t, http.StatusOK)
	s.digest = brief.Digest(source)
	s.set(t)
	s.open(t)
	s.work(t)
	s.handIn(t)
	var sheet struct {
		Rules []struct{ Edition string }
	}
	tutor.json(t, "GET", s.at(""), nil).into(t, &sheet)
	if len(sheet.Rules) != 1 || sheet.Rules[0].Edition != "1" {
		t.Errorf("the sheet is marked with %+v, want edition 1", sheet.Rules)
	}

	changed := strings.NewReplacer(`"1"`, `"2"`, "0.5", "0.1").Replace(bay7)
	next := save(changed)
	refused := check(next, changed, body{})
	refused.want(t, http.StatusUnprocessableEntity)
	if !strings.Contains(refused.Body.String(), `"pointer":"/cut"`) {
		t.Errorf("taking another's place without a word: %s, want the place /cut", refused.Body)
	}
	check(next, changed, body{"cut": true}).want(t, http.StatusNoContent)
	var report struct {
		Changes  []struct{ Was, Now string }
		Briefs   []struct{ Changes []struct{ Key string } }
		Attempts []struct {
			Edition string
			MayMark bool `json:"may_mark_again"`
			Lines   []struct{ Verdict, Would string }
		}
	}
	tutor.json(t, "GET", "/api/rules/"+next+"/concerned", nil).into(t, &report)
	if len(report.Changes) != 1 || report.Changes[0].Was != "at most 0.5\u2009Ω" || len(report.Briefs) != 1 || len(report.Attempts) != 1 || report.Attempts[0].Edition != "1" ||
		!report.Attempts[0].MayMark || len(report.Attempts[0].Lines) != 1 || report.Attempts[0].Lines[0].Would != "outside_limit" {
		t.Errorf("the report is %+v", report)
	}
	tutor.json(t, "POST", s.at("/mark-again"), body{"revision": s.revision(t), "edition": next, "words": "Edition 2 held that day."}).want(t, http.StatusNoContent)
	tutor.json(t, "GET", s.at(""), nil).into(t, &sheet)
	if len(sheet.Rules) != 1 || sheet.Rules[0].Edition != "2" {
		t.Errorf("marked again, the sheet has %+v, want edition 2", sheet.Rules)
	}
}
