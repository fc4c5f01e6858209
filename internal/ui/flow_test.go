package ui

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/marking"
)

func TestEveryRouteIsThere(t *testing.T) {
	s := newSite(t)
	there := map[string]bool{}
	for _, r := range s.handler.Routes() {
		there[r.Method+" "+r.Path] = true
	}
	seen := map[string]bool{}
	for _, r := range routes() {
		key := r.Method + " " + r.Path
		if !there[key] || seen[key] {
			t.Errorf("%s: registered %t, listed before %t", key, there[key], seen[key])
		}
		seen[key] = true
		if !strings.HasSuffix(r.About, ".") || strings.Count(r.About, ".") != 1 {
			t.Errorf("%s: %q is not one sentence", key, r.About)
		}
	}
	if len(seen) < 40 {
		t.Errorf("got %d routes, want them all: %q", len(seen), sortedKeys(seen))
	}
}

func TestSignedOutPeopleAreAskedToSignIn(t *testing.T) {
	s := newSite(t)
	nobody := &visitor{site: s}
	for _, r := range routes() {
		if r.Open {
			continue
		}
		path := strings.NewReplacer(":id", s.id.String(), ":version", "1").Replace(r.Path)
		want := "/sign-in?next=%2F"
		if r.Method == http.MethodGet {
			want = "/sign-in?next=" + url.QueryEscape(path)
		}
		nobody.send(t, r.Method, path, "application/x-www-form-urlencoded", nil).sent(t, want)
	}
	nobody.get(t, "/sign-in?next=/bench").want(t, 200, `name="next" value="/bench"`)
	nobody.get(t, "/no-such-page").want(t, 404, "There is no such page.", `href="/"`)
}

func TestFormsComeBackAsTheyWereTyped(t *testing.T) {
	s := newSite(t)
	manager, tutor, trainee := s.in(t, "manager"), s.in(t, "tutor"), s.in(t, "trainee")
	cohort := "/cohorts/" + s.cohort.String()
	cases := []struct {
		name, path string
		who        *visitor
		form       url.Values
		status     int
		texts      []string
	}{
		{"nobody's name", "/sign-in", &visitor{site: s}, url.Values{"name": {"mayä<b>"}, "password": {"wrong"}}, 422, []string{`value="mayä&lt;b&gt;"`, `aria-invalid="true"`, `role="alert"`}},
		{"sign-in left empty", "/sign-in", &visitor{site: s}, url.Values{}, 422, []string{"Type your sign-in name.", "Type your password.", "2 things need mending."}},
		{"person", "/people", manager, url.Values{"name": {"Nell <i>Marsh</i>"}, "sign_in_name": {"Nell Marsh!"}, "roles": {"tutor"}}, 422, []string{`value="Nell &lt;i&gt;Marsh&lt;/i&gt;"`, `value="Nell Marsh!"`, `aria-describedby="person-sign_in_name-hint person-sign_in_name-mend"`, `value="tutor" checked`}},
		{"person without a role", "/people", manager, url.Values{"name": {"Nell"}, "sign_in_name": {"nell"}}, 422, []string{"Choose at least one role."}},
		{"cohort", "/cohorts", manager, url.Values{"name": {" "}}, 422, []string{"Give the cohort a name", `aria-invalid="true"`}},
		{"member of the wrong kind", cohort + "/members", manager, url.Values{"person": {s.people["trainee"].Person.String()}, "part": {"tutor"}}, 422, []string{"is not a tutor"}},
		{"no brief chosen", cohort + "/tasks", tutor, url.Values{"due_on": {"2026-02-31"}}, 422, []string{"Choose a brief.", "year-month-day", `value="2026-02-31"`}},
		{"brief that cannot be read", "/briefs", tutor, url.Values{"source": {"brief: 1\r\ntitel: <u>x</u>"}, "do": {"save"}}, 422, []string{"titel: &lt;u&gt;x&lt;/u&gt;", "Line 2, column 1"}},
		{"start without ticking", s.attempt + "/open", trainee, url.Values{"plan": {"yes"}}, 422, []string{"tick both", `name="plan" value="yes" id="open-agreed" checked`}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) { c.who.post(t, c.path, c.form).want(t, c.status, c.texts...) })
	}
}

