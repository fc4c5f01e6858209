package decision

import (
	"encoding/json"
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/uuid"
	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
	"witnessmark/internal/fault"
	"witnessmark/internal/marking"
)

func TestMoves(t *testing.T) {
	for _, c := range []struct {
		from State
		by   Event
		to   State // "" where it is refused
	}{
		{Planned, EventOpen, Open}, {Open, EventOpen, ""},
		{Open, EventHandOver, HandedOver}, {Planned, EventHandOver, ""}, {Checked, EventHandOver, ""},
		{HandedOver, EventChecked, Checked}, {Decided, EventChecked, Decided}, {SignedOff, EventChecked, ""},
		{Checked, EventDecide, Checked}, {HandedOver, EventDecide, ""}, {SignedOff, EventDecide, ""},
		{Checked, EventDecideAll, Decided},
		{Decided, EventSignOff, SignedOff}, {Checked, EventSignOff, ""}, {SignedOff, EventSignOff, ""},
		{Decided, EventAskMore, MoreToDo}, {SignedOff, EventAskMore, ""},
		{Open, EventStop, SafetyStopped}, {SafetyStopped, EventHandOver, ""}, {SafetyStopped, EventClearStop, Open},
		{Planned, EventStop, SafetyStopped}, {SafetyStopped, EventUnstop, Planned}, {SafetyStopped, EventOpen, ""}, {Open, EventUnstop, ""},
		{SignedOff, EventClear, Cleared}, {Decided, EventClear, ""}, {Cleared, EventClaim, Claimed},
		{Open, EventWithdraw, Withdrawn}, {SignedOff, EventWithdraw, ""},
	} {
		got, err := Next(c.from, c.by)
		switch {
		case c.to == "" && fault.KindOf(err) != fault.KindConflict:
			t.Errorf("Next(%s, %s) = %s, %v; want a Conflict", c.from, c.by, got, err)
		case c.to != "" && (err != nil || got != c.to):
			t.Errorf("Next(%s, %s) = %s, %v; want %s", c.from, c.by, got, err, c.to)
		}
	}
}

// Whatever is tried, in whatever order: nothing is signed off that was not handed over and decided, nothing is worked on that was
// never opened, what is closed stays closed, and nothing leaves the last state.
func TestNoWayAroundDeciding(t *testing.T) {
	events := append(slices.Sorted(maps.Keys(moves)), "lift the suspension")
	closed := []State{Withdrawn, SetAside, Claimed, Archived, Destroyed}
	rapid.Check(t, func(t *rapid.T) {
		s, before, opened, handed, decided := Planned, Planned, time.Time{}, false, false
		for range rapid.IntRange(1, 60).Draw(t, "steps") {
			e := rapid.SampledFrom(events).Draw(t, "event")
			if e == EventClearStop || e == EventUnstop {
				e = ClearingStop(opened)
			}
			to, err := Next(s, e)
			if s == Suspended && e == "lift the suspension" {
				to, err = before, nil
			}
			if err != nil {
				if to != s {
					t.Fatalf("a refused %s moved the attempt from %s to %s", e, s, to)
				}
				continue
			}
			if slices.Contains(closed, s) && to != Suspended && !slices.Contains(closed, to) || s == Destroyed {
				t.Fatalf("%s took an attempt that is %s to %s", e, s, to)
			}
			switch {
			case e == EventOpen:
				opened = time.Unix(1, 0)
			case e == EventSuspend:
				before = s
			case e == EventHandOver:
				handed = true
			}
			decided = e == EventDecideAll || decided && to != Checked
			if to == Open && opened.IsZero() {
				t.Fatalf("%s began work that was never opened", e)
			}
			if to == SignedOff && !(handed && decided) {
				t.Fatalf("signed off without being handed over and decided")
			}
			s = to
		}
	})
}

// RFC 8785 asks for members sorted, no white space, shortest escapes: checked against the bytes written by hand from the
// RFC's rules.
func TestCanonicalBytes(t *testing.T) {
	r := Record{
		ID: uuid.MustParse("01890000-0000-7000-8000-000000000001"), Centre: 7, Attempt: uuid.MustParse("01890000-0000-7000-8000-000000000002"),
		Kind: KindCriterion, Subject: "H2/1.1", Outcome: string(NotYetMet), Reason: "safe", Words: "Prove it \"dead\" – é\n", Evidence: []string{"before"},
		By: uuid.MustParse("01890000-0000-7000-8000-000000000003"), ByName: "Tess", Role: "tutor",
		At: time.Date(2026, 5, 4, 9, 30, 0, 123_456_789, time.FixedZone("BST", 3600)),
	}
	got, err := r.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	want := `{"at":"2026-05-04T08:30:00.123456Z","attempt":"01890000-0000-7000-8000-000000000002","by":"01890000-0000-7000-8000-000000000003",` +
		`"by_name":"Tess","centre":"7","evidence":["before"],"id":"01890000-0000-7000-8000-000000000001","kind":"criterion_decision",` +
		`"outcome":"not_yet_met","reason":"safe","role":"tutor","subject":"H2/1.1","v":"1","value":"","words":"Prove it \"dead\" – é\n"}`
	if string(got) != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	var back map[string]any
	if err := json.Unmarshal(got, &back); err != nil {
		t.Errorf("the canonical bytes are not JSON: %v", err)
	}
	r.Supersedes = r.Attempt
	again, err := r.Canonical()
	if err != nil || !strings.Contains(string(again), `"supersedes":"01890000-0000-7000-8000-000000000002"`) {
		t.Errorf("a superseding record does not say what it supersedes: %s, %v", again, err)
	}
}

