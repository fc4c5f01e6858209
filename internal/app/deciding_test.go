package app_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/ledger"
	"witnessmark/internal/store"
)

// seenBy is the attempt as somebody sees it now.
func (c *centre) seenBy(t *testing.T, who account.Caller, id uuid.UUID) app.Sheet {
	t.Helper()
	s, err := c.Sheet(t.Context(), who, id)
	must(t, err)
	return s
}

// sentBack does the sample brief and sends it back with one criterion not yet met.
func (c *centre) sentBack(t *testing.T, not string) uuid.UUID {
	t.Helper()
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, k := range s.Criteria {
		o := decision.Met
		if k.Ref == not {
			o = decision.NotYetMet
		}
		s = c.decide(t, id, k.Ref, o)
	}
	must(t, c.AskForMore(t.Context(), c.tutor, id, s.Revision, more, c.now.AddDate(0, 0, 7)))
	return id
}

// newest is the trainee's newest attempt.
func (c *centre) newest(t *testing.T) app.Sheet {
	t.Helper()
	tasks, err := c.MyTasks(t.Context(), c.trainee)
	must(t, err)
	return c.seenBy(t, c.trainee, tasks[0].Attempt)
}

// inTraining is somebody of the centre without an award.
func (c *centre) inTraining(t *testing.T, who account.Caller) account.Caller {
	t.Helper()
	others := slices.DeleteFunc(slices.Clone(who.Registrations), func(g account.Registration) bool { return g.Kind == account.AssessorAward })
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error { return tx.SetRegistrations(t.Context(), who.Person, others) }))
	return c.again(t, who)
}

// again is the same person as the centre has them now.
func (c *centre) again(t *testing.T, who account.Caller) account.Caller {
	t.Helper()
	who, err := c.Caller(t.Context(), c.id, who.Person)
	must(t, err)
	return who
}

