package ui

import (
	"net/url"
	"strings"
	"testing"

	"witnessmark/internal/account"
	"witnessmark/internal/app"
	"witnessmark/internal/decision"
)

// samplePagesOfMarking adds the pages of marking with a queue and remarks, and with a decision taken back.
func samplePagesOfMarking(t *testing.T, ps map[string]page) {
	t.Helper()
	for name, st := range map[string]decision.State{"judge-queue": decision.Checked, "judge-queue-signed": decision.SignedOff} {
		p := newJudgePage(sampleView(t, st, false))
		p.Up, p.Last = app.NextUp{Attempt: id(77), TraineeName: hostile, Title: "Bay 7", Waiting: 500}, "H2/1.1"
		p.Remarks = []string{hostile, "sufficient: Show the whole label."}
		ps[name] = p
	}
	v := sampleView(t, decision.Checked, false)
	v.Criteria[0].Earlier = []decision.Record{
		{Kind: decision.KindCriterion, Subject: v.Criteria[0].Ref, Outcome: string(decision.Met), ByName: "Owen Tranter", At: when},
		{Kind: decision.KindCriterion, Subject: v.Criteria[0].Ref, Outcome: decision.TakenBack, ByName: "Owen Tranter", At: when, Words: hostile},
	}
	ps["judge-taken-back"] = newJudgePage(v)
	ps["remarks"] = &RemarksPage{Frame: Frame{Title: "Your remarks", Here: "/bench"}, Remarks: []string{hostile}, Back: "/attempts/x"}
	ps["remarks-none"] = &RemarksPage{Frame: Frame{Title: "Your remarks", Here: "/bench"}}
}

func TestTakingBackAndGoingOn(t *testing.T) {
	s := newSite(t)
	tutor, trainee := s.in(t, "tutor"), s.in(t, "trainee")
	tutor.get(t, "/next-attempt").sent(t, "/bench")
	s.handIn(t)
	tutor.get(t, "/next-attempt").sent(t, s.attempt)
	page := tutor.get(t, s.attempt).want(t, 200, "Nobody else waits", `id="keys"`)
	if strings.Contains(page.body, "data-next") {
		t.Error("the page goes on to itself")
	}
	tutor.post(t, "/stock-remarks", url.Values{"remarks": {"Show the label.\r\n\r\nsafe: Isolate first."}, "back": {s.attempt}}).sent(t, "/stock-remarks?back="+url.QueryEscape(s.attempt))
	tutor.get(t, s.attempt).want(t, 200, "Show the label.", "safe: Isolate first.")
	tutor.get(t, "/stock-remarks?back=//elsewhere").want(t, 200, "Show the label.\nsafe: Isolate first.")
	trainee.get(t, "/stock-remarks").want(t, 403)
	tutor.post(t, "/stock-remarks", url.Values{"remarks": {strings.Repeat("x", 501)}}).want(t, 422, "at most 500 letters")

	ref := "H2/2.1"
	revision := func() string {
		sheet, err := s.Sheet(t.Context(), s.people["tutor"], s.id)
		must(t, err)
		return itoa(sheet.Revision)
	}
	decide := url.Values{"criterion": {ref}, "outcome": {"not_yet_met"}, "reason": {"sufficient"}, "words": {"Show the label."}, "revision": {revision()}}
	tutor.post(t, s.attempt+"/decide", decide).sent(t, s.attempt+"#criterion-H2-2-1")
	tutor.get(t, s.attempt).want(t, 200, `data-last="H2/2.1"`)
	back := url.Values{"criterion": {ref}, "revision": {revision()}}
	s.in(t, "second").post(t, s.attempt+"/decide", decide).want(t, 409, "Person tutor decided H2/2.1: not yet met. “Show the label.”", "after you opened this page")
	trainee.post(t, s.attempt+"/take-back", back).want(t, 403)
	tutor.post(t, s.attempt+"/take-back", back).sent(t, s.attempt+"#criterion-H2-2-1")
	tutor.get(t, s.attempt).want(t, 200, `data-last=""`, "taken back, Person tutor")
}

func TestLastDecided(t *testing.T) {
	who := account.Caller{Person: id(1)}
	rec := func(n int, ref, outcome string, by int) decision.Record {
		return decision.Record{ID: id(100 + n), Kind: decision.KindCriterion, Subject: ref, Outcome: outcome, By: id(by)}
	}
	carried := rec(5, "C", "met", 1)
	carried.Value = "1"
	for _, c := range []struct {
		name    string
		records []decision.Record
		want    string
	}{
		{"none", nil, ""},
		{"the last", []decision.Record{rec(1, "A", "met", 1), rec(2, "B", "met", 1)}, "B"},
		{"the last taken back", []decision.Record{rec(1, "A", "met", 1), rec(2, "B", "met", 1), rec(3, "B", decision.TakenBack, 1)}, "A"},
		{"decided again by somebody else", []decision.Record{rec(1, "A", "met", 1), rec(2, "A", "met", 2)}, ""},
		{"carried over", []decision.Record{carried}, ""},
	} {
		if got := lastDecided(c.records, who); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}
