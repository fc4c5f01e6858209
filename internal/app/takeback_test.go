package app_test

import (
	"strings"
	"testing"

	"witnessmark/internal/app"
	"witnessmark/internal/decision"
	"witnessmark/internal/fault"
)

func TestTakingADecisionBack(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	for _, cr := range s.Criteria {
		s = c.decide(t, id, cr.Ref, decision.Met)
	}
	ref := s.Criteria[1].Ref
	must(t, c.TakeBack(t.Context(), c.tutor, id, s.Revision, ref, "The wrong key."))
	s = c.sheet(t, id)
	k := s.Criteria[1]
	if s.State != decision.Checked || k.Decision != nil || len(k.Earlier) != 2 || k.Earlier[1].Outcome != decision.TakenBack {
		t.Errorf("after taking %s back: state %s, decision %v, earlier %v", ref, s.State, k.Decision, k.Earlier)
	}
	if k.Earlier[1].Supersedes != k.Earlier[0].ID {
		t.Error("it supersedes something else than the decision")
	}
	wantKind(t, "taking it back twice", c.TakeBack(t.Context(), c.tutor, id, s.Revision, ref, ""), fault.KindConflict)
	wantKind(t, "by its trainee", c.TakeBack(t.Context(), c.trainee, id, s.Revision, s.Criteria[0].Ref, ""), fault.KindForbidden)
	s = c.decide(t, id, ref, decision.Met)
	if s.State != decision.Decided {
		t.Errorf("decided afresh the attempt is %s", s.State)
	}
	must(t, c.SignOff(t.Context(), c.tutor, id, s.Revision, password, ""))
	s = c.sheet(t, id)
	wantKind(t, "after signing off", c.TakeBack(t.Context(), c.tutor, id, s.Revision, ref, ""), fault.KindConflict)
	c.portfolio(t)
}

func TestAStalePageIsToldWhatTheOtherDecided(t *testing.T) {
	c := newCentre(t)
	id := c.set(t)
	c.do(t, id)
	s := c.mark(t, id)
	ref := s.Criteria[0].Ref
	c.decide(t, id, ref, decision.NotYetMet)
	err := c.Decide(t.Context(), c.second, id, s.Revision, decision.Judgement{Criterion: ref, Outcome: decision.Met})
	wantKind(t, "deciding from a stale page", err, fault.KindConflict)
	if f, _ := fault.As(err); !strings.HasPrefix(f.Message, "Person tess decided "+ref+": not yet met. “Show the working.”") {
		t.Errorf("the other tutor is told %q", f.Message)
	}
	if k := c.sheet(t, id).Criteria[0]; k.Decision.Outcome != string(decision.NotYetMet) || len(k.Earlier) != 0 {
		t.Errorf("the first decision is %v, before it %v", k.Decision, k.Earlier)
	}
}

// sheet is the attempt as the tutor sees it.
func (c *centre) sheet(t *testing.T, id [16]byte) app.Sheet {
	t.Helper()
	s, err := c.Sheet(t.Context(), c.tutor, id)
	must(t, err)
	return s
}
