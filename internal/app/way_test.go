package app_test

import (
	"bytes"
	"errors"
	"io"
	"os/exec"
	"strings"
	"sync"
	"testing"
	"time"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

func TestTheWholeWayThrough(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	if s.State != decision.Checked {
		t.Fatalf("after the marker the attempt is %q, want %q", s.State, decision.Checked)
	}
	for _, cr := range s.Criteria {
		if len(cr.Blocked) > 0 {
			t.Errorf("criterion %s is blocked: %q", cr.Ref, cr.Blocked)
		}
		s = c.decide(t, id, cr.Ref, decision.Met)
	}
	if s.State != decision.Decided {
		t.Fatalf("with every criterion decided the attempt is %q, want %q", s.State, decision.Decided)
	}
	wantKind(t, "signing with the wrong password", c.SignOff(t.Context(), c.tutor, id, s.Revision, "not it", ""), fault.KindInvalid)
	must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, "Clean work."))
	s, err := c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	if s.State != decision.SignedOff || s.Remark == nil || s.Remark.Words != "Clean work." {
		t.Errorf("after signing off: state %q, remark %+v", s.State, s.Remark)
	}
	c.portfolio(t)
}

// decide judges one criterion on a fresh page.
func (c *centre) decide(t *testing.T, id [16]byte, ref string, o decision.Outcome) app.Sheet {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	j := decision.Judgement{Criterion: ref, Outcome: o}
	if o == decision.NotYetMet {
		j.Reason, j.Words = "sufficient", "Show the working."
	}
	must(t, c.Decide(t.Context(), c.tutor, id, s.Revision, j))
	s, err = c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	return s
}

// portfolio asks for the portfolio, does the job's work, and opens the PDF.
func (c *centre) portfolio(t *testing.T) {
	t.Helper()
	id, err := c.RequestPortfolio(t.Context(), c.manager, c.trainee.Person, "H2")
	must(t, err)
	_, err = c.OpenPortfolio(t.Context(), c.manager, id)
	wantKind(t, "opening it too early", err, fault.KindConflict)
	must(t, c.BuildPortfolio(t.Context(), c.id, id))
	must(t, c.BuildPortfolio(t.Context(), c.id, id)) // a job that is run twice
	p, err := c.OpenPortfolio(t.Context(), c.manager, id)
	must(t, err)
	defer p.Content.Close()
	head := make([]byte, 5)
	if _, err := io.ReadFull(p.Content, head); err != nil || !bytes.Equal(head, []byte("%PDF-")) {
		t.Errorf("the portfolio begins with %q (%v), want %%PDF-", head, err)
	}
	_, err = c.OpenPortfolio(t.Context(), c.other, id)
	wantKind(t, "opening it as another cohort's tutor", err, fault.KindNotFound)
}

func TestFindingsAreKeptFromTheTraineeUntilTheDecisionIsOut(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	s = c.decide(t, id, s.Criteria[0].Ref, decision.Met)
	own, err := c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	tutors, trainees := findings(s), findings(own)
	if tutors == 0 || trainees != 0 {
		t.Errorf("while it is judged the tutor reads %d findings and the trainee %d, want some and none", tutors, trainees)
	}
	if n := explanations(own); explanations(s) == 0 || n != 0 {
		t.Errorf("while it is judged the tutor reads %d explanations and the trainee %d, want some and none", explanations(s), n)
	}
	if own.Criteria[0].Decision != nil || len(own.Records) >= len(s.Records) {
		t.Errorf("the trainee reads the decision %+v before the attempt is closed", own.Criteria[0].Decision)
	}
	for _, cr := range s.Criteria[1:] {
		s = c.decide(t, id, cr.Ref, decision.Met)
	}
	must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""))
	own, err = c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	if n := findings(own); n != tutors {
		t.Errorf("after the sign-off the trainee reads %d findings, want %d", n, tutors)
	}
	if n := explanations(own); n != explanations(s) {
		t.Errorf("after the sign-off the trainee reads %d explanations, want %d", n, explanations(s))
	}
}