func TestCheckJudgement(t *testing.T) {
	b := sample.Brief()
	for _, c := range []struct {
		name    string
		j       Judgement
		blocked []string
		want    fault.Kind
	}{
		{"met", Judgement{Criterion: "H2/1.1", Outcome: Met}, nil, fault.Internal},
		{"met on evidence", Judgement{Criterion: "H2/1.1", Outcome: Met, Evidence: []string{"before"}}, nil, fault.Internal},
		{"met, blocked", Judgement{Criterion: "H2/1.1", Outcome: Met}, []string{"The hold point was never released."}, fault.KindConflict},
		{"not yet met, blocked", Judgement{Criterion: "H2/1.1", Outcome: NotYetMet, Reason: "safe", Words: "Isolate."}, []string{"x"}, fault.Internal},
		{"not yet met, no reason", Judgement{Criterion: "H2/1.1", Outcome: NotYetMet, Words: "Isolate."}, nil, fault.KindInvalid},
		{"not yet met, reason of one's own", Judgement{Criterion: "H2/1.1", Outcome: NotYetMet, Reason: "sloppy", Words: "x"}, nil, fault.KindInvalid},
		{"not yet met, no words", Judgement{Criterion: "H2/1.1", Outcome: NotYetMet, Reason: "safe", Words: "  "}, nil, fault.KindInvalid},
		{"no such criterion", Judgement{Criterion: "H2/9.9", Outcome: Met}, nil, fault.KindNotFound},
		{"no such evidence", Judgement{Criterion: "H2/1.1", Outcome: Met, Evidence: []string{"nothing"}}, nil, fault.KindInvalid},
		{"a third outcome", Judgement{Criterion: "H2/1.1", Outcome: "nearly"}, nil, fault.KindInvalid},
	} {
		err := CheckJudgement(b, c.j, c.blocked)
		if got := fault.KindOf(err); got != c.want || (c.want == fault.Internal) != (err == nil) {
			t.Errorf("%s: got %v, want kind %d", c.name, err, c.want)
		}
	}
}

