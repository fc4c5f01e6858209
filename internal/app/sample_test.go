package app_test

import (
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/uuid"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
	"witnessmark/internal/sampling"
	"witnessmark/internal/store"
)

// planned makes a plan that draws everything of a stage.
func (c *centre) planned(t *testing.T, assurer account.Caller, stage app.SampleStage) uuid.UUID {
	t.Helper()
	id, err := c.AddSamplingPlan(t.Context(), assurer, app.SamplingPlan{Name: "All of it", Stage: stage, Share: 100, Weights: sampling.UsualWeights(), Words: "A new cohort."})
	must(t, err)
	return id
}

// drawn draws the plan's only sample, with one attempt.
func (c *centre) drawn(t *testing.T, assurer account.Caller, plan uuid.UUID, number int) uuid.UUID {
	t.Helper()
	id, err := c.DrawSample(t.Context(), assurer, plan, number)
	must(t, err)
	return id
}

// enrolled enters the trainee's registration with the awarding organisation.
func (c *centre) enrolled(t *testing.T, from time.Time) {
	t.Helper()
	id := newID(t)
	must(t, c.db.Write(t.Context(), c.id, func(tx *store.Tx) error {
		return tx.AddAwardRegistration(t.Context(), store.AwardRegistration{ID: id, Person: c.trainee.Person, Number: "AO-77", RegisteredOn: from, EnteredBy: c.manager.Person, EnteredAt: c.now})
	}))
}