// A trainee may read their portfolio, which for what is still being judged says what was handed over and nothing of what
// the marker found or the tutor decided so far.
func TestPortfolioKeepsWhatIsBeingJudged(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, cr := range s.Criteria {
		s = c.decide(t, id, cr.Ref, decision.Met)
	}
	for _, judged := range []bool{false, true} {
		if judged {
			must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""))
		}
		text := c.portfolioText(t)
		if strings.Contains(text, marking.Engine) != judged {
			t.Errorf("signed off %v: the portfolio names the marker %v", judged, !judged)
		}
		if strings.Contains(text, "Not decided") == judged {
			t.Errorf("signed off %v: a criterion not decided %v", judged, judged)
		}
		if !strings.Contains(text, app.OwnWork[:40]) {
			t.Error("the portfolio does not say what the trainee declared")
		}
	}
}

// portfolioText is what the trainee reads in a new portfolio of theirs, its lines joined.
func (c *centre) portfolioText(t *testing.T) string {
	t.Helper()
	id, err := c.RequestPortfolio(t.Context(), c.manager, c.trainee.Person, "H2")
	must(t, err)
	must(t, c.BuildPortfolio(t.Context(), c.id, id))
	p, err := c.OpenPortfolio(t.Context(), c.trainee, id)
	must(t, err)
	defer p.Content.Close()
	cmd := exec.CommandContext(t.Context(), "pdftotext", "-", "-")
	cmd.Stdin = p.Content
	text, err := cmd.Output()
	must(t, err)
	return strings.Join(strings.Fields(string(text)), " ")
}

// explanations counts the figures of a sheet that are worked out.
func explanations(s app.Sheet) int {
	n := 0
	for _, st := range s.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Explained != nil {
					n++
				}
			}
		}
	}
	return n
}

// findings counts the lines of a sheet that have one.
func findings(s app.Sheet) int {
	n := 0
	for _, st := range s.Stages {
		for _, it := range st.Items {
			for _, l := range it.Lines {
				if l.Finding != nil {
					n++
				}
			}
		}
	}
	return n
}