func TestATraineeWorksWithoutAScript(t *testing.T) {
	s := newSite(t)
	trainee := s.in(t, "trainee")
	trainee.get(t, s.attempt).want(t, 200, "Before you start", "design heat load", "Pipes above 60")
	trainee.post(t, s.attempt+"/open", url.Values{"plan": {"yes"}, "risk": {"yes"}}).sent(t, s.attempt)
	page := trainee.get(t, s.attempt).want(t, 200, "You have started.", "Hold point before stage 2", "Stop here.", "The hold point of stage 2 stands: this work waits for its release as well.")
	form := stageForm(page.body, "stage-3-form")
	form.Set("stage", "3")
	form.Set("text:tf@as-left", "69.8")
	form.Set("text:qv#1", "12,4")
	for range 2 { // sent twice, kept once
		trainee.post(t, s.attempt+"/entries", form).sent(t, s.attempt+"#stage-3")
	}
	sheet, err := s.Sheet(t.Context(), s.people["trainee"], s.id)
	must(t, err)
	if l := line(t, sheet, "tf@as-left"); l.Entry == nil || l.Entry.Text != "69.8" || len(l.Earlier) != 0 {
		t.Errorf("got %+v with %d before it, want 69.8 once", l.Entry, len(l.Earlier))
	}
	if l := line(t, sheet, "tr@as-left"); l.Entry != nil || len(l.Earlier) != 0 {
		t.Errorf("a line that was not touched was kept as %+v", l.Entry)
	}
	trainee.get(t, s.attempt).want(t, 200, `value="12,4"`, "Kept.")
	trainee.post(t, s.attempt+"/hand-over", url.Values{"own_work": {"yes"}}).want(t, 422, "things need mending", "still empty", `name="own_work" value="yes" checked`)
}

func TestPhotosAreKeptAndShown(t *testing.T) {
	s := newSite(t)
	trainee := s.in(t, "trainee")
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	for range 2 { // the same form twice keeps both its files once
		kind, body := photo(t, "before", "rig \"7\".jpg")
		trainee.send(t, "POST", s.attempt+"/files", kind, body).sent(t, s.attempt+"#item-before")
	}
	sheet, err := s.Sheet(t.Context(), s.people["trainee"], s.id)
	must(t, err)
	files := sheet.Stages[0].Items[0].Files
	if len(files) != 2 || files[0].Caption != "The rig" || files[0].DeviceAt.IsZero() {
		t.Fatalf("got %+v, want two photos with their caption and clock", files)
	}
	at := "/evidence/" + files[0].ID.String()
	a := trainee.get(t, at).want(t, 200)
	for name, want := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Cache-Control": "private, no-cache", "Etag": `"` + files[0].Digest + `"`} {
		if got := a.header.Get(name); got != want {
			t.Errorf("%s: got %q, want %q", name, got, want)
		}
	}
	if got := a.header.Get("Content-Security-Policy"); !strings.HasPrefix(got, "sandbox") {
		t.Errorf("the policy of evidence is %q", got)
	}
	trainee.get(t, at+"/preview").want(t, 200)
	s.in(t, "second").get(t, at).want(t, 200)
	s.in(t, "manager").get(t, at).want(t, 200)
	kind, body := photo(t, "no-such-item", "x.jpg")
	trainee.send(t, "POST", s.attempt+"/files", kind, body).want(t, 422, "The brief asks for no file there.")
}

func TestAScriptGetsShortAnswers(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	v := s.in(t, "trainee")
	v.asJSON = true
	id := uuid.NewString()
	v.post(t, s.attempt+"/entries", url.Values{"id:dt": {id}, "text:dt": {"18.5"}, "at:dt": {"1777800000000"}}).want(t, 200, `"was":{"dt":"`+digestLine("18.5", "", "")+`"}`)
	v.post(t, s.attempt+"/entries", url.Values{"id:dt": {"x"}, "text:dt": {"18.6"}}).want(t, 422, "too old")
	v.post(t, s.attempt+"/entries", url.Values{"id:nothing": {uuid.NewString()}, "text:nothing": {"1"}}).want(t, 422, `"title":"The brief has no item`)
	v.cookie = nil
	v.post(t, s.attempt+"/entries", url.Values{}).want(t, 401, "signed out")
}