// From signing off to the claim, with everything in its way on the way there.
func TestFromSampleToClaim(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer, other := c.person(t, "iris", account.QualityAssurer), c.person(t, "noor", account.QualityAssurer)
	plan := c.planned(t, assurer, app.Final)
	_, err := c.DrawSample(ctx, assurer, plan, 1)
	wantKind(t, "a sample of nothing", err, fault.KindConflict)
	id := c.signedOff(t)
	p, err := c.PlanSample(ctx, assurer, plan)
	if err != nil || p.Listed != 1 || p.Size != 1 || len(p.Strata) != 1 || p.Words != "Looking at the only one leaves nothing open." || !p.May {
		t.Fatalf("planned %+v, %v", p, err)
	}
	if why := p.Strata[0].Why; len(why) == 0 || why[0] != sampling.SafetyWork {
		t.Errorf("why look closer: %v; the brief has a hold point", why)
	}
	_, err = c.DrawSample(ctx, c.tutor, plan, 1)
	wantKind(t, "a tutor drawing", err, fault.KindForbidden)
	sample := c.drawn(t, assurer, plan, 1)
	_, err = c.DrawSample(ctx, other, plan, 1)
	wantKind(t, "drawing from a stale page", err, fault.KindConflict)
	again, err := c.DrawAgain(ctx, c.manager, sample)
	if err != nil || !again.Same || len(again.Drawn) != 1 || again.Drawn[0] != id {
		t.Errorf("drawn again: %+v, %v", again, err)
	}

	at, err := c.SampledAttempt(ctx, assurer, sample, id)
	if err != nil || !at.Say.May || len(at.Criteria) != 4 || at.Criteria[0].Decision == nil || len(at.Owners) != 2 {
		t.Fatalf("in front of the sampler: %+v, %v", at, err)
	}
	say := func(who account.Caller, sample uuid.UUID, o app.SayOutcome) error {
		return c.SayOutcome(ctx, who, sample, id, c.seenBy(t, assurer, id).Revision, o)
	}
	wantKind(t, "no words for a disagreement", say(assurer, sample, app.SayOutcome{Outcome: decision.Disagree}), fault.KindInvalid)
	wantKind(t, "a manager sampling", say(c.manager, sample, app.SayOutcome{Outcome: decision.Agree}), fault.KindForbidden)
	wantKind(t, "another sample", say(assurer, newID(t), app.SayOutcome{Outcome: decision.Agree}), fault.KindNotFound)
	wantKind(t, "a disagreement about nothing", say(assurer, sample, app.SayOutcome{Outcome: decision.Disagree, Words: "Before the flow settled."}), fault.KindInvalid)
	wantKind(t, "about what the brief does not cover", say(assurer, sample, app.SayOutcome{Outcome: decision.Disagree, Words: "Before the flow settled.", Criteria: []string{"H2/1.2", "H9/1.1"}}), fault.KindInvalid)
	must(t, say(assurer, sample, app.SayOutcome{Outcome: decision.Disagree, Words: "H2/1.2: the reading was taken before the flow settled.", Criteria: []string{"H2/1.2", "H2/1.1"}}))
	if waiting, err := c.Waiting(t.Context(), c.tutor); err != nil || len(waiting) != 1 || waiting[0].Returned != "Person iris, about H2/1.1, H2/1.2: “H2/1.2: the reading was taken before the flow settled.”" {
		t.Errorf("on the tutor's bench: %+v, %v", waiting, err)
	}
	waits := func(when string, want bool) {
		t.Helper()
		if at, err := c.SampledAttempt(ctx, assurer, sample, id); err != nil || at.Waits != want {
			t.Errorf("%s the sampled attempt waits: %v (%v)", when, at.Waits, err)
		}
	}
	waits("disagreed with,", true)
	s := c.seenBy(t, c.tutor, id)
	if s.State != decision.Checked {
		t.Fatalf("disagreed with, it is %s", s.State)
	}
	_, err = c.ClearForClaim(ctx, other, sample)
	wantKind(t, "clearing after a disagreement", err, fault.KindConflict)
	wantKind(t, "signing off at once", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	wantKind(t, "the sampler judging", c.Decide(ctx, assurer, id, s.Revision, decision.Judgement{Criterion: "H2/1.2", Outcome: decision.Met}), fault.KindForbidden)
	s = c.decide(t, id, "H2/1.1", decision.Met)
	waits("with one of two decided afresh", true)
	wantKind(t, "signing off with one still to be decided afresh", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	if waiting, err := c.Waiting(t.Context(), c.tutor); err != nil || len(waiting) != 1 || !strings.HasPrefix(waiting[0].Returned, "Person iris, about H2/1.2: ") {
		t.Errorf("on the tutor's bench, with one decided: %+v, %v", waiting, err)
	}
	s = c.decide(t, id, "H2/1.2", decision.Met)
	waits("with both decided afresh", false)
	if waiting, err := c.Waiting(t.Context(), c.tutor); err != nil || len(waiting) != 1 || waiting[0].Returned != "" {
		t.Errorf("on the tutor's bench, with both decided: %+v, %v", waiting, err)
	}
	must(t, c.SignOff(ctx, c.tutor, id, s.Revision, password, "Looked again with Tom."))

	sample = c.drawn(t, assurer, plan, 2)
	if w, err := c.Sample(ctx, assurer, sample, 1); err != nil || len(w.Drawn) != 1 || w.Drawn[0].HadPart || len(w.Drawn[0].Why) < 3 {
		t.Errorf("drawn after a disagreement: %+v, %v", w.Drawn, err)
	}
	wantKind(t, "an action without an owner", say(assurer, sample, app.SayOutcome{Outcome: decision.AgreeWithAction, Words: "Fine.", Action: "Label it", Due: c.now.AddDate(0, 0, 7)}), fault.KindInvalid)
	must(t, say(assurer, sample, app.SayOutcome{Outcome: decision.AgreeWithAction, Words: "Fine now.", Action: "Photograph the meter next time.", Owner: c.tutor.Person, Due: c.now.AddDate(0, 0, 7)}))
	wantKind(t, "looking at it twice", say(other, sample, app.SayOutcome{Outcome: decision.Agree}), fault.KindConflict)
	_, err = c.ClearForClaim(ctx, c.manager, sample)
	wantKind(t, "a manager clearing", err, fault.KindForbidden)
	kin := c.person(t, "kim", account.QualityAssurer)
	_, err = c.DeclareConflict(ctx, kin, kin.Person, c.trainee.Person, "My brother.")
	must(t, err)
	_, err = c.ClearForClaim(ctx, kin, sample)
	if wantKind(t, "clearing one's brother's work", err, fault.KindForbidden); err != nil && !strings.Contains(err.Error(), c.trainee.Name) {
		t.Errorf("it does not name whose work it is: %v", err)
	}
	if done, err := c.ClearForClaim(ctx, other, sample); err != nil || done.Cleared != 1 || done.Left != 0 || len(done.Apart) != 0 {
		t.Fatalf("cleared %+v, %v", done, err)
	}
	c.claims(t, id, other)
}

// claims goes on from a cleared attempt with an open action: what stands in the way, and then the claim.
func (c *centre) claims(t *testing.T, id uuid.UUID, assurer account.Caller) {
	t.Helper()
	ctx := t.Context()
	why := func() []string {
		t.Helper()
		p, err := c.Claimable(ctx, c.manager, "H3", []uuid.UUID{c.cohort})
		must(t, err)
		if len(p.Rest) != 1 {
			t.Fatalf("%+v", p)
		}
		return p.Rest[0].Why
	}
	if w := why(); len(w) != 2 {
		t.Errorf("in the way: %q, want the action and the registration", w)
	}
	open, err := c.OpenActions(ctx, c.tutor, 1)
	actions := open.Rows
	if err != nil || len(actions) != 1 || actions[0].May || actions[0].Attempt != id {
		t.Fatalf("the tutor's actions: %+v, %v", actions, err)
	}
	wantKind(t, "a tutor closing their own", c.CloseAction(ctx, c.tutor, actions[0].ID, "Done."), fault.KindForbidden)
	wantKind(t, "closing without words", c.CloseAction(ctx, assurer, actions[0].ID, " "), fault.KindInvalid)
	must(t, c.CloseAction(ctx, assurer, actions[0].ID, "Seen the photograph."))
	wantKind(t, "closing it twice", c.CloseAction(ctx, assurer, actions[0].ID, "Seen."), fault.KindConflict)
	if w := why(); len(w) != 1 {
		t.Errorf("in the way: %q, want the registration", w)
	}
	_, err = c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.trainee.Person}, "")
	wantKind(t, "claiming before the registration", err, fault.KindConflict)
	c.enrolled(t, time.Date(2025, 9, 1, 0, 0, 0, 0, time.UTC))
	c.claimsOfCohorts(t)
	_, err = c.MakeClaim(ctx, assurer, "H3", []uuid.UUID{c.trainee.Person}, "")
	wantKind(t, "an assurer claiming", err, fault.KindForbidden)
	_, err = c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.tutor.Person}, "")
	wantKind(t, "claiming for no trainee", err, fault.KindConflict)
	var made [2]error
	var wg sync.WaitGroup
	for i := range made {
		wg.Go(func() {
			_, made[i] = c.MakeClaim(ctx, c.manager, "H3", []uuid.UUID{c.trainee.Person}, "Spring.")
		})
	}
	wg.Wait()
	if (made[0] == nil) == (made[1] == nil) {
		t.Fatalf("two claims at once: %v, %v", made[0], made[1])
	}
	if s := c.seenBy(t, c.manager, id); s.State != decision.Claimed {
		t.Errorf("claimed, the attempt is %s", s.State)
	}
	list, err := c.Claims(ctx, c.manager, 1)
	if err != nil || len(list.Made) != 1 || list.Made[0].Count != 1 {
		t.Fatalf("claims: %+v, %v", list.Made, err)
	}
	_, items, err := c.Claim(ctx, c.manager, list.Made[0].ID)
	if err != nil || len(items) != 1 || items[0].Number != "AO-77" || len(items[0].Attempts) != 1 || items[0].Attempts[0] != id {
		t.Errorf("the claim: %+v, %v", items, err)
	}
	// The same work bears on a second unit, whose other criteria it meets as well.
	if p, err := c.Claimable(ctx, c.manager, "H2", []uuid.UUID{c.cohort}); err != nil || len(p.Ready)+len(p.Rest) != 1 {
		t.Errorf("the other unit: %+v, %v", p, err)
	}
}