func TestMoreToDoCarriesOverWhatIsMet(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for i, cr := range s.Criteria {
		o := decision.Met
		if i == len(s.Criteria)-1 {
			o = decision.NotYetMet
		}
		s = c.decide(t, id, cr.Ref, o)
	}
	wantKind(t, "signing off what is not met", c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	must(t, c.AskForMore(t.Context(), c.tutor, id, s.Revision, more, morning.AddDate(0, 0, 14)))
	tasks, err := c.MyTasks(t.Context(), c.trainee)
	must(t, err)
	next, err := c.Sheet(t.Context(), c.trainee, tasks[0].Attempt)
	must(t, err)
	if next.Number != 2 || next.State != decision.Planned {
		t.Fatalf("the next attempt is number %d, %q; want 2, planned", next.Number, next.State)
	}
	open := 0
	for _, cr := range next.Criteria {
		if cr.Decision == nil {
			open++
		} else if !cr.Decision.Carried() {
			t.Errorf("criterion %s stands in the new attempt without being carried over", cr.Ref)
		}
	}
	if open != 2 { // what was done again re-opens another
		t.Errorf("%d criteria are open in the new attempt, want the one that was not met and the one that it re-opens", open)
	}
	if len(next.Stages[0].Items[0].Files) != 2 {
		t.Errorf("the photos for a met criterion were not carried over: %d files", len(next.Stages[0].Items[0].Files))
	}
	if len(next.Missing) == 0 {
		t.Errorf("nothing is missing from the new attempt, want the items of the criterion that was not met")
	}
}

func TestTwoTutorsDecideAtOnce(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	errs := make([]error, 2)
	var wg sync.WaitGroup
	for i, who := range []int{0, 1} {
		caller := c.tutor
		if who == 1 {
			caller = c.second
		}
		wg.Go(func() {
			errs[i] = c.Decide(t.Context(), caller, id, s.Revision, decision.Judgement{Criterion: s.Criteria[0].Ref, Outcome: decision.Met})
		})
	}
	wg.Wait()
	won := 0
	for _, err := range errs {
		if err == nil {
			won++
		} else {
			wantKind(t, "the tutor who came second", err, fault.KindConflict)
		}
	}
	if won != 1 {
		t.Errorf("%d of 2 decisions were taken, want 1: %v", won, errors.Join(errs...))
	}
	after, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	if n := len(after.Criteria[0].Earlier); after.Criteria[0].Decision == nil || n != 0 {
		t.Errorf("after two at once the criterion has decision %+v and %d earlier ones, want one and none", after.Criteria[0].Decision, n)
	}
}

func TestHoldPointNeedsRegistrationAndProof(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	wantKind(t, "releasing one's own", c.ReleaseHold(t.Context(), c.trainee, id, "wire", ""), fault.KindForbidden)
	wantKind(t, "releasing without registration", c.ReleaseHold(t.Context(), c.second, id, "wire", ""), fault.KindForbidden)
	wantKind(t, "releasing with nothing proved", c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), fault.KindConflict)
	wantKind(t, "releasing as another cohort's tutor", c.ReleaseHold(t.Context(), c.other, id, "wire", ""), fault.KindNotFound)
	must(t, c.RecordEntries(t.Context(), c.trainee, id, c.model(t, id)))
	wantKind(t, "releasing with a safety-critical reading unchecked", c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), fault.KindConflict)
	must(t, c.EnterCheckReading(t.Context(), c.tutor, id, app.CheckReading{Item: "continuity", Text: "0.12"}, password))
	c.now = morning.AddDate(2, 0, 0) // the registration has run out
	wantKind(t, "releasing with a registration out of date", c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), fault.KindForbidden)
	c.now = morning.Add(time.Hour)
	must(t, c.ReleaseHold(t.Context(), c.tutor, id, "wire", "Seen."))
	wantKind(t, "releasing twice", c.ReleaseHold(t.Context(), c.tutor, id, "wire", ""), fault.KindConflict)
}

func TestWhatIsSentTwiceHasOneEffect(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	entries := []app.NewEntry{{ID: newID(t), Entry: marking.Entry{Item: "dt", Text: "18.5"}}}
	must(t, c.RecordEntries(t.Context(), c.trainee, id, entries))
	must(t, c.RecordEntries(t.Context(), c.trainee, id, entries))
	f := app.NewFile{ID: newID(t), Item: "before", Name: "rig.jpg"}
	for range 2 {
		_, err := c.AddFile(t.Context(), c.trainee, id, f, bytes.NewReader(picture(t, 1)))
		must(t, err)
	}
	s, err := c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	if n := len(s.Stages[0].Items[0].Files); n != 1 {
		t.Errorf("a photo sent twice is there %d times, want once", n)
	}
	for _, st := range s.Stages {
		for _, it := range st.Items {
			if it.Key == "dt" && len(it.Lines[0].Earlier) != 0 {
				t.Errorf("a line sent twice has %d earlier entries, want none", len(it.Lines[0].Earlier))
			}
		}
	}
}