func TestDecisionsWaitForACountersignature(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer, plain := c.person(t, "iris", account.QualityAssurer), c.inTraining(t, c.person(t, "noor", account.QualityAssurer))
	learner := c.inTraining(t, c.second)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	wantKind(t, "countersigning nothing", c.Countersign(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	for i, k := range s.Criteria {
		who := c.tutor
		if i < 2 {
			who = learner
		}
		must(t, c.Decide(ctx, who, id, c.seenBy(t, c.tutor, id).Revision, decision.Judgement{Criterion: k.Ref, Outcome: decision.Met}))
	}
	s = c.seenBy(t, c.tutor, id)
	if len(s.Uncountersigned) != 2 || s.Uncountersigned[0].Role != decision.RoleCountersigned {
		t.Fatalf("%+v wait for a countersignature, want the two of the learner", s.Uncountersigned)
	}
	if w := c.seenBy(t, learner, id).WhyCountersigned; !strings.Contains(w, "wait for a countersignature. No assessor’s award is entered.") || s.WhyCountersigned != "" {
		t.Errorf("the learner reads %q, the tutor %q", w, s.WhyCountersigned)
	}
	for name, want := range map[string]int{"qualified tutor": 1, "learner": 0, "assurer": 1, "assurer without an award": 0, "manager": 0, "tutor elsewhere": 0} {
		who := map[string]account.Caller{"qualified tutor": c.tutor, "learner": learner, "assurer": assurer, "assurer without an award": plain, "manager": c.manager, "tutor elsewhere": c.other}[name]
		if looks, err := c.SecondLooks(ctx, who, 1); err != nil || len(looks.Rows) != want {
			t.Errorf("the %s has %d second looks (%v), want %d", name, len(looks.Rows), err, want)
		}
	}
	wantKind(t, "signing off before the countersignature", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	wantKind(t, "countersigning one's own", c.Countersign(ctx, learner, id, s.Revision, password, ""), fault.KindForbidden)
	wantKind(t, "countersigning without an award", c.Countersign(ctx, plain, id, s.Revision, password, ""), fault.KindForbidden)
	wantKind(t, "the trainee countersigning", c.Countersign(ctx, c.trainee, id, s.Revision, password, ""), fault.KindForbidden)
	wantKind(t, "a manager countersigning", c.Countersign(ctx, c.manager, id, s.Revision, password, ""), fault.KindForbidden)
	wantKind(t, "another cohort's tutor countersigning", c.Countersign(ctx, c.other, id, s.Revision, password, ""), fault.KindNotFound)
	wantKind(t, "with the wrong password", c.Countersign(ctx, assurer, id, s.Revision, "not it", ""), fault.KindInvalid)
	// What was decided before there was an award waits on; who decided it stands behind it no more than before.
	must(t, c.AddRegistration(ctx, c.manager, learner.Person, app.NewRegistration{Kind: account.AssessorAward, Number: "A-2", From: date(c.now)}))
	learner = c.again(t, learner)
	wantKind(t, "signing off once they hold an award", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	wantKind(t, "countersigning one's own with an award", c.Countersign(ctx, learner, id, s.Revision, password, ""), fault.KindForbidden)
	must(t, c.Countersign(ctx, assurer, id, s.Revision, password, "Seen with Ruben."))
	s = c.seenBy(t, assurer, id)
	if len(s.Uncountersigned) != 0 {
		t.Errorf("%+v still wait", s.Uncountersigned)
	}
	if looks, err := c.SecondLooks(ctx, assurer, 1); err != nil || len(looks.Rows) != 0 {
		t.Errorf("countersigned, %d second looks are left (%v)", len(looks.Rows), err)
	}
	n := 0
	for _, r := range s.Records {
		if r.Kind == decision.KindCountersign {
			n++
			if r.Role != string(account.QualityAssurer) || r.Words != "Seen with Ruben." {
				t.Errorf("countersigned as %q with %q", r.Role, r.Words)
			}
		}
	}
	if n != 2 {
		t.Errorf("%d countersignatures, want one for each decision", n)
	}
	must(t, c.SignOff(ctx, c.tutor, id, s.Revision, password, ""))
}

// date is the day of a moment.
func date(at time.Time) time.Time { return at.UTC().Truncate(24 * time.Hour) }

// An award that has lapsed has what is decided later wait. What was decided before stands.
func TestAnAwardThatLapses(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	last := date(c.now).AddDate(0, 0, 1)
	must(t, c.EndRegistration(ctx, c.manager, c.tutor.Person, account.AssessorAward, "Award 1", last))
	c.tutor = c.again(t, c.tutor)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	c.now = last.Add(22 * time.Hour) // its last day counts, by the clock in London
	s = c.decide(t, id, s.Criteria[0].Ref, decision.Met)
	if s.WhyCountersigned != "" {
		t.Errorf("on its last day: %q", s.WhyCountersigned)
	}
	c.now = last.AddDate(0, 0, 1).Add(9 * time.Hour)
	s = c.decide(t, id, s.Criteria[1].Ref, decision.Met)
	if len(s.Uncountersigned) != 1 || s.Uncountersigned[0].Subject != s.Criteria[1].Ref || !strings.Contains(s.WhyCountersigned, "award ended on "+last.Format("2 January 2006")) {
		t.Errorf("after its last day %+v wait, %q; want the second alone", s.Uncountersigned, s.WhyCountersigned)
	}
	wantKind(t, "countersigning with an award that lapsed", c.Countersign(ctx, c.tutor, id, s.Revision, password, ""), fault.KindForbidden)
	must(t, c.Countersign(ctx, c.second, id, s.Revision, password, ""))
}

// Of whom the flag and the award said different things at the upgrade, what the flag said holds until a day, or until an award of theirs
// is entered.
func TestHowDecisionsStoodBeforeTheAwardCounted(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	until := date(c.now).AddDate(0, 3, 0)
	c.second = c.inTraining(t, c.second)
	logged{centre: c}.superuser(t, `UPDATE person SET before_alone = (sign_in_name = 'ruben'), before_until = '`+until.Format(time.DateOnly)+`' WHERE sign_in_name IN ('tess', 'ruben')`)
	c.tutor, c.second = c.again(t, c.tutor), c.again(t, c.second)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	must(t, c.Decide(ctx, c.second, id, s.Revision, decision.Judgement{Criterion: s.Criteria[0].Ref, Outcome: decision.Met}))
	s = c.decide(t, id, s.Criteria[1].Ref, decision.Met)
	if len(s.Uncountersigned) != 1 || s.Uncountersigned[0].By != c.tutor.Person || !strings.Contains(s.WhyCountersigned, "until "+until.Format("2 January 2006")) {
		t.Errorf("%+v wait, %q; want the one of the tutor who was flagged", s.Uncountersigned, s.WhyCountersigned)
	}
	c.now = until.AddDate(0, 0, 1).Add(9 * time.Hour)
	for name, want := range map[string]bool{"ruben": false, "tess": true} {
		who := map[string]account.Caller{"ruben": c.second, "tess": c.tutor}[name]
		f, err := c.PersonFile(ctx, c.manager, who.Person)
		must(t, err)
		if alone, why := c.Deciding(f.Person); alone != want {
			t.Errorf("after the day, %s: %q", name, why)
		}
	}
	c.now = until.Add(9 * time.Hour)
	must(t, c.AddRegistration(ctx, c.manager, c.second.Person, app.NewRegistration{Kind: account.AssessorAward, Number: "A-3", From: until.AddDate(0, 0, 5)}))
	if b := c.again(t, c.second).Before; !b.Until.IsZero() && b.Until.Year() > 1 {
		t.Errorf("once an award is entered, %+v still holds", b)
	}
}

// Re-made, the conductor's test has to be done again, and with it what rests on the controls that were tested after it.
func TestReworkReopensWhatWasMet(t *testing.T) {
	c := newCentre(t)
	id := c.sentBack(t, "H3/1.10")
	if s := c.seenBy(t, c.tutor, id); s.State != decision.MoreToDo {
		t.Fatalf("sent back, the attempt is %q", s.State)
	}
	next := c.newest(t)
	for _, k := range next.Criteria {
		switch k.Ref {
		case "H2/1.2":
			l := decision.Lapsed(next.Records, k.Ref)
			if k.Decision != nil || l == nil || !strings.Contains(l.Words, "Continuity of the protective conductor") || l.Value != "1" {
				t.Errorf("re-opened, %s stands as %+v with %+v; want it open, and why", k.Ref, k.Decision, l)
			}
		case "H3/1.10":
			if k.Decision != nil || decision.Lapsed(next.Records, k.Ref) != nil {
				t.Errorf("not yet met, %s stands as %+v", k.Ref, k.Decision)
			}
		default:
			if k.Decision == nil || !k.Decision.Carried() {
				t.Errorf("met, %s stands as %+v; want it carried over", k.Ref, k.Decision)
			}
		}
	}
	if day := next.DueOn.Format("2006-01-02"); day != "2026-05-11" {
		t.Errorf("the next attempt is due on %s, want the day that was said", day)
	}
	for _, it := range next.Stages[1].Items {
		if done := it.Key == "noise"; it.Done != done {
			t.Errorf("%s is there: %t, want %t", it.Key, it.Done, done)
		}
	}
}

func TestAcknowledgingFeedback(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.sentBack(t, "H2/2.1")
	wantKind(t, "the tutor reading it for them", c.Acknowledge(ctx, c.tutor, id), fault.KindForbidden)
	wantKind(t, "reading what is not there", c.Acknowledge(ctx, c.trainee, c.newest(t).ID), fault.KindConflict)
	must(t, c.Acknowledge(ctx, c.trainee, id))
	wantKind(t, "reading it twice", c.Acknowledge(ctx, c.trainee, id), fault.KindConflict)
	if s := c.seenBy(t, c.tutor, id); decision.Latest(s.Records, decision.KindAcknowledge, "") == nil || s.State != decision.MoreToDo {
		t.Errorf("read, the attempt is %q with %d records", s.State, len(s.Records))
	}
}

func TestAppealRejected(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.sentBack(t, "H2/2.1")
	wantKind(t, "the tutor appealing", c.Appeal(ctx, c.tutor, id, "No."), fault.KindForbidden)
	wantKind(t, "an appeal without words", c.Appeal(ctx, c.trainee, id, " "), fault.KindInvalid)
	must(t, c.Appeal(ctx, c.trainee, id, "The working was on the second sheet."))
	wantKind(t, "a second appeal", c.Appeal(ctx, c.trainee, id, "Again."), fault.KindConflict)
	s := c.seenBy(t, c.manager, id)
	if s.State != decision.UnderAppeal || !s.Settle.May {
		t.Fatalf("appealed, the attempt is %q and the manager may settle it %+v", s.State, s.Settle)
	}
	for _, who := range []account.Caller{c.manager, c.tutor} {
		if looks, err := c.SecondLooks(ctx, who, 1); err != nil || (len(looks.Rows) == 1) != who.Has(account.Manager) {
			t.Errorf("%s has %d second looks (%v); want the appeal for the manager alone", who.Name, len(looks.Rows), err)
		}
	}
	wantKind(t, "the tutor hearing it", c.SettleAppeal(ctx, c.tutor, id, s.Revision, decision.Rejected, "No."), fault.KindForbidden)
	wantKind(t, "no reason", c.SettleAppeal(ctx, c.manager, id, s.Revision, decision.Rejected, ""), fault.KindInvalid)
	must(t, c.SettleAppeal(ctx, c.manager, id, s.Revision, decision.Rejected, "I looked at both sheets; neither shows it."))
	if s = c.seenBy(t, c.trainee, id); s.State != decision.MoreToDo || s.Appeal.May {
		t.Errorf("rejected, the attempt is %q, another appeal %+v", s.State, s.Appeal)
	}
	if n := c.newest(t); n.Number != 2 || n.State != decision.Planned {
		t.Errorf("rejected, the newest attempt is %d, %q; want the second, planned", n.Number, n.State)
	}
}

// An upheld appeal opens what was not yet met; somebody who had no part in it decides it afresh, a quality assurer too.
func TestAppealUpheld(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "iris", account.QualityAssurer)
	id := c.sentBack(t, "H2/2.1")
	must(t, c.Appeal(ctx, c.trainee, id, "The working was on the second sheet."))
	must(t, c.SettleAppeal(ctx, c.manager, id, c.seenBy(t, c.manager, id).Revision, decision.Upheld, "It is on the second sheet."))
	s := c.seenBy(t, c.tutor, id)
	if s.State != decision.Checked || s.Judge || s.Remark != nil {
		t.Errorf("upheld, the attempt is %q, its first tutor judges it %t, the old words stand %t", s.State, s.Judge, s.Remark != nil)
	}
	if n := c.newest(t); n.ID != id {
		t.Errorf("upheld, the trainee's newest attempt is %d, %q; want the first again", n.Number, n.State)
	}
	j := decision.Judgement{Criterion: "H2/2.1", Outcome: decision.Met}
	wantKind(t, "the first tutor deciding afresh", c.Decide(ctx, c.tutor, id, s.Revision, j), fault.KindForbidden)
	if !c.seenBy(t, c.second, id).Judge || !c.seenBy(t, assurer, id).Judge || c.seenBy(t, c.manager, id).Judge {
		t.Error("want the cohort's other tutor and the quality assurer to judge it, and the manager not to")
	}
	must(t, c.Decide(ctx, assurer, id, s.Revision, j))
	s = c.seenBy(t, assurer, id)
	wantKind(t, "the first tutor signing off", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindForbidden)
	must(t, c.SignOff(ctx, assurer, id, s.Revision, password, ""))
	if r := decision.Judged(c.seenBy(t, c.trainee, id).Records, "H2/2.1"); r == nil || r.Role != string(account.QualityAssurer) {
		t.Errorf("decided afresh by %+v", r)
	}
}

// Sent back once more after an upheld appeal, the trainee goes on with a third attempt in place of the one withdrawn.
func TestSentBackAfterAnUpheldAppeal(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	id := c.sentBack(t, "H2/2.1")
	must(t, c.Appeal(ctx, c.trainee, id, "Look again."))
	must(t, c.SettleAppeal(ctx, c.manager, id, c.seenBy(t, c.manager, id).Revision, decision.Upheld, "Somebody else looks."))
	j := decision.Judgement{Criterion: "H2/2.1", Outcome: decision.NotYetMet, Reason: "sufficient", Words: "It is not there."}
	must(t, c.Decide(ctx, c.second, id, c.seenBy(t, c.second, id).Revision, j))
	must(t, c.AskForMore(ctx, c.second, id, c.seenBy(t, c.second, id).Revision, more, c.now.AddDate(0, 0, 7)))
	if n := c.newest(t); n.Number != 3 || n.State != decision.Planned {
		t.Errorf("the newest attempt is %d, %q; want a third, planned", n.Number, n.State)
	}
	must(t, c.Appeal(ctx, c.trainee, id, "I still think so.")) // against the second sending back
}

// Nobody enters an award of their own, and the log keeps each that somebody else enters or ends.
func TestAwardsStandInTheLog(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	must(t, c.db.Write(ctx, c.id, func(tx *store.Tx) error {
		return tx.SetRoles(ctx, c.manager.Person, []account.Role{account.Manager, account.Tutor})
	}))
	logged := func(want ...string) {
		t.Helper()
		entries, err := c.db.LogEntries(ctx, c.id, 0, 100)
		must(t, err)
		var got []string
		for _, e := range entries {
			if e.Kind != ledger.KindAward {
				continue
			}
			leaf, err := ledger.ReadLeaf(e.Leaf)
			must(t, err)
			got = append(got, leaf.Facts["what"])
		}
		if !slices.Equal(got, want) {
			t.Errorf("the log tells of %q, want %q", got, want)
		}
	}
	award := app.NewRegistration{Kind: account.AssessorAward, Number: "A-9", From: date(c.now)}
	wantKind(t, "an award of one's own", c.AddRegistration(ctx, c.manager, c.manager.Person, award), fault.KindForbidden)
	logged()
	other := c.person(t, "mo", account.Manager)
	must(t, c.AddRegistration(ctx, other, c.manager.Person, award))
	must(t, c.AddRegistration(ctx, other, c.manager.Person, app.NewRegistration{Kind: "gas", Number: "G-9", From: date(c.now)}))
	logged("entered")
	wantKind(t, "a longer award of one's own", c.EndRegistration(ctx, c.manager, c.manager.Person, award.Kind, award.Number, date(c.now)), fault.KindForbidden)
	must(t, c.EndRegistration(ctx, other, c.manager.Person, award.Kind, award.Number, date(c.now)))
	logged("entered", "ended")
}

// Whoever may not sign learns nothing of a password, and a wrong one of theirs counts for nothing.
func TestTheRightToSignComesBeforeThePassword(t *testing.T) {
	c := newCentre(t)
	ctx, id := t.Context(), c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	assurer := c.person(t, "iris", account.QualityAssurer)
	for range 12 { // more than a person may get wrong in a row
		wantKind(t, "a quality assurer", c.SignOff(ctx, assurer, id, s.Revision, "not this one", ""), fault.KindForbidden)
		wantKind(t, "the trainee", c.SignOff(ctx, c.trainee, id, s.Revision, "not this one", ""), fault.KindForbidden)
		wantKind(t, "a tutor elsewhere", c.SignOff(ctx, c.other, id, s.Revision, "not this one", ""), fault.KindNotFound)
	}
	_, err := c.SignIn(ctx, "iris", password)
	must(t, err)
	wantKind(t, "the tutor", c.SignOff(ctx, c.tutor, id, s.Revision, "not this one", ""), fault.KindInvalid)
}