func TestBlocked(t *testing.T) {
	b := sample.Brief()
	release := Record{Kind: KindHoldRelease, Subject: "wire"}
	failed := &marking.Result{Findings: []marking.Finding{{Item: "continuity", Verdict: marking.OutsideLimit, Blocks: true, Safety: true, Tutor: "0.9 Ω, at most 0.5 Ω."}}}
	differ := &marking.Result{Findings: []marking.Finding{
		{Item: "demand", Part: "calls/pump", Verdict: marking.Wrong, Blocks: true, Tutor: "pump: seen stands, expected runs."},
		{Item: "demand", Part: "calls/valve", Verdict: marking.Wrong, Blocks: true, Tutor: "valve: seen shut, expected open."},
	}}
	overridden := Record{Kind: KindOverride, Subject: Line("continuity", "", ""), Outcome: string(marking.Correct)}
	refused := Record{Kind: KindOverride, Subject: Line("continuity", "", ""), Outcome: string(marking.Wrong)}
	accepted := Record{Kind: KindOverride, Subject: Line("tube", "", ""), Outcome: string(marking.Correct)}
	reading := Record{Kind: KindOverride, Subject: Line("qv", "", ""), Outcome: string(marking.Correct)}
	cell := Record{Kind: KindOverride, Subject: Line("demand", "heat/pump", ""), Outcome: string(marking.Correct)}
	noise := Record{Kind: KindOverride, Subject: Line("noise", "", ""), Outcome: string(marking.Correct)}
	carried := Record{Kind: KindCriterion, Subject: "H3/1.10", Outcome: string(Met), Value: "1"}
	for _, c := range []struct {
		name      string
		st        Standing
		criterion string
		want      int // reasons
	}{
		{"nothing against it", Standing{}, "H3/1.10", 0},
		{"a safety-critical line failed", Standing{Result: failed}, "H3/1.10", 1},
		{"it bears on another criterion", Standing{Result: failed}, "H2/1.1", 0},
		{"overridden", Standing{Result: failed, Records: []Record{overridden}}, "H3/1.10", 0},
		{"overridden the other way", Standing{Result: failed, Records: []Record{overridden, refused}}, "H3/1.10", 1},
		{"hold never released", Standing{}, "H2/1.2", 1},
		{"hold released", Standing{Records: []Record{release}}, "H2/1.2", 0},
		{"results of one test that differ", Standing{Records: []Record{release}, Result: differ}, "H2/1.2", 1},
		{"only evidence from before the release", Standing{Records: []Record{release}, Order: map[string]Order{"demand": Before}}, "H2/1.2", 1},
		{"nothing proved to be from after the release", Standing{Records: []Record{release}, Order: map[string]Order{"demand": NotProved}}, "H2/1.2", 1},
		{"something from after the release", Standing{Records: []Record{release}, Order: map[string]Order{"demand": After}}, "H2/1.2", 0},
		{"a required item is empty", Standing{Empty: map[string]bool{"before": true}}, "H2/1.1", 1},
		{"a safety-critical reading by an instrument that reads wrong", Standing{Doubts: map[string]Doubt{"continuity": Failed}}, "H3/1.10", 1},
		{"a reading that is not safety-critical", Standing{Doubts: map[string]Doubt{"tr@as-left": Failed}}, "H2/2.1", 0},
		{"a safety-critical choice worked from such a reading", Standing{Doubts: map[string]Doubt{"qv": Overdue}}, "H2/2.1", 1},
		{"the choice accepted", Standing{Doubts: map[string]Doubt{"qv": Overdue}, Records: []Record{accepted}}, "H2/2.1", 0},
		{"the reading accepted", Standing{Doubts: map[string]Doubt{"qv": Overdue}, Records: []Record{reading}}, "H2/2.1", 0},
		{"a safety-critical cell from before the release", Standing{Records: []Record{release}, Typed: map[string]Order{"demand#heat/pump": Before}}, "H2/1.2", 1},
		{"two such cells, said once", Standing{Records: []Record{release}, Typed: map[string]Order{"demand#heat/pump": Before, "demand#heat/valve": Before}}, "H2/1.2", 1},
		{"one of them accepted", Standing{Records: []Record{release, cell}, Typed: map[string]Order{"demand#heat/pump": Before, "demand#heat/valve": Before}}, "H2/1.2", 1},
		{"a safety-critical line that a phone's clock proves nothing of", Standing{Records: []Record{release}, Typed: map[string]Order{"noise": NotProved}}, "H2/1.2", 1},
		{"a safety-critical line from before, accepted with a reason", Standing{Records: []Record{release, noise}, Typed: map[string]Order{"noise": Before}}, "H2/1.2", 0},
		{"a safety-critical line from after", Standing{Records: []Record{release}, Typed: map[string]Order{"noise": After}}, "H2/1.2", 0},
		{"a line from before while the hold point stands", Standing{Typed: map[string]Order{"noise": Before}}, "H2/1.2", 1},
		{"a line from before that is not safety-critical", Standing{Records: []Record{release}, Typed: map[string]Order{"tr@as-left": Before, "dt": Before}}, "H2/2.1", 0},
		{"a safety-critical choice worked from a reading from before", Standing{Typed: map[string]Order{"qv": Before}}, "H2/2.1", 1},
		{"that choice accepted", Standing{Typed: map[string]Order{"qv": Before}, Records: []Record{accepted}}, "H2/2.1", 0},
		{"that reading accepted", Standing{Typed: map[string]Order{"qv": Before}, Records: []Record{reading}}, "H2/2.1", 0},
		{"a safety-critical choice typed before, worked from what came after", Standing{Typed: map[string]Order{"qv": After, "tube": Before}}, "H2/2.1", 0},
		{"carried over", Standing{Result: failed, Records: []Record{carried}}, "H3/1.10", 0},
	} {
		c.st.Brief = b
		if got := c.st.Blocked(c.criterion); len(got) != c.want {
			t.Errorf("%s: %d reasons %q, want %d", c.name, len(got), got, c.want)
		}
	}
}

// What was measured before a release is said plainly, what only a clock leaves open as a doubt.
func TestEarlyIsSaid(t *testing.T) {
	release := Record{Kind: KindHoldRelease, Subject: "wire"}
	for want, typed := range map[string]map[string]Order{
		"Pump noise is safety-critical, and it was put down before the hold point of its stage was released: have it done again, or accept it with a reason.":                                                                                 {"noise": Before},
		"Pump noise is safety-critical, and nothing proves that it was put down after the hold point of its stage was released, since the phone's clock was not known, or was set meanwhile: have it done again, or accept it with a reason.": {"noise": NotProved},
		"Controls do what they should is safety-critical, and 2 of its results were put down before the hold point of its stage was released: have them done again, or accept each with a reason.":                                            {"demand#heat/pump": Before, "demand#both/pump": Before},
	} {
		got := Standing{Brief: sample.Brief(), Records: []Record{release}, Typed: typed}.Blocked("H2/1.2")
		if len(got) != 1 || got[0] != want {
			t.Errorf("got  %q\nwant %q", got, want)
		}
	}
}