func TestBadFilesAreRefusedAndNothingIsKept(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	whole := picture(t, 1)
	for _, bad := range []struct {
		name string
		file app.NewFile
		data []byte
	}{
		{"cut in half", app.NewFile{Item: "before"}, whole[:len(whole)/2]},
		{"no bytes", app.NewFile{Item: "before"}, nil},
		{"not a picture", app.NewFile{Item: "before"}, []byte("hello, this is text and nothing else at all")},
		{"another digest", app.NewFile{Item: "before", Digest: "0000000000000000000000000000000000000000000000000000000000000000"}, whole},
		{"no place", app.NewFile{Item: "attic"}, whole},
	} {
		bad.file.ID = newID(t)
		_, err := c.AddFile(t.Context(), c.trainee, id, bad.file, bytes.NewReader(bad.data))
		wantKind(t, bad.name, err, fault.KindInvalid)
	}
	s, err := c.Sheet(t.Context(), c.trainee, id)
	must(t, err)
	if n := len(s.Stages[0].Items[0].Files); n != 0 {
		t.Errorf("%d files were kept, want none", n)
	}
	_, err = c.AddFile(t.Context(), c.trainee, id, app.NewFile{ID: newID(t), Item: "before"}, bytes.NewReader(whole))
	must(t, err) // the next good one is taken
}

func TestHandingOverSaysWhatIsMissing(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	wantKind(t, "handing over before starting", c.HandOver(t.Context(), c.trainee, id, nil, true), fault.KindConflict)
	must(t, c.OpenAttempt(t.Context(), c.trainee, id, true, true))
	err := c.HandOver(t.Context(), c.trainee, id, nil, true)
	wantKind(t, "handing over nothing", err, fault.KindInvalid)
	f, _ := fault.As(err)
	if len(f.Fields) < 10 || f.Fields[0].Name != "before" {
		t.Errorf("missing: got %d fields, first %+v; want every required item, the photos first", len(f.Fields), f.Fields[0])
	}
	wantKind(t, "handing over another's", c.HandOver(t.Context(), c.tutor, id, nil, true), fault.KindForbidden)
}

func TestSigningInSlowsDownAfterFailures(t *testing.T) {
	c := newCentre(t)
	for range 6 {
		_, err := c.SignIn(t.Context(), "tom", "wrong")
		if fault.KindOf(err) == fault.KindForbidden {
			break
		}
		wantKind(t, "a wrong password", err, fault.KindInvalid)
	}
	_, err := c.SignIn(t.Context(), "tom", password)
	wantKind(t, "the right password too soon", err, fault.KindForbidden)
	c.now = c.now.Add(10 * time.Minute)
	_, err = c.SignIn(t.Context(), "TOM ", password)
	must(t, err)
	_, err = c.SignIn(t.Context(), "nobody.here", "x")
	wantKind(t, "an unknown name", err, fault.KindInvalid)
}

func TestSomebodyShutOutIsOutAtOnce(t *testing.T) {
	c := newCentre(t)
	must(t, c.SetSignInAllowed(t.Context(), c.manager, c.trainee.Person, false))
	_, err := c.Caller(t.Context(), c.id, c.trainee.Person)
	wantKind(t, "the next request", err, fault.KindNotFound)
	_, err = c.SignIn(t.Context(), "tom", password)
	wantKind(t, "signing in", err, fault.KindInvalid)
	wantKind(t, "shutting oneself out", c.SetSignInAllowed(t.Context(), c.manager, c.manager.Person, false), fault.KindConflict)
}

func TestAnotherCentreSeesNothing(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	row, err := c.db.CreateCentre(t.Context(), "SOUTH", "South Yard Training", c.now)
	must(t, err)
	inv, err := c.InviteManager(t.Context(), row.ID, app.NewPerson{Name: "Zed", SignInName: "zed"})
	must(t, err)
	stranger, err := c.AcceptInvitation(t.Context(), inv.Token, password)
	must(t, err)
	_, err = c.Sheet(t.Context(), stranger, id)
	wantKind(t, "another centre's attempt", err, fault.KindNotFound)
	people, err := c.People(t.Context(), stranger)
	must(t, err)
	if len(people) != 1 {
		t.Errorf("another centre's manager sees %d people, want only themselves", len(people))
	}
	briefs, err := c.Briefs(t.Context(), stranger)
	must(t, err)
	if len(briefs) != 0 {
		t.Errorf("another centre's manager sees %d briefs, want none", len(briefs))
	}
}