// claimsOfCohorts asks who is ready where the centre has another cohort, with a trainee of both and one who has done nothing.
func (c *centre) claimsOfCohorts(t *testing.T) {
	t.Helper()
	ctx := t.Context()
	evening, err := c.AddCohort(ctx, c.manager, "Tuesday")
	must(t, err)
	for _, p := range []account.Caller{c.trainee, c.person(t, "idle", account.Trainee)} {
		must(t, c.AddMember(ctx, c.manager, evening, p.Person, store.PartTrainee))
	}
	for name, test := range map[string]struct {
		cohorts              []uuid.UUID
		ready, rest, without int
		names                string
	}{
		"every cohort": {nil, 1, 0, 1, ""},
		"both":         {[]uuid.UUID{evening, c.cohort, evening}, 1, 0, 1, "Monday evening, Tuesday"},
		"the other":    {[]uuid.UUID{evening}, 1, 1, 0, "Tuesday"},
	} {
		p, err := c.Claimable(ctx, c.manager, "H3", test.cohorts)
		must(t, err)
		if len(p.Ready) != test.ready || len(p.Rest) != test.rest || p.Without != test.without || strings.Join(p.Names, ", ") != test.names {
			t.Errorf("%s: %+v", name, p)
		} else if got := strings.Join(p.Ready[0].Cohorts, ", "); got != "Monday evening, Tuesday" {
			t.Errorf("%s: the trainee's cohorts are %q", name, got)
		}
	}
	_, err = c.Claimable(ctx, c.manager, "H3", []uuid.UUID{evening, uuid.New()})
	wantKind(t, "a cohort that is not here", err, fault.KindNotFound)
	_, err = c.MakeClaim(ctx, c.manager, "H3", make([]uuid.UUID, app.ClaimAtOnce+1), "")
	wantKind(t, "more than at once", err, fault.KindInvalid)
}

