package api_test

import (
	"net/http"
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// op is one operation with what each caller gets, in the order of callers. Those who are refused ask first, so that what
// one of them managed would show as a conflict or a change afterwards.
type op struct {
	id   string
	send func(t *testing.T, c *client) answer
	want string
}

// The wanted statuses of whole groups. What a caller may not see is 404; what they see and may not do is 403.
const (
	//               any own peer tea els ass man tec ver str stt
	onAttemptByOwn   = "401 204 404 403 404 403 403 404 404 404 404"
	onAttemptByTutor = "401 403 404 204 404 403 403 404 404 404 404"
	seeAttempt       = "401 200 404 200 404 200 200 404 404 404 404"
	byManager        = "401 403 403 403 403 403 204 403 403 404 403"
	seeBriefs        = "401 403 403 200 200 200 200 403 403 200 200"
	seeRules         = "401 403 403 200 200 200 200 403 403 404 404"
)

// bay7 is an edition of a rule set with one invented limit.
const bay7 = `rule-set: 1
key: bay7
title: Bay 7 limits
edition: "1"
valid-from: 2026-01-01
source: Invented for these tests
rules:
  - key: cpc
    is: resistance of the protective conductor
    at-most: 0.5 Ω
`

func TestWhoMayDoWhat(t *testing.T) {
	s := newSite(t)
	s.everybody(t)
	var file, portfolio, edition, another, task, correction string
	late := newID(t)
	json := func(method, path string, b body) func(*testing.T, *client) answer {
		return func(t *testing.T, c *client) answer { return c.json(t, method, s.path(path), b) }
	}
	source, err := brief.Print(sample.Brief())
	must(t, err)
	fresh := strings.Replace(string(source), "bay-7-heat-output", "bay-8", 1)
	judging := func(path string, b body) func(*testing.T, *client) answer {
		return func(t *testing.T, c *client) answer {
			b["revision"] = s.revision(t)
			return c.json(t, "POST", s.at(path), b)
		}
	}
	onCorrection := func(method, path string) func(*testing.T, *client) answer {
		return func(t *testing.T, c *client) answer {
			return c.json(t, method, "/api/corrections/"+correction+path, nil)
		}
	}
	onEdition := func(method, path string, b body) func(*testing.T, *client) answer {
		return func(t *testing.T, c *client) answer { return c.json(t, method, "/api/rules/"+edition+path, b) }
	}
	for _, o := range []op{
		{"openAPI", json("GET", "/api/openapi.json", nil), "200 200 200 200 200 200 200 200 200 200 200"},
		{"whoAmI", json("GET", "/api/session", nil), "401 200 200 200 200 200 200 200 200 200 200"},
		{"signIn", json("POST", "/api/session", body{"name": "nobody", "password": "nothing"}), "422 422 422 422 422 422 422 422 422 422 422"},
		{"invited", json("GET", "/api/invitations/unknown", nil), "404 404 404 404 404 404 404 404 404 404 404"},
		{"units", json("GET", "/api/units", nil), seeBriefs},
		{"briefs", json("GET", "/api/briefs", nil), seeBriefs},
		{"checkBrief", json("POST", "/api/briefs/check", body{"source": "brief: 1\n"}), seeBriefs},
		{"saveBrief", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/briefs", body{"source": fresh})
			if c.name == "teaches" {
				another = a.member(t, "brief")
			}
			return a
		}, "401 403 403 200 409 403 403 403 403 403 200"},
		{"brief", json("GET", "/api/briefs/{brief}/versions/1", nil), "401 403 403 200 200 200 200 403 403 404 404"},
		{"askForCheck", json("POST", "/api/briefs/{brief}/versions/1/ask", body{"digest": s.digest}), "401 403 403 204 403 403 403 403 403 404 404"},
		{"sendBriefBack", json("POST", "/api/briefs/{brief}/versions/1/send-back", body{"digest": s.digest, "words": "Which thermometer?"}),
			"401 403 403 403 204 409 403 403 403 404 404"},
		{"publishBrief", func(t *testing.T, c *client) answer {
			if c.name == "elsewhere" {
				s.people["teaches"].json(t, "POST", s.path("/api/briefs/{brief}/versions/1/ask"), body{"digest": s.digest}).want(t, http.StatusNoContent)
			}
			return c.json(t, "POST", s.path("/api/briefs/{brief}/versions/1/publish"), body{"digest": s.digest})
		}, "401 403 403 403 204 409 403 403 403 404 404"},
		{"discardBrief", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/briefs/"+another+"/versions/1/discard", body{"digest": brief.Digest([]byte(fresh))})
		}, "401 403 403 204 403 403 403 403 403 404 404"},
		{"ruleSets", json("GET", "/api/rules", nil), seeBriefs},
		{"checkRules", json("POST", "/api/rules/check", body{"source": "rule-set: 1\n"}), seeBriefs},
		{"saveRules", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/rules", body{"source": bay7})
			if c.name == "teaches" {
				edition = a.member(t, "edition")
			}
			return a
		}, "401 403 403 200 409 409 409 403 403 200 409"},
		{"rules", onEdition("GET", "", nil), seeRules},
		{"ruleReport", onEdition("GET", "/concerned", nil), seeRules},
		{"confirmRules", onEdition("POST", "/check", body{"digest": brief.Digest([]byte(bay7))}), "401 403 403 403 204 409 409 403 403 404 404"},
		{"addCohort", json("POST", "/api/cohorts", body{"name": "Tuesday"}), "401 403 403 403 403 403 201 403 403 201 403"},
		{"cohorts", json("GET", "/api/cohorts", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"cohort", json("GET", "/api/cohorts/{cohort}", nil), "401 403 403 200 404 200 200 403 403 404 404"},
		{"addMember", json("POST", "/api/cohorts/{cohort}/members", body{"person": s.people["own"].id, "part": "trainee"}), byManager},
		{"setBrief", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", s.path("/api/cohorts/{cohort}/tasks"), body{"brief": s.brief, "version": 1})
			if c.name == "teaches" {
				task = a.member(t, "id")
			}
			return a
		}, "401 403 403 201 404 403 403 403 403 404 404"},
		{"setTo", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/tasks/"+task+"/trainees", body{"trainees": []uuid.UUID{s.people["own"].id}})
		}, "401 403 403 409 404 403 403 403 403 404 404"}, // they have it already
		{"board", json("GET", "/api/cohorts/{cohort}/board", nil), "401 403 403 200 404 200 200 403 403 404 404"},
		{"myTasks", func(t *testing.T, c *client) answer {
			if c.name == "own" {
				s.findAttempt(t)
			}
			return c.json(t, "GET", "/api/tasks", nil)
		}, "401 200 200 403 403 403 403 403 403 403 403"},
		{"sheet", json("GET", "/api/attempts/{attempt}", nil), seeAttempt},
		{"openAttempt", json("POST", "/api/attempts/{attempt}/open", body{"plan_agreed": true, "risk_seen": true}), onAttemptByOwn},
		{"adjust", json("POST", "/api/attempts/{attempt}/adjustments", body{"what": "extra_time", "until": "2036-05-04", "words": "Reads slowly."}), onAttemptByTutor},
		{"observe", json("POST", "/api/attempts/{attempt}/observations", body{"subject": "wire", "outcome": "seen", "seconds": 90}), onAttemptByTutor},
		{"askOrally", json("POST", "/api/attempts/{attempt}/oral-questions", body{"subject": "wire", "asked": "Why dead first?", "gist": "So that nobody is hurt.", "outcome": "understood"}), onAttemptByTutor},
		{"grantAttempt", json("POST", "/api/attempts/{attempt}/one-more", body{"words": "Ill that week."}), "401 403 404 409 404 403 403 404 404 404 404"},        // it was not sent back
		{"safetyStop", json("POST", "/api/attempts/{attempt}/safety-stop", body{"words": "Water by the socket."}), "401 204 404 204 404 204 204 404 404 404 404"}, // stopped once, the others add what they saw
		{"clearStop", json("POST", "/api/attempts/{attempt}/clear-safety-stop", body{"words": "Dried and tested."}), onAttemptByTutor},
		{"recordEntries", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", s.at("/entries"), body{"entries": s.entries(t)})
		}, onAttemptByOwn},
		{"chooseInstrument", json("POST", "/api/attempts/{attempt}/instruments", body{"id": newID(t), "kind": "thermometer", "serial": "T-14"}), // the brief names none
			"401 422 404 403 404 403 403 404 404 404 404"},
		{"releaseOnTheSpot", json("POST", "/api/attempts/{attempt}/spot-releases", body{
			"id": newID(t), "stage": "wire", "day": "2026-05-04", "released_at": "2026-05-04T10:00:00Z", "evidence_number": "000123",
		}), "401 403 404 200 404 403 403 404 404 404 404"},
		{"claimSpot", json("POST", "/api/attempts/{attempt}/spot-claims", body{
			"id": newID(t), "stage": "wire", "day": "2026-05-04", "at": "2026-05-04T10:00:00Z", "items": []body{}, "mac": strings.Repeat("0", 64),
		}), "401 200 404 403 404 403 403 404 404 404 404"},
		{"checkReading", json("POST", "/api/attempts/{attempt}/check-reading", body{"item": "continuity", "password": password}), onAttemptByTutor},
		{"releaseHold", json("POST", "/api/attempts/{attempt}/release", body{"stage": "wire"}), onAttemptByTutor},
		{"addFile", func(t *testing.T, c *client) answer {
			if c.name == "own" { // two are asked for
				c.send(t, "PUT", s.at("/files/"+newID(t)+"?item=before"), picture(t, 1), nil).want(t, http.StatusOK)
			}
			file = newID(t)
			return c.send(t, "PUT", s.at("/files/"+file+"?item=before"), picture(t, 2), nil)
		}, "401 200 404 403 404 403 403 404 404 404 404"},
		{"file", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/files/"+file, nil) }, seeAttempt},
		{"preview", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/files/"+file+"/preview", nil) }, seeAttempt},
		{"original", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/files/"+file+"/original", nil) },
			"401 403 404 200 404 200 403 404 404 404 404"},
		{"coverFile", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/files/"+file+"/cover", body{"covers": []body{{"x": 0.25, "y": 0, "w": 0.5, "h": 0.5}}})
		}, "401 204 404 204 404 403 403 404 404 404 404"},
		{"withdrawFile", func(t *testing.T, c *client) answer {
			if c.name == "teaches" {
				must(t, s.MakePreview(t.Context(), s.centre, uuid.MustParse(file)))
			}
			return c.json(t, "POST", "/api/files/"+file+"/withdraw", body{"words": "A face is in it."})
		}, onAttemptByTutor},
		{"handOver", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", s.at("/hand-over"), body{"own_work": true})
			if c.name == "own" {
				must(t, s.MarkAttempt(t.Context(), s.centre, s.attempt))
			}
			return a
		}, "401 200 404 403 404 403 403 404 404 404 404"},
		{"takeIn", func(t *testing.T, c *client) answer {
			if c.name == "own" {
				late = newID(t)
				c.json(t, "POST", s.at("/entries"), body{"entries": []body{{"id": late, "item": "why", "text": "Late."}}}).want(t, http.StatusNoContent)
			}
			return c.json(t, "POST", s.at("/take-in"), body{"id": late, "words": "It says no more than before."})
		}, onAttemptByTutor},
		{"goOnWithout", json("POST", "/api/attempts/{attempt}/go-on-without", body{"words": "The phone is gone."}), "401 403 404 409 404 403 403 404 404 404 404"}, // it waits for nothing
		{"waiting", json("GET", "/api/waiting", nil), "401 403 403 200 200 403 403 403 403 403 200"},
		{"stockRemarks", json("GET", "/api/stock-remarks", nil), "401 403 403 200 200 403 403 403 403 403 200"},
		{"keepStockRemarks", json("PUT", "/api/stock-remarks", body{"remarks": []string{"Show the label."}}), "401 403 403 204 204 403 403 403 403 403 204"},
		{"override", judging("/override", body{"item": "share", "verdict": "correct", "words": "I worked it with them."}), onAttemptByTutor},
		{"askTrainee", judging("/question", body{"criterion": "H2/1.1", "words": "How did you choose the meter?"}), onAttemptByTutor},
		{"answerQuestion", judging("/answer", body{"criterion": "H2/1.1", "words": "By its range."}), onAttemptByTutor},
		{"markAgain", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", s.at("/mark-again"), body{"revision": s.revision(t), "edition": edition, "words": "It held that day."})
		}, "401 403 404 422 404 403 403 404 404 404 404"}, // the brief names no rules
		{"decide", func(t *testing.T, c *client) answer {
			for _, ref := range []string{"H2/1.2", "H2/2.1", "H3/1.10"} {
				if c.name != "teaches" {
					break
				}
				c.json(t, "POST", s.at("/decide"), body{"revision": s.revision(t), "criterion": ref, "outcome": "met"}).want(t, http.StatusNoContent)
			}
			return c.json(t, "POST", s.at("/decide"), body{"revision": s.revision(t), "criterion": "H2/1.1", "outcome": "met"})
		}, onAttemptByTutor},
		{"takeBack", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", s.at("/take-back"), body{"revision": s.revision(t), "criterion": "H2/2.1", "words": "The wrong key."})
			if c.name == "teaches" {
				c.json(t, "POST", s.at("/decide"), body{"revision": s.revision(t), "criterion": "H2/2.1", "outcome": "met"}).want(t, http.StatusNoContent)
			}
			return a
		}, onAttemptByTutor},
		{"askForMore", judging("/more-to-do", body{"good": "Clean work.", "missing": "The valve.", "to_do": "Show it.", "by": "2026-05-11"}), "401 403 404 409 404 403 403 404 404 404 404"},
		{"countersign", judging("/countersign", body{"password": password}), "401 403 404 409 404 409 403 404 404 404 404"},      // nothing waits
		{"acknowledge", json("POST", "/api/attempts/{attempt}/acknowledge", nil), "401 409 404 403 404 403 403 404 404 404 404"}, // there is no feedback yet
		{"appeal", json("POST", "/api/attempts/{attempt}/appeal", body{"words": "It was warm."}), "401 409 404 403 404 403 403 404 404 404 404"},
		{"settleAppeal", judging("/settle-appeal", body{"outcome": "rejected", "words": "It was not."}), "401 403 404 403 404 409 409 404 404 404 404"},
		{"signOff", judging("/sign-off", body{"password": password}), onAttemptByTutor},
		{"askCorrection", func(t *testing.T, c *client) answer {
			if c.name == "teaches" {
				s.secondVersion(t)
			}
			a := c.json(t, "POST", s.path("/api/briefs/{brief}/corrections"), body{"from": 1, "to": 2, "words": "The pump runs at both ends."})
			if a.Code == http.StatusAccepted {
				correction = a.member(t, "id")
			}
			return a
		}, "401 403 403 202 409 409 403 403 403 403 404"},
		{"correction", onCorrection("GET", ""), "401 403 403 200 200 200 403 403 403 403 404"},
		{"stopCorrection", onCorrection("POST", "/stop"), "401 403 403 204 409 409 403 403 403 403 404"},
		{"goOnCorrection", onCorrection("POST", "/go-on"), "401 403 403 204 409 409 403 403 403 403 404"},
		{"takeCorrection", func(t *testing.T, c *client) answer {
			for range 2 { // it is done, and then it says so
				must(t, s.WorkRemark(t.Context(), s.centre, mustUUID(t, correction)))
			}
			return c.json(t, "POST", "/api/corrections/"+correction+"/take", nil)
		}, "401 403 403 204 409 409 403 403 403 403 404"},
		{"dropCorrection", onCorrection("POST", "/drop"), "401 403 403 409 409 409 403 403 403 403 404"},
		{"requestPortfolio", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/portfolios", body{"trainee": s.people["own"].id, "unit": "H2"})
			if c.name == "teaches" {
				portfolio = a.member(t, "id")
				must(t, s.BuildPortfolio(t.Context(), s.centre, mustUUID(t, portfolio)))
			}
			return a
		}, "401 403 403 202 403 202 202 403 403 404 403"},
		{"portfolios", json("GET", "/api/portfolios", nil), "401 200 200 200 200 200 200 403 403 200 200"},
		{"portfolioFile", func(t *testing.T, c *client) answer {
			return c.json(t, "GET", "/api/portfolios/"+portfolio+"/file", nil)
		},
			"401 200 404 200 404 200 200 404 404 404 404"},
		{"people", json("GET", "/api/people", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"addPerson", json("POST", "/api/people", body{"name": "Nia Moss", "sign_in_name": "nia", "roles": []string{"trainee"}}), "401 403 403 403 403 403 201 403 403 422 403"},
		{"inviteAgain", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/people/"+s.people["second"].id.String()+"/invitation", nil)
		}, "401 403 403 403 403 403 201 403 403 404 403"},
		{"setCountersigned", func(t *testing.T, c *client) answer {
			return c.json(t, "PUT", "/api/people/"+s.people["second"].id.String()+"/countersigned", body{"waits": true})
		}, byManager},
		{"allowSignIn", func(t *testing.T, c *client) answer {
			return c.json(t, "PUT", "/api/people/"+s.people["second"].id.String()+"/sign-in", body{"allowed": false})
		}, byManager},
		{"removeMember", func(t *testing.T, c *client) answer {
			return c.json(t, "DELETE", s.path("/api/cohorts/{cohort}/members/")+s.people["second"].id.String()+"?part=tutor", nil)
		}, byManager},
		{"acceptInvitation", json("POST", "/api/invitations/unknown", body{"password": password}), "404 404 404 404 404 404 404 404 404 404 404"},
		{"signOut", json("DELETE", "/api/session", nil), "204 204 204 204 204 204 204 204 204 204 204"},
	} {
		s.try(t, o)
	}
	for path, item := range s.doc.Paths.Map() {
		for method, o := range item.Operations() {
			if !s.tried[o.OperationID] {
				t.Errorf("nobody tried %s %s", method, path)
			}
		}
	}
}

// try has every caller ask, the refused ones first.
func (s *site) try(t *testing.T, o op) {
	t.Run(o.id, func(t *testing.T) {
		want := strings.Fields(o.want)
		for _, refused := range []bool{true, false} {
			for i, name := range callers {
				if (want[i] == "401" || want[i] == "403" || want[i] == "404") != refused {
					continue
				}
				if a := o.send(t, s.people[name]); strconv.Itoa(a.Code) != want[i] {
					t.Errorf("%s: got %d, want %s: %.300s", name, a.Code, want[i], a.Body)
				}
			}
		}
	})
	if s.tried == nil {
		s.tried = map[string]bool{}
	}
	s.tried[o.id] = true
}

// path puts ids into a path.
func (s *site) path(p string) string {
	return strings.NewReplacer("{brief}", s.brief.String(), "{cohort}", s.cohort.String(), "{attempt}", s.attempt.String()).Replace(p)
}
