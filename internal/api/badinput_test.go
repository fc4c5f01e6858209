package api_test

import (
	"net/http"
	"strings"
	"sync"
	"testing"

	"github.com/google/uuid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// Bad input, and where it is tried. Each gets an answer that says what to do, and nothing is lost.
//
//	malformed YAML            TestBadBriefs here; the page: ui TestFormsComeBackAsTheyWereTyped; the file: brief TestRefusals
//	unknown members           of YAML: TestBadBriefs; of JSON: TestHostileBodies, TestEveryMemberOfEveryBody
//	wrong units               of a brief: TestBadBriefs; of a reading: TestAWrongUnitIsKeptAndFound
//	a 10 MB formula           TestAFormulaOfTenMegabytes; the page: ui TestATooLongFormula; as long as is taken: the same
//	a JPEG cut in half        TestFiles; app TestBadFilesAreRefusedAndNothingIsKept; the page: ui TestAHalfPictureOnThePage
//	a photo of 0 bytes        the same
//	a form sent twice         TestSentTwice, TestSentTwiceAtOnce; the page: ui TestATraineeWorksWithoutAScript, TestPhotosAreKeptAndShown
//	  with something else     app TestWhatIsSentAgainChangedIsNotAcknowledged; the page: ui TestTheWayBackLosesNothing
//	two tutors at once        TestTwoTutorsAtOnce, TestSignedOffOnce; app TestTwoTutorsDecideAtOnce
//	a stale page              TestTwoTutorsAtOnce, TestStaleDrafts; the page: ui TestAStaleDecisionKeepsWhatWasTyped
//	a full disk               faults TestAFullEvidenceDisk

// source is the sample brief as a file, with one text put in another's place.
func source(t *testing.T, old, new string) string {
	t.Helper()
	text, err := brief.Print(sample.Brief())
	must(t, err)
	if !strings.Contains(string(text), old) {
		t.Fatalf("the sample brief has no %q", old)
	}
	return strings.Replace(string(text), old, new, 1)
}

// checked is what the checker says of a brief's text.
type checked struct {
	Readable, Ready bool
	Problems        []struct {
		Line, Column       int
		Path, Detail, Hint string
		Warning            bool
	}
}

func TestBadBriefs(t *testing.T) {
	s := newSite(t)
	tutor := s.people["teaches"]
	before := tutor.json(t, "GET", "/api/briefs", nil).Body.String()
	for _, c := range []struct {
		name, source string
		readable     bool
		say          string // in the first problem that is no warning
	}{
		{"a quote left open", source(t, `title: `, `title: "`), false, ""},
		{"a tab for an indent", source(t, "\n  - ", "\n\t- "), false, ""},
		{"an alias of itself", "brief: 1\nkey: &a [*a]\n", false, ""},
		{"not YAML at all", "%PDF-1.7 \x01", false, ""},
		{"empty but for a comment", "# later\n", false, ""},
		{"a member misspelt", source(t, "about: ", "abuot: "), false, "abuot"},
		{"a list for a text", source(t, "key: bay-7-heat-output", "key: [bay-7]"), false, ""},
		{"a unit that is none", source(t, "unit: L/min", "unit: L/mim"), true, "mim"},
		{"a unit of another kind", source(t, "formula: tf − tr", "formula: qv"), true, "K"},
	} {
		t.Run(c.name, func(t *testing.T) {
			var got checked
			tutor.json(t, "POST", "/api/briefs/check", body{"source": c.source}).into(t, &got)
			if got.Readable != c.readable || got.Ready {
				t.Errorf("readable %t and ready %t, want %t and not ready", got.Readable, got.Ready, c.readable)
			}
			if len(got.Problems) == 0 || got.Problems[0].Line == 0 || got.Problems[0].Detail == "" || !strings.Contains(got.Problems[0].Detail, c.say) {
				t.Errorf("got %+v, want a problem with its line and %q", got.Problems, c.say)
			}
			if c.readable {
				return // a draft may be kept with its problems
			}
			a := tutor.json(t, "POST", "/api/briefs", body{"source": c.source, "over": s.digest})
			a.want(t, http.StatusUnprocessableEntity)
			a.problem(t)
		})
	}
	if after := tutor.json(t, "GET", "/api/briefs", nil).Body.String(); after != before {
		t.Errorf("the briefs are now\n%s\nwant what they were\n%s", after, before)
	}
}

// TestAFormulaOfTenMegabytes sends formulas that are more than a request may bring, more than a brief may hold, and within
// both; the last are refused at their place without being worked on for long, however they are built.
func TestAFormulaOfTenMegabytes(t *testing.T) {
	s := newSite(t)
	tutor := s.people["teaches"]
	for _, grow := range []func(n int) string{
		func(n int) string { return strings.Repeat("1+", n/2) + "1" },
		func(n int) string { return strings.Repeat("(", n/2) + "1" + strings.Repeat(")", n/2) },
		func(n int) string { return strings.Repeat("-", n) + "1" },
		func(n int) string { return strings.Repeat("9", n) },
		func(n int) string { return strings.Repeat("1^", n/2) + "1" },
	} {
		with := func(n int) string { return source(t, "formula: tf − tr", "formula: '"+grow(n)+"'") }
		a := tutor.json(t, "POST", "/api/briefs/check", body{"source": with(10 << 20)})
		a.want(t, http.StatusRequestEntityTooLarge)
		a.hasPlace(t, "1 MiB")
		for _, c := range []struct {
			n   int
			say string
		}{{800_000, "a brief has 262144 bytes at most"}, {200_000, ""}} {
			var got checked
			tutor.json(t, "POST", "/api/briefs/check", body{"source": with(c.n)}).into(t, &got)
			if got.Ready || len(got.Problems) == 0 || !strings.Contains(got.Problems[0].Detail, c.say) || c.say == "" && got.Problems[0].Line == 0 {
				t.Errorf("a formula of %d characters (%s…): ready %t, %.300v, want a problem at its line or %q", c.n, grow(6), got.Ready, got.Problems, c.say)
			}
			for _, p := range got.Problems {
				if len(p.Detail) > 1000 {
					t.Errorf("a formula of %d characters (%s…) is answered with %d", c.n, grow(6), len(p.Detail))
				}
			}
		}
	}
}

// TestAWrongUnitIsKeptAndFound has a trainee state a temperature in bar: what was typed is kept as it stands, and the
// marker says what is wrong with it.
func TestAWrongUnitIsKeptAndFound(t *testing.T) {
	s := newSite(t)
	s.set(t)
	s.open(t)
	s.work(t)
	line := body{"id": newID(t), "item": "heat", "text": "15.8", "unit": "bar", "working": "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 15.8"}
	s.people["own"].json(t, "POST", s.at("/entries"), body{"entries": []body{line}}).want(t, http.StatusNoContent)
	s.handIn(t)
	var sheet struct {
		Stages []struct {
			Items []struct {
				Key   string
				Lines []struct {
					Entry   struct{ Text, Unit string }
					Finding struct{ Verdict, Sentence string }
				}
			}
		}
	}
	s.people["teaches"].json(t, "GET", s.at(""), nil).into(t, &sheet)
	for _, it := range sheet.Stages[3].Items {
		if it.Key != "heat" {
			continue
		}
		if e := it.Lines[0].Entry; e.Text != "15.8" || e.Unit != "bar" {
			t.Errorf("the entry is %+v, want it as it was typed", e)
		}
		if f := it.Lines[0].Finding; f.Verdict == "correct" || !strings.Contains(f.Sentence, "bar") {
			t.Errorf("the finding is %+v, want one that names the unit", f)
		}
		return
	}
	t.Error("the sheet has no heat output")
}

// atOnce sends requests at the same time and counts their answers by status.
func atOnce(sends ...func() answer) map[int]int {
	answers := make([]answer, len(sends))
	var all sync.WaitGroup
	for i, send := range sends {
		all.Go(func() { answers[i] = send() })
	}
	all.Wait()
	got := map[int]int{}
	for _, a := range answers {
		got[a.Code]++
	}
	return got
}

// decided has every criterion of the attempt decided, the last of them as given.
func (s *site) decided(t *testing.T, last string) {
	t.Helper()
	s.set(t)
	s.open(t)
	s.work(t)
	s.handIn(t)
	for _, criterion := range []string{"H2/1.1", "H2/1.2", "H2/2.1", "H3/1.10"} {
		b := body{"revision": s.revision(t), "criterion": criterion, "outcome": "met"}
		if criterion == "H3/1.10" && last != "met" {
			b["outcome"], b["reason"], b["words"] = last, "safe", "Prove the tester again."
		}
		s.people["teaches"].json(t, "POST", s.at("/decide"), b).want(t, http.StatusNoContent)
	}
}

// records counts the attempt's records of a kind.
func (s *site) records(t *testing.T, kind string) int {
	t.Helper()
	var sheet struct{ Records []struct{ Kind string } }
	s.people["teaches"].json(t, "GET", s.at(""), nil).into(t, &sheet)
	n := 0
	for _, r := range sheet.Records {
		if r.Kind == kind {
			n++
		}
	}
	return n
}

// TestSignedOffOnce has two tutors sign off from the same page, one of them pressing twice.
func TestSignedOffOnce(t *testing.T) {
	s := newSite(t)
	s.decided(t, "met")
	b := body{"revision": s.revision(t), "password": password}
	first := func() answer { return s.people["teaches"].json(t, "POST", s.at("/sign-off"), b) }
	got := atOnce(first, first, func() answer { return s.people["second"].json(t, "POST", s.at("/sign-off"), b) })
	if got[http.StatusNoContent] != 1 || got[http.StatusConflict] != 2 {
		t.Errorf("got the answers %v, want one 204 and two 409", got)
	}
	if n := s.records(t, "sign_off"); n != 1 {
		t.Errorf("the attempt has %d sign-offs, want one", n)
	}
}

// TestSentTwiceAtOnce presses each button of a decided attempt twice.
func TestSentTwiceAtOnce(t *testing.T) {
	s := newSite(t)
	s.decided(t, "not_yet_met")
	tutor := s.people["teaches"]
	b := body{"revision": s.revision(t), "good": "Clean work.", "missing": "The valve.", "to_do": "Show it.", "by": "2026-05-11"}
	press := func() answer { return tutor.json(t, "POST", s.at("/more-to-do"), b) }
	if got := atOnce(press, press, press); got[http.StatusNoContent] != 1 || got[http.StatusConflict] != 2 {
		t.Errorf("more to do, pressed three times: %v, want one 204 and two 409", got)
	}
	var tasks struct {
		Tasks []struct {
			Attempt uuid.UUID
			Number  int
		}
	}
	s.people["own"].json(t, "GET", "/api/tasks", nil).into(t, &tasks)
	if len(tasks.Tasks) != 1 || tasks.Tasks[0].Number != 2 {
		t.Errorf("the trainee's tasks are %+v, want one, at its second attempt", tasks.Tasks)
	}
	person := func() answer {
		return s.people["manager"].json(t, "POST", "/api/people", body{"name": "Nell", "sign_in_name": "nell", "roles": []string{"tutor"}})
	}
	if got := atOnce(person, person); got[http.StatusCreated] != 1 || got[http.StatusUnprocessableEntity] != 1 {
		t.Errorf("a person added twice: %v, want one 201 and one 422", got)
	}
	member := func() answer {
		return s.people["manager"].json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/members", body{"person": s.people["second"].id, "part": "tutor"})
	}
	if got := atOnce(member, member); got[http.StatusNoContent] != 2 {
		t.Errorf("a member who is there already put in twice: %v, want two 204", got)
	}
	task := func() answer {
		return tutor.json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/tasks", body{"brief": s.brief, "version": 1})
	}
	if got := atOnce(task, task); got[http.StatusConflict] != 2 {
		t.Errorf("a brief that is set already: %v, want two 409", got)
	}
}

// TestABriefIsSetOnce presses the button that sets a brief twice, before it was ever set.
func TestABriefIsSetOnce(t *testing.T) {
	s := newSite(t)
	tutor, second := s.people["teaches"], s.people["second"]
	tutor.json(t, "POST", s.path("/api/briefs/{brief}/versions/1/ask"), body{"digest": s.digest}).want(t, http.StatusNoContent)
	publish := func() answer {
		return second.json(t, "POST", s.path("/api/briefs/{brief}/versions/1/publish"), body{"digest": s.digest})
	}
	if got := atOnce(publish, publish); got[http.StatusNoContent] < 1 || got[http.StatusNoContent]+got[http.StatusConflict] != 2 {
		t.Errorf("published twice: %v, want one 204 and another or a 409", got)
	}
	set := func() answer {
		return tutor.json(t, "POST", "/api/cohorts/"+s.cohort.String()+"/tasks", body{"brief": s.brief, "version": 1})
	}
	if got := atOnce(set, set, set); got[http.StatusCreated] != 1 || got[http.StatusConflict] != 2 {
		t.Errorf("set three times: %v, want one 201 and two 409", got)
	}
	s.findAttempt(t)
}

// TestStaleDrafts saves a draft over another than the one that was read, and publishes another than was read.
func TestStaleDrafts(t *testing.T) {
	s := newSite(t)
	tutor, second := s.people["teaches"], s.people["second"]
	other := source(t, "Prove the heat output of Bay 7", "Prove the heat of Bay 7")
	tutor.json(t, "POST", "/api/briefs", body{"source": other, "over": s.digest}).want(t, http.StatusOK)
	stale := source(t, "Prove the heat output of Bay 7", "Heat in Bay 7")
	a := second.json(t, "POST", "/api/briefs", body{"source": stale, "over": s.digest})
	a.want(t, http.StatusConflict)
	a.problem(t)
	a = second.json(t, "POST", "/api/briefs/"+s.brief.String()+"/versions/1/publish", body{"digest": s.digest})
	a.want(t, http.StatusConflict)
	a.problem(t)
	var got struct{ Source string }
	tutor.json(t, "GET", "/api/briefs/"+s.brief.String()+"/versions/1", nil).into(t, &got)
	if got.Source != other {
		t.Error("the draft is no longer what was saved last")
	}
}
