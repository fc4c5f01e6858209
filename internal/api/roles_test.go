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
	seeSampling      = "401 403 403 403 403 200 200 403 403 200 403"
	seeLogEntry      = "401 403 403 403 403 200 200 403 403 404 403" // the other centre's log is empty
	seeLogSigned     = "401 403 403 403 403 404 404 403 403 404 403"
	onAVisit         = "401 403 403 403 403 403 403 403 403 403 403"
	byWhomItNames    = "401 403 403 404 404 404 204 403 403 404 404"
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
	var award, conflict, set string
	var standard, ruling, prior, inquiry string
	var file, portfolio, edition, another, task, correction string
	var visit, link, plan string
	late, nowhere := newID(t), newID(t)
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
	var registered string
	checkup := newID(t)
	onRegister := func(method, path string, b body) func(*testing.T, *client) answer {
		return func(t *testing.T, c *client) answer {
			return c.json(t, method, "/api/register/"+registered+path, b)
		}
	}
	const noPair = "401 403 403 404 404 404 403 403 403 403 404"
	for _, o := range []op{
		{"openAPI", json("GET", "/api/openapi.json", nil), "200 200 200 200 200 200 200 200 200 200 200"},
		{"whoAmI", json("GET", "/api/session", nil), "401 200 200 200 200 200 200 200 200 200 200"},
		{"signIn", json("POST", "/api/session", body{"name": "nobody", "password": "nothing"}), "422 422 422 422 422 422 422 422 422 422 422"},
		{"askForLink", json("POST", "/api/forgotten", body{"name": "anybody"}), "409 409 409 409 409 409 409 409 409 409 409"}, // no letters are sent
		{"verifyPortfolio", json("POST", "/api/verify", body{"no": "PDF"}), "200 200 200 200 200 200 200 200 200 200 200"},
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
		{"safetyStop", json("POST", "/api/attempts/{attempt}/safety-stop", body{"words": "Water by the socket."}), "401 204 204 204 204 204 204 204 403 404 404"}, // stopped once, the others add what they saw
		{"atWork", json("GET", "/api/at-work?find=monday", nil), "401 200 200 200 200 200 200 200 403 200 200"},
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
		{"nothingToCover", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/files/"+file+"/nothing-to-cover", nil)
		}, "401 204 404 204 404 403 403 404 404 404 404"},
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
			_, after := s.aroundHold(s.entries(t)) // done once more, now that the hold point is released
			a := c.json(t, "POST", s.at("/hand-over"), body{"own_work": true, "entries": after, "sent_at": morning})
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
		{"standardise", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/standardisations", body{"title": "Measuring", "brief": s.brief, "version": 1, "attempts": []uuid.UUID{s.attempt},
				"judges": []uuid.UUID{s.people["elsewhere"].id, s.people["assurer"].id}})
			if c.name == "assurer" {
				standard = "/api/standardisations/" + a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 201 403 403 403 403 403"},
		{"standardisations", json("GET", "/api/standardisations", nil), seeBriefs},
		{"standardisation", func(t *testing.T, c *client) answer { return c.json(t, "GET", standard, nil) }, "401 403 403 404 200 200 200 403 403 404 404"},
		{"judgeBlind", func(t *testing.T, c *client) answer {
			var said []body
			for _, ref := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
				said = append(said, body{"criterion": ref, "outcome": "met", "words": "Seen."})
			}
			return c.json(t, "POST", standard+s.path("/attempts/{attempt}"), body{"criteria": said})
		}, "401 403 403 404 204 204 404 403 403 404 404"},
		{"closeStandardisation", func(t *testing.T, c *client) answer { return c.json(t, "POST", standard+"/close", nil) }, "401 403 403 404 403 204 403 403 403 404 404"},
		{"actOnStandardisation", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", standard+"/actions", body{"words": "Say in the brief how many readings.", "owner": s.people["assurer"].id, "due": "2099-01-01"})
		}, "401 403 403 404 403 204 403 403 403 404 404"},
		{"makeRuling", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/rulings", body{"criterion": "H2/1.1", "words": "So.", "doubts": "met", "effective_on": "2099-01-01"})
			if c.name == "assurer" {
				ruling = a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 201 403 403 403 403 403"},
		{"rulings", json("GET", "/api/rulings", nil), seeBriefs},
		{"ruling", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/rulings/"+ruling, nil) }, "401 403 403 200 200 200 200 403 403 404 404"},
		{"actOnRuling", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/rulings/"+ruling+"/actions", body{"words": "Say so at the next meeting.", "owner": s.people["teaches"].id, "due": "2099-01-01"})
		}, "401 403 403 403 403 204 403 403 403 403 403"},
		{"lookUnderRuling", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/rulings/"+ruling+"/looks", body{"record": s.questioned(t, ruling), "outcome": "stands"})
		}, "401 403 403 403 403 204 403 403 403 403 403"},
		{"comments", json("GET", "/api/briefs/{brief}/versions/1/comments", nil), "401 403 403 200 200 200 200 403 403 404 404"},
		{"commentBrief", json("POST", "/api/briefs/{brief}/versions/1/comments", body{"words": "Which?"}), "401 403 403 409 409 409 403 403 403 404 404"},                   // it is published
		{"answerComment", json("POST", "/api/briefs/{brief}/versions/1/answers", body{"comment": newID(t), "words": "So."}), "401 403 403 404 403 403 403 403 403 404 404"}, // there is none
		{"claimPrior", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/prior-learning", body{"trainee": s.people["own"].id, "unit": "H2", "criteria": []string{"H2/1.1"}, "words": "Two years with a firm."})
			if c.name == "own" {
				prior = "/api/prior-learning/" + a.member(t, "id")
			}
			return a
		}, "401 201 403 201 403 403 403 403 403 403 403"},
		{"priors", json("GET", "/api/prior-learning", nil), "401 200 200 200 200 200 200 403 403 200 200"},
		{"prior", func(t *testing.T, c *client) answer { return c.json(t, "GET", prior, nil) }, seeAttempt},
		{"addPriorFile", func(t *testing.T, c *client) answer {
			return c.send(t, "POST", prior+"/files?name=letter.jpg", picture(t, 3), nil)
		}, "401 204 404 204 404 403 403 404 404 404 404"},
		{"priorFile", func(t *testing.T, c *client) answer { return c.json(t, "GET", prior+"/files/"+s.proof(t, prior), nil) }, seeAttempt},
		{"decidePrior", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", prior+"/decide", body{"criterion": "H2/1.1", "outcome": "met", "words": "The letter says so."})
		}, onAttemptByTutor},
		{"lookAtPrior", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", prior+"/look", body{"criteria": []string{"H2/1.1"}, "outcome": "agree"})
		}, "401 403 403 403 403 204 403 403 403 403 403"},
		{"openInquiry", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/inquiries", body{"concerns": s.people["own"].id, "words": "Two sheets alike."})
			if c.name == "manager" {
				inquiry = "/api/inquiries/" + a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 201 201 403 403 404 403"},
		{"inquiries", json("GET", "/api/inquiries", nil), seeBriefs},
		{"inquiry", func(t *testing.T, c *client) answer { return c.json(t, "GET", inquiry, nil) }, "401 403 403 404 404 404 200 403 403 404 404"},
		{"noteInquiry", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", inquiry+"/notes", body{"words": "Seen."})
		}, byWhomItNames},
		{"suspend", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", inquiry+"/suspend", body{"attempt": s.attempt})
		}, byWhomItNames},
		{"liftSuspension", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", inquiry+"/lift", body{"attempt": s.attempt})
		}, byWhomItNames},
		{"nameInInquiry", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", inquiry+"/people", body{"person": s.people["elsewhere"].id})
		}, byWhomItNames},
		{"closeInquiry", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", inquiry+"/close", body{"outcome": "nothing_found", "found": "They had said so."})
		}, "401 403 403 404 403 404 204 403 403 404 404"},
		{"askCorrection", func(t *testing.T, c *client) answer {
			if c.name == "teaches" {
				s.secondVersion(t)
			}
			a := c.json(t, "POST", s.path("/api/briefs/{brief}/corrections"), body{"from": 1, "to": 2, "words": "The pump runs at both ends."})
			if a.Code == http.StatusAccepted {
				correction = a.member(t, "id")
			}
			return a
		}, "401 403 403 202 409 409 409 403 403 404 404"},
		{"correction", onCorrection("GET", ""), "401 403 403 200 200 200 200 403 403 404 404"},
		{"stopCorrection", onCorrection("POST", "/stop"), "401 403 403 204 409 409 409 403 403 404 404"},
		{"goOnCorrection", onCorrection("POST", "/go-on"), "401 403 403 204 409 409 409 403 403 404 404"},
		{"takeCorrection", func(t *testing.T, c *client) answer {
			for range 2 { // it is done, and then it says so
				must(t, s.WorkRemark(t.Context(), s.centre, mustUUID(t, correction)))
			}
			return c.json(t, "POST", "/api/corrections/"+correction+"/take", nil)
		}, "401 403 403 204 409 409 409 403 403 404 404"},
		{"dropCorrection", onCorrection("POST", "/drop"), "401 403 403 409 409 409 409 403 403 404 404"},
		{"requestPortfolio", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/portfolios", body{"trainee": s.people["own"].id, "unit": "H2"})
			if c.name == "teaches" {
				portfolio = a.member(t, "id")
				must(t, s.BuildPortfolio(t.Context(), s.centre, mustUUID(t, portfolio)))
			}
			return a
		}, "401 403 403 202 403 202 202 403 403 404 403"},
		{"portfolioPhotos", json("GET", "/api/portfolios/photos", nil), "401 403 403 403 403 403 200 403 403 200 403"},
		{"choosePortfolioPhotos", json("PUT", "/api/portfolios/photos", body{"photos": "uploaded"}), "401 403 403 403 403 403 204 403 403 204 403"},
		{"portfolioSets", json("GET", "/api/portfolio-sets", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"requestPortfolios", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/portfolio-sets", body{"cohort": s.cohort, "unit": "H2"})
			if a.Code == http.StatusAccepted {
				set = a.member(t, "id")
			}
			return a
		}, "401 403 403 202 404 202 202 403 403 404 404"},
		{"stopPortfolios", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/portfolio-sets/"+set+"/stop", nil)
		}, "401 403 403 204 404 409 409 403 403 404 404"},
		{"portfolios", json("GET", "/api/portfolios", nil), "401 200 200 200 200 200 200 403 403 200 200"},
		{"portfolioFile", func(t *testing.T, c *client) answer {
			return c.json(t, "GET", "/api/portfolios/"+portfolio+"/file", nil)
		},
			"401 200 404 200 404 200 200 404 404 404 404"},
		// A sample is drawn, looked at and cleared in the tests of the application; here it is who gets that far.
		{"sampling", json("GET", "/api/sampling", nil), seeSampling},
		{"addSamplingPlan", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/sampling", body{"name": "Spring", "stage": "final", "share": 20, "weights": []body{{"reason": "safety_work", "adds": 2}}, "words": "New tutors."})
			if c.name == "assurer" {
				plan = a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 201 403 403 403 403 403"},
		{"samplingPlan", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/sampling/"+plan, nil) }, "401 403 403 403 403 200 200 403 403 404 403"},
		{"drawSample", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/sampling/"+plan+"/samples", body{"number": 2})
		}, "401 403 403 403 403 409 403 403 403 403 403"}, // it would be the first
		{"endSamplingPlan", func(t *testing.T, c *client) answer { return c.json(t, "POST", "/api/sampling/"+plan+"/end", nil) }, "401 403 403 403 403 204 403 403 403 403 403"},
		{"sample", json("GET", "/api/samples/"+nowhere, nil), "401 403 403 403 403 404 404 403 403 404 403"},
		{"drawAgain", json("GET", "/api/samples/"+nowhere+"/again", nil), "401 403 403 403 403 404 404 403 403 404 403"},
		{"sayOutcome", json("POST", "/api/samples/"+nowhere+"/attempts/{attempt}", body{"revision": 1, "outcome": "agree"}), "401 403 403 403 403 409 403 403 403 403 403"},
		{"clearSample", json("POST", "/api/samples/"+nowhere+"/clear", nil), "401 403 403 403 403 404 403 403 403 403 403"},
		{"endSample", json("POST", "/api/samples/"+nowhere+"/end", nil), "401 403 403 403 403 404 403 403 403 403 403"},
		{"actions", json("GET", "/api/actions", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"closeAction", json("POST", "/api/actions/"+nowhere+"/close", body{"words": "Seen."}), "401 403 403 403 403 404 404 403 403 404 403"},
		{"claims", json("GET", "/api/claims", nil), seeSampling},
		{"claimable", json("GET", "/api/claims/ready?unit=H2&cohort={cohort}", nil), "401 403 403 403 403 200 200 403 403 404 403"},
		{"makeClaim", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/claims", body{"unit": "H2", "trainees": []uuid.UUID{s.people["own"].id}})
		}, "401 403 403 403 403 403 409 403 403 404 403"}, // not everything is met
		{"claim", json("GET", "/api/claims/"+nowhere, nil), "401 403 403 403 403 404 404 403 403 404 403"},
		{"visits", json("GET", "/api/visits", nil), "401 403 403 403 403 200 200 403 403 200 403"},
		{"arrangeVisit", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/visits", body{"name": "Vera Outside", "unit": "H2", "words": "The spring visit.", "ends_on": "2026-05-06"})
			if c.name == "manager" {
				visit, link = a.member(t, "id"), a.member(t, "token")
			}
			return a
		}, "401 403 403 403 403 201 201 403 403 404 403"},
		{"visitReport", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/visits/"+visit, nil) }, "401 403 403 403 403 200 200 403 403 404 403"},
		{"visitInvited", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/visit-links/"+link, nil) }, "200 200 200 200 200 200 200 200 200 200 200"},
		{"openVisit", json("POST", "/api/visit-links/unknown", nil), "404 404 404 404 404 404 404 404 404 404 404"},
		{"requestVisitPortfolios", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/visits/"+visit+"/portfolios", nil)
		}, "401 403 403 403 403 409 409 403 403 404 403"}, // nothing is on its list
		{"relinkVisit", func(t *testing.T, c *client) answer { return c.json(t, "POST", "/api/visits/"+visit+"/link", nil) }, "401 403 403 403 403 201 201 403 403 404 403"},
		{"endVisit", func(t *testing.T, c *client) answer { return c.json(t, "POST", "/api/visits/"+visit+"/end", nil) }, "401 403 403 403 403 204 409 403 403 404 403"},
		{"logCheckpoint", json("GET", "/api/log/checkpoint", nil), seeSampling},
		{"logEntries", json("GET", "/api/log/entries?from=0&limit=5", nil), seeSampling},
		{"logProof", json("GET", "/api/log/proof?entry=0", nil), seeLogEntry},
		{"logWitnessed", json("GET", "/api/log/witnessed?size=1", nil), "401 403 403 403 403 404 404 403 403 404 403"}, // nobody signed it along
		{"compareLog", json("POST", "/api/log/comparison", body{"checkpoint": "x"}), seeLogSigned},                     // it is not signed
		{"keeping", json("GET", "/api/keeping", nil), "401 403 403 403 403 200 200 403 403 200 403"},
		{"setRetention", json("POST", "/api/keeping/rules", body{"kind": "work", "months": 24, "words": "A letter."}), "401 403 403 403 403 403 204 403 403 204 403"},
		{"placeHold", json("POST", "/api/keeping/holds", body{"person": s.people["own"].id, "words": "A claim."}), byManager},
		{"liftHold", json("POST", "/api/keeping/holds/"+newID(t)+"/lift", body{"words": "Settled."}), "401 403 403 403 403 403 404 403 403 404 403"},
		{"proposePurge", json("POST", "/api/keeping/purges", nil), "401 403 403 403 403 409 409 403 403 409 403"}, // nothing is old enough
		{"approvePurge", json("POST", "/api/keeping/purges/"+newID(t)+"/approve", nil), "401 403 403 403 403 404 404 403 403 404 403"},
		{"dropPurge", json("POST", "/api/keeping/purges/"+newID(t)+"/drop", nil), "401 403 403 403 403 404 404 403 403 404 403"},
		// A verifier who signed in by a password is on no visit; TestOnAVisit has one who is.
		{"myVisit", json("GET", "/api/visit", nil), onAVisit},
		{"visitReach", json("GET", "/api/visit/reach", nil), onAVisit},
		{"drawForVisit", json("POST", "/api/visit/draws", body{"size": 1}), onAVisit},
		{"chooseForVisit", json("POST", "/api/visit/choices", body{"attempts": []string{newID(t)}}), onAVisit},
		{"visitSheet", json("GET", "/api/visit/attempts/{attempt}", nil), onAVisit},
		{"visitFile", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/visit/files/"+file, nil) }, onAVisit},
		{"visitPortfolio", func(t *testing.T, c *client) answer { return c.json(t, "GET", "/api/visit/portfolios/"+portfolio, nil) }, onAVisit},
		{"noteOnVisit", json("POST", "/api/visit/notes", body{"finding": "remark", "words": "Fine."}), onAVisit},
		{"actOnVisit", json("POST", "/api/visit/actions", body{"words": "Do it.", "owner": newID(t), "due": "2099-01-01"}), onAVisit},
		{"people", json("GET", "/api/people", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"addPerson", json("POST", "/api/people", body{"name": "Nia Moss", "sign_in_name": "nia", "roles": []string{"trainee"}}), "401 403 403 403 403 403 201 403 403 422 403"},
		{"inviteAgain", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/people/"+s.people["second"].id.String()+"/invitation", nil)
		}, "401 403 403 403 403 403 201 403 403 404 403"},
		{"allowSignIn", func(t *testing.T, c *client) answer {
			return c.json(t, "PUT", "/api/people/"+s.people["second"].id.String()+"/sign-in", body{"allowed": false})
		}, byManager},
		{"inviteCohort", json("POST", "/api/cohorts/{cohort}/invitations", nil), "401 403 403 403 403 403 409 403 403 404 403"},
		{"enterUnit", func(t *testing.T, c *client) answer {
			day := "2026-01-01"
			if c.name == "manager" { // after the quality assurer's
				day = "2027-01-01"
			}
			return c.json(t, "POST", "/api/units", body{"code": "H9", "title": "Pumps", "edition": c.name, "valid_from": day,
				"learning_outcomes": []body{{"code": "1", "title": "Choose", "criteria": []body{{"code": "1.1", "text": "Choose a pump."}}}}})
		}, "401 403 403 403 403 204 204 403 403 204 403"},
		{"checkPeople", json("POST", "/api/people/list/check", body{"list": "Name,Sign-in name\nJo,jo\n"}), "401 403 403 403 403 403 200 403 403 200 403"},
		{"importPeople", json("POST", "/api/people/list", body{"list": "Name,Sign-in name\nJo,jo\n", "digest": s.digest}), "401 403 403 403 403 403 409 403 403 409 403"},
		{"person", json("GET", "/api/people/"+s.people["second"].id.String(), nil), "401 403 403 200 200 200 200 403 403 404 404"},
		{"addRegistration", json("POST", "/api/people/"+s.people["second"].id.String()+"/registrations", body{"kind": "gas", "number": "7", "valid_from": "2026-01-01"}), byManager},
		{"endRegistration", json("PUT", "/api/people/"+s.people["second"].id.String()+"/registrations", body{"kind": "gas", "number": "7", "on": "2026-06-01"}), byManager},
		{"addAwardRegistration", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/people/"+s.people["own"].id.String()+"/award-registrations", body{"number": "AO-1", "registered_on": "2026-01-01"})
			if c.name == "manager" {
				award = a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 403 201 403 403 404 403"},
		{"endAwardRegistration", func(t *testing.T, c *client) answer {
			at := award
			if at == "" {
				at = late
			}
			return c.json(t, "PUT", "/api/people/"+s.people["own"].id.String()+"/award-registrations/"+at, body{"on": "2026-06-01"})
		}, byManager},
		{"conflicts", json("GET", "/api/conflicts", nil), "401 403 403 200 200 200 200 403 403 200 200"},
		{"declareConflict", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/conflicts", body{"person": c.id, "other": s.people["technician"].id, "words": "We share a firm."})
			if c.name == "teaches" {
				conflict = a.member(t, "id")
			}
			return a
		}, "401 403 403 201 201 201 201 403 403 404 404"},
		{"endConflict", func(t *testing.T, c *client) answer {
			at := conflict
			if at == "" {
				at = late
			}
			return c.json(t, "POST", "/api/conflicts/"+at+"/end", body{"words": "Not any more."})
		}, "401 403 403 403 403 403 204 403 403 409 403"},
		{"register", json("GET", "/api/register", nil), "401 403 403 200 200 200 200 200 403 200 200"},
		{"addToRegister", func(t *testing.T, c *client) answer {
			a := c.json(t, "POST", "/api/register", body{"name": "Gauge " + c.name, "serial": c.name, "kinds": []string{"gauge"}})
			if c.name == "manager" {
				registered = a.member(t, "id")
			}
			return a
		}, "401 403 403 403 403 403 201 201 403 201 403"},
		{"checkInstruments", json("POST", "/api/register/list/check", body{"list": "Name,Serial number,Is a\nGauge,G-1,gauge\n"}), "401 403 403 403 403 403 200 200 403 200 403"},
		{"importInstruments", json("POST", "/api/register/list", body{"list": "Name,Serial number,Is a\nGauge,G-1,gauge\n", "digest": s.digest}), "401 403 403 403 403 403 409 409 403 409 403"},
		{"registered", onRegister("GET", "", nil), "401 403 403 200 200 200 200 200 403 404 404"},
		{"calibrate", onRegister("POST", "/calibrations", body{"id": newID(t), "on": "2026-01-05", "good": true, "certificate": "C-1", "due": "2036-01-05"}), "401 403 403 403 403 403 204 204 403 404 403"},
		{"checkInHouse", onRegister("POST", "/checks", body{"id": checkup, "what": "gauge_zero", "found": "2 mbar", "good": false, "words": "It sticks."}), "401 403 403 204 204 403 204 204 403 404 404"},
		{"touched", onRegister("GET", "/events/"+checkup+"/touched", nil), "401 403 403 200 200 200 200 403 403 404 404"},
		{"lookAtTouched", onRegister("POST", "/events/"+checkup+"/looks", body{"id": newID(t), "attempt": newID(t), "outcome": "stands", "words": "Read beside another."}), "401 404 404 404 404 404 404 404 404 404 404"},
		{"strikeCheckup", onRegister("POST", "/events/"+checkup+"/strike", body{"words": "Another gauge."}), "401 403 403 403 403 403 204 409 403 404 403"},
		{"retireInstrument", onRegister("POST", "/retire", body{"words": "Dropped."}), "401 403 403 403 403 403 204 409 403 404 403"},
		{"alike", json("GET", "/api/alike", nil), "401 403 403 200 200 200 403 403 403 403 200"},
		{"setAlike", json("PUT", "/api/alike/setting", body{"pattern": 6, "edges": 4, "correlation": 0.95, "words": "Bay 7."}), "401 403 403 403 403 204 204 403 403 204 403"},
		{"lookAtPair", json("POST", "/api/alike/pictures/"+late+"/"+late, body{"id": newID(t), "outcome": "talked", "words": "They share a rig."}), noPair},
		{"alikeReadings", json("GET", "/api/alike/readings/"+late+"/"+late, nil), noPair},
		{"lookAtReadings", json("POST", "/api/alike/readings/"+late+"/"+late, body{"id": newID(t), "outcome": "talked", "words": "They share a rig."}), noPair},
		{"removeMember", func(t *testing.T, c *client) answer {
			return c.json(t, "DELETE", s.path("/api/cohorts/{cohort}/members/")+s.people["second"].id.String()+"?part=tutor", nil)
		}, byManager},
		{"setAside", judging("/set-aside", body{"words": "It was done before registration."}), "401 403 404 403 404 204 409 404 404 404 404"},
		{"withdrawTrainee", json("POST", "/api/people/"+s.people["own"].id.String()+"/withdrawals", body{"cohort": s.cohort, "left_on": "2026-01-01", "words": "A job elsewhere."}),
			"401 403 403 403 403 403 201 403 403 404 403"},
		{"takeBackWithdrawal", func(t *testing.T, c *client) answer {
			return c.json(t, "POST", "/api/withdrawals/"+s.withdrawal(t)+"/back", body{"words": "They are here."})
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