// A technician, who sees no attempt, stops one from the list of who is at work.
func TestATechnicianStopsWorkFromTheList(t *testing.T) {
	s := newSite(t)
	in := s.everybody(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	tech := in["technician"]
	tech.get(t, "/centre").want(t, 200, `href="/stop"`)
	tech.get(t, "/stop?find=nobody").want(t, 200, "Nobody of that name is at work now.")
	tech.get(t, "/stop").want(t, 200, s.people["trainee"].Name, `action="`+s.attempt+`/stop"`)
	tech.get(t, s.attempt).want(t, 404)
	tech.post(t, s.attempt+"/stop", url.Values{"from": {"list"}}).sent(t, "/stop")
	tech.get(t, "/stop").want(t, 200, "Stopped")
	tech.post(t, s.attempt+"/stop", url.Values{"from": {"list"}}).want(t, 409, "This work is stopped already.")
	in["peer"].get(t, "/stop").want(t, 200, "Nobody is at work now.")
	in["trainee"].get(t, s.attempt).want(t, 200, "Stopped for safety")
}

func TestAStopForSafetyHoldsUntilATutorClearsIt(t *testing.T) {
	s := newSite(t)
	must(t, s.OpenAttempt(t.Context(), s.people["trainee"], s.id, true, true))
	trainee, tutor := s.in(t, "trainee"), s.in(t, "tutor")
	trainee.post(t, s.attempt+"/stop", url.Values{"words": {"Water near the <spur>."}}).sent(t, s.attempt)
	trainee.get(t, s.attempt).want(t, 200, "Stopped for safety", "Water near the &lt;spur&gt;.")
	trainee.post(t, s.attempt+"/clear-stop", url.Values{"words": {"Mopped."}}).want(t, 403)
	tutor.post(t, s.attempt+"/clear-stop", url.Values{}).want(t, 422, "Say what was put right")
	tutor.post(t, s.attempt+"/clear-stop", url.Values{"words": {"Dried and tested."}}).sent(t, s.attempt)
	trainee.get(t, s.attempt).want(t, 200, "Keep what is in stage 1")
}

// TestAStaleDecisionKeepsWhatWasTyped has two tutors judge the same criterion from the same page.
func TestAStaleDecisionKeepsWhatWasTyped(t *testing.T) {
	s := newSite(t)
	s.handIn(t)
	first, second := s.in(t, "tutor"), s.in(t, "second")
	first.get(t, s.attempt).want(t, 200, "H2/1.1", "Stamp it", "Judge this line yourself", "not right yet")
	sheet, err := s.Sheet(t.Context(), s.people["tutor"], s.id)
	must(t, err)
	form := url.Values{"revision": {itoa(sheet.Revision)}, "criterion": {"H2/1.1"}, "outcome": {"not_yet_met"}, "reason": {"sufficient"}, "words": {"Show the pump's plate."}, "evidence": {"before"}}
	first.post(t, s.attempt+"/decide", form).sent(t, s.attempt+"#criterion-H2-1-1")
	form.Set("words", "I would <b>ask</b> for the valve.")
	second.post(t, s.attempt+"/decide", form).want(t, 409, "Show the pump&#39;s plate.", "Person tutor", "I would &lt;b&gt;ask&lt;/b&gt; for the valve.", `value="not_yet_met" checked`)
	first.post(t, s.attempt+"/release", url.Values{"stage": {"wire"}}).want(t, 409, `role="alert"`, "there is nothing to release")
	first.post(t, s.attempt+"/sign-off", url.Values{"revision": {"0"}, "password": {password}}).want(t, 409)
	first.post(t, s.attempt+"/override", url.Values{"line": {"heat"}, "revision": {"0"}}).want(t, 422, "Say whether you accept it or not.", "Say why")
}

func TestManagersAndTutorsSeeTheirPages(t *testing.T) {
	s := newSite(t)
	s.handIn(t)
	cohort := "/cohorts/" + s.cohort.String()
	manager, tutor := s.in(t, "manager"), s.in(t, "tutor")
	manager.get(t, "/").sent(t, "/people")
	for path, text := range map[string]string{"/people": "Person trainee", "/cohorts": "Heating, Tuesday evenings", cohort: "Person trainee", cohort + "/members": "Take out", "/portfolios": "Unit H2", "/briefs": "Prove the heat output", s.attempt: "Person trainee"} {
		manager.get(t, path).want(t, 200, text)
	}
	for path, text := range map[string]string{"/bench": "1 attempt waits", cohort: "Set a brief", "/briefs/new": "my-first-brief"} {
		tutor.get(t, path).want(t, 200, text)
	}
	briefs, err := s.Briefs(t.Context(), s.people["tutor"])
	must(t, err)
	at := "/briefs/" + briefs[0].Brief.String() + "/1"
	tutor.get(t, at).want(t, 200, "never changes", "tf − tr")
	tutor.get(t, at+"/edit").want(t, 200, "bay-7-heat-output")
	tutor.get(t, at+"/blank").want(t, 200, "Released by")
	tutor.get(t, at+"/try").want(t, 200, "Nothing is kept", "Mark what is there")
	tutor.get(t, at+"/try?model=1").want(t, 200, "are right.")
	tutor.get(t, at+"/try?draw=x").want(t, 404, "no such values")
	s.in(t, "trainee").get(t, at+"/try").want(t, 403)
	manager.post(t, "/portfolios", url.Values{"trainee": {s.people["trainee"].Person.String()}, "unit": {"H2"}}).sent(t, "/portfolios")
	manager.get(t, "/portfolios").want(t, 200, "Waiting for its turn", `data-again="5"`)
	manager.post(t, "/people", url.Values{"name": {"Nell Marsh"}, "sign_in_name": {"nell"}, "roles": {"tutor"}}).want(t, 200, "/invitation/", "Nell Marsh")
	s.in(t, "trainee").get(t, "/people").want(t, 403)
	s.in(t, "trainee").get(t, cohort).want(t, 403)
}

// A tutor is offered the trainees of their own cohorts, a manager everybody's.
func TestPortfoliosAreOfferedForWhomTheyMayBeAsked(t *testing.T) {
	s := newSite(t)
	ctx, manager := t.Context(), s.people["manager"]
	_, _, err := s.AddPerson(ctx, manager, app.NewPerson{Name: "Ines Marlow", SignInName: "ines", Roles: []account.Role{account.Trainee}})
	must(t, err)
	must(t, s.RemoveMember(ctx, manager, s.cohort, s.people["second"].Person, "tutor"))
	for _, c := range []struct {
		who        string
		own, other bool // offered the cohort's trainee, and the one of no cohort
	}{{"manager", true, true}, {"tutor", true, false}, {"second", false, false}} {
		page := s.in(t, c.who).get(t, "/portfolios").want(t, 200).body
		if got := strings.Contains(page, ">Person trainee</option>"); got != c.own {
			t.Errorf("%s is offered the cohort's trainee: %t, want %t", c.who, got, c.own)
		}
		if got := strings.Contains(page, ">Ines Marlow</option>"); got != c.other {
			t.Errorf("%s is offered the trainee of no cohort: %t, want %t", c.who, got, c.other)
		}
	}
}

// handIn has the trainee hand over with every line filled in, mostly wrong, and the marker look at it.
func (s *site) handIn(t *testing.T) {
	t.Helper()
	ctx, trainee := t.Context(), s.people["trainee"]
	must(t, s.OpenAttempt(ctx, trainee, s.id, true, true))
	sheet, err := s.Sheet(ctx, trainee, s.id)
	must(t, err)
	var entries []app.NewEntry
	for _, st := range sheet.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				text := "12.4"
				if len(l.Options) > 0 {
					text = l.Options[0]
				}
				entries = append(entries, app.NewEntry{ID: uuid.New(), Entry: marking.Entry{Item: it.Key, Part: l.Part, Phase: l.Phase, Text: text}})
			}
		}
	}
	kind, body := photo(t, "before", "rig.jpg")
	s.in(t, "trainee").send(t, "POST", s.attempt+"/files", kind, body).sent(t, s.attempt+"#item-before")
	must(t, s.HandOver(ctx, trainee, s.id, entries, true))
	must(t, s.MarkAttempt(ctx, s.centre, s.id))
}

func line(t *testing.T, sheet app.Sheet, name string) app.SheetLine {
	t.Helper()
	for _, st := range sheet.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if decision.Line(l.Item, l.Part, string(l.Phase)) == name {
					return l
				}
			}
		}
	}
	t.Fatalf("the sheet has no line %s", name)
	return app.SheetLine{}
}