func TestGaps(t *testing.T) {
	b := sample.Brief()
	h := Handover{Brief: b, Filled: map[string]bool{}, Files: map[string]int{"before": 1}}
	all := h.Gaps()
	if len(all) == 0 || all[0] != (Gap{"before", "The rig as you find it: 1 of 2 photos are there."}) {
		t.Fatalf("with one photo the first gap is %+v, want the second photo", all[0])
	}
	h.Files["before"] = 2
	for _, st := range b.Stages {
		for _, it := range st.Items {
			for _, s := range it.Slots() {
				h.Filled[Line(it.Key, s.Part, string(s.Phase))] = true
			}
		}
	}
	if left := h.Gaps(); len(left) != 0 {
		t.Errorf("with everything filled, and the optional document left out, %+v is missing", left)
	}
	delete(h.Filled, Line("tf", "", string(brief.AsLeft)))
	if left := h.Gaps(); len(left) != 1 || left[0].Item != "tf" || !strings.Contains(left[0].Text, "1 of 2") {
		t.Errorf("with one phase missing the gaps are %+v, want one of tf", left)
	}
}

func TestCheckRelease(t *testing.T) {
	hold := &brief.Hold{Show: "covers on", Entitlement: "electrical"}
	for _, c := range []struct {
		name       string
		hold       *brief.Hold
		registered bool
		unproved   []string
		want       fault.Kind
	}{
		{"fine", hold, true, nil, fault.Internal},
		{"no hold point", nil, true, nil, fault.KindNotFound},
		{"not registered", hold, false, nil, fault.KindForbidden},
		{"unproved", hold, true, []string{"Continuity: not checked."}, fault.KindConflict},
	} {
		err := CheckRelease(c.hold, c.registered, c.unproved)
		if got := fault.KindOf(err); got != c.want || (c.want == fault.Internal) != (err == nil) {
			t.Errorf("%s: got %v, want kind %d", c.name, err, c.want)
		}
	}
}

func TestTakingBack(t *testing.T) {
	b := sample.Brief()
	met := Record{Kind: KindCriterion, Subject: "H2/1.1", Outcome: string(Met), ByName: "Tess"}
	back, err := TakingBack(b, []Record{met}, "H2/1.1", " The wrong key. ")
	if err != nil || back.Outcome != TakenBack || back.Words != "The wrong key." {
		t.Fatalf("taking a decision back: %+v, %v", back, err)
	}
	back.ByName = "Ruben"
	all := []Record{met, back}
	if r := Judged(all, "H2/1.1"); r != nil {
		t.Errorf("taken back, the criterion is judged: %+v", r)
	}
	if decided, _ := AllDecided(b, all); decided {
		t.Error("with a criterion open again everything is decided")
	}
	for name, c := range map[string]struct {
		records   []Record
		criterion string
		want      fault.Kind
	}{
		"an open one":       {nil, "H2/1.1", fault.KindConflict},
		"one taken back":    {all, "H2/1.1", fault.KindConflict},
		"one of no concern": {all, "H9/1.1", fault.KindNotFound},
	} {
		if _, err := TakingBack(b, c.records, c.criterion, ""); fault.KindOf(err) != c.want {
			t.Errorf("taking back %s: %v, want kind %d", name, err, c.want)
		}
	}
	for _, c := range []struct {
		n         int
		criterion string
		want      string
	}{
		{0, "H2/1.1", ""}, {-3, "H2/1.1", ""},
		{2, "H2/1.1", "Ruben took the decision on H2/1.1 back. “The wrong key.”"},
		{2, "H2/2.1", "Ruben took the decision on H2/1.1 back. “The wrong key.”"},
		{9, "H2/1.1", "Ruben took the decision on H2/1.1 back. “The wrong key.”"},
	} {
		if got := Since(all, c.n, c.criterion); got != c.want {
			t.Errorf("since %d records ago, of %s: %q, want %q", c.n, c.criterion, got, c.want)
		}
	}
	both := []Record{met, {Kind: KindOverride, Subject: "x", ByName: "Ruben"}}
	if got := Since(both, 2, "H2/1.1"); got != "Tess decided H2/1.1: met." {
		t.Errorf("the decision on the criterion comes first: %q", got)
	}
	if got := Since(both, 1, "H2/1.1"); got != "Ruben was at work on it." {
		t.Errorf("of other work: %q", got)
	}
}
