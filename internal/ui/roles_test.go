package ui

import (
	"database/sql"
	"fmt"
	"io"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/brief"
	"witnessmark/internal/marking"
)

// forms is a form with what each caller gets who may not send it, in the order of the columns; "." for whoever may, whom other
// tests send. What a caller may not see is 404; what they see and may not do is 403; whoever is signed out is sent to sign in.
type forms struct {
	route, path string
	form        url.Values
	want        string
}

// The callers: nobody; the trainee whose attempt it is, another trainee; a tutor of the cohort, a tutor of another; a quality
// assurer, a manager, a technician, an external verifier; a tutor of another centre.
var columns = []string{"nobody", "trainee", "peer", "tutor", "elsewhere", "assurer", "manager", "technician", "verifier", "stranger"}

// The answers of whole groups.
const (
	//              any own peer tea els ass man tec ver str
	byItsTrainee       = "303 . 404 403 404 403 403 404 404 404"
	byItsTutor         = "303 403 404 . 404 403 403 404 404 404"
	byManagers         = "303 403 403 403 403 403 . 403 403 403"
	onAPerson          = "303 403 403 403 403 403 . 403 403 404"
	onItsCohort        = "303 403 403 403 404 403 . 403 403 404"
	byRuleWriters      = "303 403 403 . . . . 403 403 404"
	byCorrectors       = "303 403 403 . . . . 403 403 404"
	byAssurers         = "303 403 403 403 403 . 403 403 403 403"
	byArrangers        = "303 403 403 403 403 . . 403 403 403"
	onItsCohortToBuild = "303 403 403 . 404 . . 403 403 404"
	onAVisit           = "303 403 403 403 403 403 403 403 403 403" // nobody who signed in by a password is on one
	byBriefSeers       = "303 403 403 . . . . 403 403 404"
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

// everybody adds the callers who are only there to be refused, and signs everybody in.
func (s *site) everybody(t *testing.T) map[string]*visitor {
	t.Helper()
	ctx := t.Context()
	add := func(manager account.Caller, name string, role account.Role) {
		id, inv, err := s.AddPerson(ctx, manager, app.NewPerson{Name: "Person " + name, SignInName: name, Roles: []account.Role{role}})
		must(t, err)
		if manager.Centre == s.centre {
			s.awarded(t, id, role)
		}
		s.people[name], err = s.AcceptInvitation(ctx, inv.Token, password)
		must(t, err)
	}
	for name, role := range map[string]account.Role{
		"peer": account.Trainee, "elsewhere": account.Tutor, "assurer": account.QualityAssurer, "technician": account.Technician, "verifier": account.ExternalVerifier,
	} {
		add(s.people["manager"], name, role)
	}
	row, err := s.db.CreateCentre(ctx, "SOUTH", "South Yard Training", when)
	must(t, err)
	inv, err := s.InviteManager(ctx, row.ID, app.NewPerson{Name: "Manager of another", SignInName: "another"})
	must(t, err)
	other, err := s.AcceptInvitation(ctx, inv.Token, password)
	must(t, err)
	add(other, "stranger", account.Tutor)
	in := map[string]*visitor{"nobody": {site: s}}
	for _, name := range columns[1:] {
		in[name] = s.in(t, name)
	}
	return in
}

// kept is a print of everything that is kept: of each table the number of its rows and a sum over what stands in them. Sessions
// and the day's codes of hold points are left out: looking at a page touches the one and makes the other.
func kept(t *testing.T, db *sql.DB) string {
	t.Helper()
	rows, err := db.QueryContext(t.Context(), `SELECT tablename FROM pg_tables WHERE schemaname = 'public' AND tablename NOT IN ('session', 'hold_code') ORDER BY 1`)
	must(t, err)
	defer rows.Close()
	var parts []string
	for rows.Next() {
		var name string
		must(t, rows.Scan(&name))
		parts = append(parts, fmt.Sprintf(`SELECT '%[1]s ' || count(*) || ' ' || coalesce(sum(hashtext(x::text)), 0) AS line FROM %[1]s x`, name))
	}
	must(t, rows.Err())
	var all string
	must(t, db.QueryRowContext(t.Context(), `SELECT string_agg(line, E'\n' ORDER BY line) FROM (`+strings.Join(parts, " UNION ALL ")+`) y`).Scan(&all))
	return all
}

// TestWhoMayNotSendWhat has everybody send every form that is not theirs: each is refused, and nothing is different afterwards.
func TestWhoMayNotSendWhat(t *testing.T) {
	s := newSite(t)
	in := s.everybody(t)
	ctx, trainee := t.Context(), s.people["trainee"]
	must(t, s.OpenAttempt(ctx, trainee, s.id, true, true))
	must(t, s.RecordEntries(ctx, trainee, s.id, []app.NewEntry{{ID: uuid.New(), Entry: marking.Entry{Item: "why", Text: "It was cold."}}}))
	file := s.photo(t, in["trainee"])
	db, err := sql.Open("pgx", s.super)
	must(t, err)
	defer db.Close()

	all, tried := append(s.forms(t, file), s.registerForms(t)...), map[string]bool{}
	before := kept(t, db)
	for _, f := range all {
		tried[f.route] = true
		t.Run(f.route, func(t *testing.T) {
			want := strings.Fields(f.want)
			if len(want) != len(columns) {
				t.Fatalf("%d answers for %d callers", len(want), len(columns))
			}
			for i, name := range columns {
				if want[i] == "." {
					continue
				}
				a := in[name].submit(t, f)
				if strconv.Itoa(a.status) != want[i] {
					t.Errorf("%s: got %d, want %s: %.300s", name, a.status, want[i], a.body)
				}
				if to := a.header.Get("Location"); a.status == http.StatusSeeOther && to != "/sign-in?next=%2F" {
					t.Errorf("%s is sent to %q", name, to)
				}
			}
		})
	}
	if after := kept(t, db); after != before {
		t.Errorf("refused, they changed what is kept from\n%s\nto\n%s", before, after)
	}
	for _, r := range routes() {
		if r.Method == post && !r.Open && !tried[r.Path] {
			t.Errorf("nobody tried %s", r.Path)
		}
	}
}

// submit sends a form, an upload where it is one.
func (v *visitor) submit(t *testing.T, f forms) answer {
	t.Helper()
	if f.form != nil {
		return v.post(t, f.path, f.form)
	}
	kind, body := photo(t, "before", "rig.jpg")
	return v.send(t, "POST", f.path, kind, io.Reader(body))
}

// photo adds one and gives its id.
func (s *site) photo(t *testing.T, trainee *visitor) string {
	t.Helper()
	kind, body := photo(t, "before", "first.jpg")
	trainee.send(t, "POST", s.attempt+"/files", kind, body).sent(t, s.attempt+"#item-before")
	sheet, err := s.Sheet(t.Context(), s.people["trainee"], s.id)
	must(t, err)
	return sheet.Stages[0].Items[0].Files[0].ID.String()
}

// forms is every form that signed-in people may send.
func (s *site) forms(t *testing.T, file string) []forms {
	t.Helper()
	ctx, tutor := t.Context(), s.people["tutor"]
	briefs, err := s.Briefs(ctx, tutor)
	must(t, err)
	board, err := s.Board(ctx, tutor, s.cohort)
	must(t, err)
	edition, err := s.SaveRules(ctx, tutor, bay7, "")
	must(t, err)
	v := func(pairs ...string) url.Values {
		form := url.Values{}
		for i := 0; i < len(pairs); i += 2 {
			form.Add(pairs[i], pairs[i+1])
		}
		return form
	}
	person, digest := s.people["second"].Person.String(), strings.Repeat("0", 64)
	cohort, task := "/cohorts/"+s.cohort.String(), board.Tasks[0].ID.String()
	on := fmt.Sprintf("/briefs/%s/1", briefs[0].Brief)
	rule := "/rules/" + edition.String()
	correction := s.correction(t, briefs[0].Brief)
	standard, ruling := s.standard(t)
	plan, drawn := s.sampled(t)
	claim, err := s.ClaimPrior(ctx, s.people["trainee"], app.NewPrior{Trainee: s.people["trainee"].Person, Unit: "H2", Criteria: []string{"H2/1.1"}, Words: "Three years with a firm."})
	must(t, err)
	file0, err := s.OpenInquiry(ctx, s.people["manager"], s.people["trainee"].Person, "Two sheets alike.")
	must(t, err)
	prior, inquiry := claim.String(), "/inquiries/"+file0.String()
	line := v("stage", "1", "id:why", uuid.NewString(), "text:why", "Changed.")
	return []forms{
		{"/attempts/:id/open", s.attempt + "/open", v("plan", "yes", "risk", "yes"), byItsTrainee},
		{"/attempts/:id/entries", s.attempt + "/entries", line, byItsTrainee},
		{"/attempts/:id/look", s.attempt + "/look", v("line", "heat", "text:heat", "15.8"), "303 . 404 . 404 . . 404 404 404"}, // keeps nothing,
		{"/attempts/:id/instruments", s.attempt + "/instruments", v("id", uuid.NewString(), "kind", "flow meter", "serial", "1", "stage", "1"), byItsTrainee},
		{"/attempts/:id/files", s.attempt + "/files", nil, byItsTrainee},
		{"/attempts/:id/stop", s.attempt + "/stop", v("words", "Water."), "303 . . . . . . . 404 404"},
		{"/attempts/:id/clear-stop", s.attempt + "/clear-stop", v("words", "Dried."), byItsTutor},
		{"/attempts/:id/hand-over", s.attempt + "/hand-over", v("own_work", "yes"), byItsTrainee},
		{"/attempts/:id/release", s.attempt + "/release", v("stage", "wire", "words", "Seen."), byItsTutor},
		{"/attempts/:id/take-in", s.attempt + "/take-in", v("id", uuid.NewString(), "words", "It is theirs."), byItsTutor},
		{"/attempts/:id/go-on-without", s.attempt + "/go-on-without", v("words", "The phone is gone."), byItsTutor},
		{"/attempts/:id/observations", s.attempt + "/observations", v("subject", "wire", "outcome", "seen"), byItsTutor},
		{"/attempts/:id/oral-questions", s.attempt + "/oral-questions", v("subject", "wire", "other", "Why?", "gist", "So.", "outcome", "understood"), byItsTutor},
		{"/attempts/:id/adjustments", s.attempt + "/adjustments", v("what", "extra_time", "until", "2099-01-01", "words", "Reads slowly."), byItsTutor},
		{"/attempts/:id/one-more", s.attempt + "/one-more", v("words", "Ill that week."), byItsTutor},
		{"/attempts/:id/check-reading", s.attempt + "/check-reading", v("line", "continuity", "how", "seen", "password", password), byItsTutor},
		{"/attempts/:id/override", s.attempt + "/override", v("revision", "1", "line", "heat", "verdict", "correct", "words", "Right."), byItsTutor},
		{"/attempts/:id/decide", s.attempt + "/decide", v("revision", "1", "criterion", "H2/1.1", "outcome", "met"), byItsTutor},
		{"/attempts/:id/take-back", s.attempt + "/take-back", v("revision", "1", "criterion", "H2/1.1"), byItsTutor},
		{"/attempts/:id/question", s.attempt + "/question", v("revision", "1", "criterion", "H2/1.1", "words", "Why?"), byItsTutor},
		{"/attempts/:id/answer", s.attempt + "/answer", v("revision", "1", "criterion", "H2/1.1", "words", "So."), byItsTutor},
		{"/attempts/:id/countersign", s.attempt + "/countersign", v("revision", "1", "password", password), "303 403 404 . 404 . 403 404 404 404"},
		{"/attempts/:id/sign-off", s.attempt + "/sign-off", v("revision", "1", "password", password), byItsTutor},
		{"/attempts/:id/more-to-do", s.attempt + "/more-to-do", v("revision", "1", "good", "a", "missing", "b", "to_do", "c", "by", "2099-01-01"), byItsTutor},
		{"/attempts/:id/acknowledge", s.attempt + "/acknowledge", v("x", ""), byItsTrainee},
		{"/attempts/:id/appeal", s.attempt + "/appeal", v("words", "It was warm."), byItsTrainee},
		{"/attempts/:id/settle-appeal", s.attempt + "/settle-appeal", v("revision", "1", "outcome", "upheld", "words", "It was."), "303 403 404 403 404 . . 404 404 404"},
		{"/attempts/:id/mark-again", s.attempt + "/mark-again", v("revision", "1", "edition", uuid.NewString(), "words", "It held."), byItsTutor},
		{"/stock-remarks", "/stock-remarks", v("remarks", "Show the working."), "303 403 403 . . 403 403 403 403 ."},
		{"/evidence/:id/cover", "/evidence/" + file + "/cover", v("attempt", s.id.String(), "covers", `[{"x":0,"y":0,"w":0.5,"h":0.5}]`), "303 . 404 . 404 403 403 404 404 404"},
		{"/evidence/:id/withdraw", "/evidence/" + file + "/withdraw", v("attempt", s.id.String(), "words", "A face."), byItsTutor},
		{"/cohorts", "/cohorts", v("name", "Tuesday"), byManagers},
		{"/cohorts/:id/tasks", cohort + "/tasks", v("brief", briefs[0].Brief.String()+" 1"), "303 403 403 . 404 403 403 403 403 404"},
		{"/tasks/:id/trainees", "/tasks/" + task + "/trainees", v("cohort", s.cohort.String(), "trainees", s.people["peer"].Person.String()), "303 403 403 . 404 403 403 403 403 404"},
		{"/cohorts/:id/members", cohort + "/members", v("person", s.people["peer"].Person.String(), "part", "trainee"), onItsCohort},
		{"/cohorts/:id/members/remove", cohort + "/members/remove", v("person", person, "part", "tutor"), onItsCohort},
		{"/briefs", "/briefs", v("source", "brief: 1\n", "do", "save"), "303 403 403 . . 403 403 403 403 ."},
		{"/briefs/open", "/briefs/open", v("x", ""), "303 403 403 . . . . 403 403 ."},
		{"/briefs/:id/:version/try", on + "/try", v("x", ""), byBriefSeers},
		{"/briefs/:id/:version/look", on + "/look", v("line", "heat"), byBriefSeers},
		{"/briefs/:id/:version/ask", on + "/ask", v("digest", digest), "303 403 403 . . 403 403 403 403 404"},
		{"/briefs/:id/:version/send-back", on + "/send-back", v("digest", digest, "words", "No."), "303 403 403 . . . 403 403 403 404"},
		{"/briefs/:id/:version/publish", on + "/publish", v("digest", digest), "303 403 403 . . . 403 403 403 404"},
		{"/briefs/:id/:version/discard", on + "/discard", v("digest", digest), "303 403 403 . . 403 403 403 403 404"},
		{"/briefs/:id/corrections", fmt.Sprintf("/briefs/%s/corrections", briefs[0].Brief), v("from", "1", "to", "2", "words", "It was too narrow."), byCorrectors},
		{"/corrections/:id/stop", correction + "/stop", v("x", ""), byCorrectors},
		{"/corrections/:id/go-on", correction + "/go-on", v("x", ""), byCorrectors},
		{"/corrections/:id/take", correction + "/take", v("x", ""), "303 403 403 . 403 . . 403 403 404"},
		{"/corrections/:id/drop", correction + "/drop", v("x", ""), byCorrectors},
		{"/rules", "/rules", v("source", "rule-set: 1\n", "do", "save"), "303 403 403 . . . . 403 403 ."},
		{"/rules/:id/check", rule + "/check", v("digest", brief.Digest([]byte(bay7))), byRuleWriters},
		{"/people", "/people", v("name", "Nell", "sign_in_name", "nell", "roles", "tutor"), byManagers},
		{"/people/:id/invite", "/people/" + person + "/invite", v("x", ""), byManagers},
		{"/people/:id/sign-in", "/people/" + person + "/sign-in", v("allowed", "no"), onAPerson},
		{"/cohorts/:id/invitations", cohort + "/invitations", v("x", ""), onItsCohort},
		{"/units", "/units", v("code", "H9", "title", "x", "edition", "1", "outcomes", "1 x\n1.1 y"), "303 403 403 403 403 . . 403 403 403"},
		{"/people/list", "/people/list", v("list", "Name,Sign-in name\nJo,jo\n"), byManagers},
		{"/people/list/take", "/people/list/take", v("list", "Name,Sign-in name\nJo,jo\n", "digest", "x"), byManagers},
		{"/people/:id/registrations", "/people/" + person + "/registrations", v("kind", "gas", "number", "1", "from", "2026-01-01"), onAPerson},
		{"/people/:id/registrations/end", "/people/" + person + "/registrations/end", v("kind", "gas", "number", "1", "on", "2026-01-01"), onAPerson},
		{"/people/:id/award-registrations", "/people/" + s.people["trainee"].Person.String() + "/award-registrations", v("number", "1", "registered_on", "2026-01-01"), onAPerson},
		{"/people/:id/award-registrations/end", "/people/" + person + "/award-registrations/end", v("registration", uuid.NewString(), "do", "mistake"), onAPerson},
		{"/people/:id/withdraw", "/people/" + s.people["trainee"].Person.String() + "/withdraw", v("cohort", s.cohort.String(), "left_on", "2026-01-01", "words", "A job."), onAPerson},
		{"/people/:id/withdraw/back", "/people/" + s.people["trainee"].Person.String() + "/withdraw/back", v("withdrawal", uuid.NewString(), "words", "No."), onAPerson},
		{"/conflicts", "/conflicts", v("other", s.people["trainee"].Person.String(), "words", "My nephew."), "303 403 403 . . . . 403 403 404"},
		{"/conflicts/:id/end", "/conflicts/" + uuid.NewString() + "/end", v("words", "Over."), byManagers},
		{"/sampling", "/sampling", v("name", "Spring", "stage", "final", "share", "20", "words", "New tutors."), byAssurers},
		{"/sampling/:id/draw", "/sampling/" + plan + "/draw", v("number", "1"), byAssurers},
		{"/sampling/:id/end", "/sampling/" + plan + "/end", v("x", ""), byAssurers},
		{"/samples/:id/attempts/:attempt", "/samples/" + drawn + s.attempt, v("revision", "1", "outcome", "agree"), byAssurers},
		{"/samples/:id/clear", "/samples/" + drawn + "/clear", v("x", ""), byAssurers},
		{"/samples/:id/end", "/samples/" + drawn + "/end", v("x", ""), byAssurers},
		{"/actions/:id/close", "/actions/" + uuid.NewString() + "/close", v("words", "Seen."), byArrangers},
		{"/claims", "/claims", v("unit", "H2", "cohort", s.cohort.String(), "trainees", s.people["trainee"].Person.String()), byManagers},
		{"/visits", "/visits", v("name", "Vera Outside", "unit", "H2", "words", "Spring.", "ends_on", "2099-01-01"), byArrangers},
		{"/visits/:id/link", "/visits/" + uuid.NewString() + "/link", v("x", ""), byArrangers},
		{"/visits/:id/end", "/visits/" + uuid.NewString() + "/end", v("x", ""), byArrangers},
		{"/visits/:id/portfolios", "/visits/" + uuid.NewString() + "/portfolios", v("x", ""), byArrangers},
		{"/log/compare", "/log/compare", v("checkpoint", "x"), byArrangers},
		{"/keeping/rules", "/keeping/rules", v("kind", "work", "months", "24", "words", "A letter."), byManagers},
		{"/keeping/holds", "/keeping/holds", v("person", s.people["trainee"].Person.String(), "words", "A claim."), byManagers},
		{"/keeping/holds/:id/lift", "/keeping/holds/" + uuid.NewString() + "/lift", v("words", "Settled."), byManagers},
		{"/keeping/propose", "/keeping/propose", v("x", ""), byArrangers},
		{"/keeping/:id/approve", "/keeping/" + uuid.NewString() + "/approve", v("x", ""), byArrangers},
		{"/keeping/:id/drop", "/keeping/" + uuid.NewString() + "/drop", v("x", ""), byArrangers},
		{"/keeping/export", "/keeping/export", v("person", s.people["second"].Person.String()), byManagers},
		{"/visit/draw", "/visit/draw", v("size", "1"), onAVisit},
		{"/visit/choose", "/visit/choose", v("attempts", uuid.NewString()), onAVisit},
		{"/visit/notes", "/visit/notes", v("finding", "remark", "words", "Fine."), onAVisit},
		{"/visit/actions", "/visit/actions", v("words", "Do it.", "owner", person, "due", "2099-01-01"), onAVisit},
		{"/centre/photos", "/centre/photos", v("photos", "uploaded"), byManagers},
		{"/portfolio-sets", "/portfolio-sets", v("cohort", s.cohort.String(), "unit", "H2"), onItsCohortToBuild},
		{"/portfolio-sets/:id/stop", "/portfolio-sets/" + uuid.NewString() + "/stop", nil, "303 404 404 404 404 404 404 404 404 404"},
		{"/portfolios", "/portfolios", v("trainee", s.people["trainee"].Person.String(), "unit", "H2"), "303 403 403 . 403 . . 403 403 403"},

		{"/briefs/:id/:version/comments", on + "/comments", v("words", "Which?"), "303 403 403 . . . 403 403 403 404"},
		{"/briefs/:id/:version/answers", on + "/answers", v("comment", uuid.NewString(), "words", "So."), "303 403 403 . 403 403 403 403 403 404"},
		{"/attempts/:id/set-aside", s.attempt + "/set-aside", v("revision", "1", "words", "Before registration."), "303 403 404 403 404 . . 404 404 404"},
		{"/prior-learning", "/prior-learning", v("trainee", s.people["trainee"].Person.String(), "unit", "H2", "criteria", "H2/1.1", "words", "So."), "303 . 403 . 403 403 403 403 403 403"},
		{"/prior-learning/:id/files", "/prior-learning/" + prior + "/files", nil, "303 . 404 . 404 403 403 404 404 404"},
		{"/prior-learning/:id/decide", "/prior-learning/" + prior + "/decide", v("criterion", "H2/1.1", "outcome", "not_yet_met", "words", "So."), "303 403 404 . 404 403 403 404 404 404"},
		{"/prior-learning/:id/look", "/prior-learning/" + prior + "/look", v("criteria", "H2/1.1", "outcome", "agree"), "303 403 404 403 404 . 403 404 404 404"},
		{"/inquiries", "/inquiries", v("who", "peer", "words", "Alike."), "303 403 403 403 403 . . 403 403 403"},
		{"/inquiries/:id/notes", inquiry + "/notes", v("words", "Seen."), "303 403 403 404 404 404 . 403 403 404"},
		{"/inquiries/:id/people", inquiry + "/people", v("person", person), "303 403 403 404 404 404 . 403 403 404"},
		{"/inquiries/:id/suspend", inquiry + "/suspend", v("attempt", s.id.String()), "303 403 403 404 404 404 . 403 403 404"},
		{"/inquiries/:id/lift", inquiry + "/lift", v("attempt", s.id.String()), "303 403 403 404 404 404 . 403 403 404"},
		{"/inquiries/:id/close", inquiry + "/close", v("outcome", "nothing_found", "words", "Nothing."), "303 403 403 404 404 404 . 403 403 404"},
		{"/standardisations", "/standardisations", v("brief", briefs[0].Brief.String()+" 1", "title", "Measuring"), "303 403 403 403 403 . 403 403 403 403"},
		{"/standardisations/:id/close", "/standardisations/" + standard + "/close", v("x", ""), "303 403 403 404 404 . 403 403 403 404"},
		{"/standardisations/:id/actions", "/standardisations/" + standard + "/actions", v("action", "Talk about it.", "owner", person, "due", "2099-01-01"), "303 403 403 404 404 . 403 403 403 404"},
		{"/rulings/:id/actions", "/rulings/" + ruling + "/actions", v("action", "Talk about it.", "owner", person, "due", "2099-01-01"), "303 403 403 403 403 . 403 403 403 404"},
		{"/standardisations/:id/attempts/:attempt", "/standardisations/" + standard + s.attempt, v("criterion", "H2/1.1"), "303 403 403 404 404 404 403 403 403 404"}, // the manager sits on it, and judges nothing
		{"/rulings", "/rulings", v("criterion", "H2/1.1", "words", "So.", "doubts", "met", "effective_on", "2099-01-01"), "303 403 403 403 403 . 403 403 403 403"},
		{"/rulings/:id/looks", "/rulings/" + ruling + "/looks", v("record", uuid.NewString(), "outcome", "stands"), "303 403 403 403 403 . 403 403 403 404"},
	}
}