// Work that is still being judged is sampled where it stands, and a disagreement keeps it from being signed off as it is.
func TestAnInterimSample(t *testing.T) {
	c := newCentre(t)
	ctx := t.Context()
	assurer := c.person(t, "iris", account.QualityAssurer)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, k := range s.Criteria {
		s = c.decide(t, id, k.Ref, decision.Met)
	}
	sample := c.drawn(t, assurer, c.planned(t, assurer, app.Interim), 1)
	must(t, c.SayOutcome(ctx, assurer, sample, id, s.Revision, app.SayOutcome{Outcome: decision.Disagree, Words: "H2/2.1 is not worked out.", Criteria: []string{"H2/2.1"}}))
	s = c.seenBy(t, c.tutor, id)
	if s.State != decision.Decided {
		t.Errorf("it is %s", s.State)
	}
	wantKind(t, "signing off as it is", c.SignOff(ctx, c.tutor, id, s.Revision, password, ""), fault.KindConflict)
	s = c.decide(t, id, "H2/1.1", decision.NotYetMet)
	wantKind(t, "sending it back, with what is disputed carried over", c.AskForMore(ctx, c.tutor, id, s.Revision, decision.More{Good: "The wiring.", Missing: "The label.", ToDo: "Label it."}, c.now.AddDate(0, 0, 7)), fault.KindConflict)
	s = c.decide(t, id, "H2/1.1", decision.Met)
	_, err := c.ClearForClaim(ctx, assurer, sample)
	wantKind(t, "clearing by an interim sample", err, fault.KindConflict)
	s = c.decide(t, id, "H2/2.1", decision.Met)
	must(t, c.SignOff(ctx, c.tutor, id, s.Revision, password, ""))
}

// A sample that is ended gives back what nobody looked at.
func TestASampleIsEnded(t *testing.T) {
	c := newCentre(t)
	assurer := c.person(t, "iris", account.QualityAssurer)
	c.signedOff(t)
	plan := c.planned(t, assurer, app.Final)
	sample := c.drawn(t, assurer, plan, 1)
	must(t, c.EndSample(t.Context(), assurer, sample))
	wantKind(t, "ending it twice", c.EndSample(t.Context(), assurer, sample), fault.KindConflict)
	_, err := c.ClearForClaim(t.Context(), assurer, sample)
	wantKind(t, "clearing what nobody looked at", err, fault.KindConflict)
	c.drawn(t, assurer, plan, 2)
	must(t, c.EndSamplingPlan(t.Context(), assurer, plan))
	_, err = c.DrawSample(t.Context(), assurer, plan, 3)
	wantKind(t, "drawing under a plan that has ended", err, fault.KindConflict)
}
