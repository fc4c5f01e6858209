package uncertainty

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// JCGM 106:2012, clause 7: our rows, and two of the guide's own examples as remembered: 0.92 and 0.66.
func TestConformance(t *testing.T) {
	n := 0
	for _, r := range rows(t) {
		if r.quantity != "conformance probability pc" {
			continue
		}
		n++
		var y, u float64
		var low, high string
		fields := strings.Split(r.inputs, "; ")
		scan(t, fields[0], "y=%f", &y)
		scan(t, fields[1], "u=%f", &u)
		scan(t, fields[2], "TL=%s", &low)
		scan(t, fields[3], "TU=%s", &high)
		l := AtMost(0)
		scan(t, high, "%f", &l.High)
		if low != "None" {
			scan(t, low, "%f", &l.Low)
		}
		same(t, r.inputs, Conformance(y, u, l), r)
	}
	if n != 5 {
		t.Errorf("%d rows, want 5", n)
	}
	near(t, "upper limit alone", Conformance(-5.47, 0.05, AtMost(-5.40)), 0.92, 0.005)
	near(t, "the same to five digits", Conformance(-5.47, 0.05, AtMost(-5.40)), 0.91924, 5e-6)
	near(t, "two limits", Conformance(13.6, 1.8, Limits{12.5, 16.3}), 0.66263, 5e-6)
	near(t, "a drop on a gauge", Conformance(3.6, 0.122474487, AtMost(4)), 0.999455, 5e-7)
	near(t, "without uncertainty: kept", Conformance(4, 0, AtMost(4)), 1, 0)
	near(t, "without uncertainty: broken", Conformance(4.0001, 0, AtMost(4)), 0, 0)
	near(t, "a lower limit", Conformance(10, 0.2, AtLeast(10)), 0.5, 1e-12)
}

func scan(t testing.TB, text, format string, to any) {
	t.Helper()
	if _, err := fmt.Sscanf(text, format, to); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
}

// A guard band w = rU leaves the specific risk of a value that just passes (ILAC-G8:09/2019, ISO 14253-1:2017; k = 2).
func TestGuardBandRisks(t *testing.T) {
	for _, c := range []struct{ r, want float64 }{
		{0, want(t, "guard band w=0: specific risk at AL").value},
		{0.5, 0.158655},
		{0.83, want(t, "guard band w=0.83U: specific risk at AL").value},
		{1, want(t, "guard band w=U: specific risk at AL").value},
	} {
		l := AtMost(10)
		near(t, fmt.Sprint("r = ", c.r), 1-Conformance(l.Guarded(c.r*2*0.3).High, 0.3, l), c.want, 6e-7)
	}
	// A limit of 4 mbar with the gauge's U of 0.245 mbar: accepted up to 3.755 mbar.
	near(t, "acceptance limit", AtMost(4).Guarded(0.244949).High, 3.755, 5e-4)
}

// JCGM 106:2012, 9.5, for a process N(0; 0.12) measured with u = 0.04 against ± 0.2.
func TestGlobalRisks(t *testing.T) {
	l := Limits{-0.2, 0.2}
	for _, c := range []struct{ w, consumer, producer float64 }{
		{0, 0.018942, 0.037208}, {0.04, 0.004334, 0.114657}, {0.08, 0.000469, 0.247670},
	} {
		got := GlobalRisks(Process{0, 0.12}, 0.04, l, l.Guarded(c.w))
		near(t, fmt.Sprintf("w = %v: consumer", c.w), got.Consumer, c.consumer, 6e-7)
		near(t, fmt.Sprintf("w = %v: producer", c.w), got.Producer, c.producer, 6e-7)
	}
	// With the limit at the mean the two risks are the two thin wedges of a correlated pair: atan(u/SD)/2π each.
	one := GlobalRisks(Process{0, 1}, 0.1, AtMost(0), AtMost(0))
	near(t, "an open end: consumer", one.Consumer, math.Atan(0.1)/(2*math.Pi), 1e-9)
	near(t, "an open end: producer", one.Producer, math.Atan(0.1)/(2*math.Pi), 1e-9)
	all := GlobalRisks(Process{0, 1}, 1, AtMost(0), Limits{math.Inf(-1), math.Inf(1)})
	near(t, "everything accepted: half is out", all.Consumer, 0.5, 1e-9)
	near(t, "nothing rejected", all.Producer, 0, 1e-12)
}

func TestDecide(t *testing.T) {
	l := Limits{10, 20}
	for _, c := range []struct {
		name string
		rule Rule
		y, w float64
		want Outcome
	}{
		{"simple: on the limit", Simple, 20, 1, Kept},
		{"simple: a guard band does not count", Simple, 19.5, 1, Kept},
		{"simple: beyond", Simple, 20.1, 1, Broken},
		{"guarded: on the acceptance limit", Guarded, 19, 1, Kept},
		{"guarded: inside the band", Guarded, 19.5, 1, Broken},
		{"guarded: at the lower end too", Guarded, 10.5, 1, Broken},
		{"guarded: without a band", Guarded, 20, 0, Kept},
		{"three states: kept", ThreeState, 19, 1, Kept},
		{"three states: undecided inside", ThreeState, 19.5, 1, Undecided},
		{"three states: undecided outside", ThreeState, 21, 1, Undecided},
		{"three states: below", ThreeState, 9, 1, Undecided},
		{"three states: broken", ThreeState, 21.1, 1, Broken},
		{"three states: no band leaves two", ThreeState, 20.1, 0, Broken},
		{"a band wider than the limits keeps nothing", Guarded, 15, 6, Broken},
	} {
		if got := c.rule.Decide(c.y, c.w, l); got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	near(t, "distance inside", l.Distance(13), 3, 0)
	near(t, "distance outside", l.Distance(22), 2, 0)
	near(t, "distance from an open end does not count", AtLeast(10).Distance(1e6), 1e6-10, 0)
}

// The stricter rule never keeps what the looser one breaks; what is kept under a guard band conforms at the better odds.
func TestRulesAgree(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		l := Limits{rapid.Float64Range(-5, 0).Draw(rt, "low"), rapid.Float64Range(0, 5).Draw(rt, "high")}
		y, w, u := rapid.Float64Range(-10, 10).Draw(rt, "y"), rapid.Float64Range(0, 2).Draw(rt, "w"), rapid.Float64Range(0.01, 2).Draw(rt, "u")
		simple, guarded, three := Simple.Decide(y, w, l), Guarded.Decide(y, w, l), ThreeState.Decide(y, w, l)
		if guarded == Kept && (simple != Kept || three != Kept) || three == Broken && simple != Broken {
			rt.Errorf("simple %v, guarded %v, three-state %v", simple, guarded, three)
		}
		p := Conformance(y, u, l)
		if p < 0 || p > 1 {
			rt.Errorf("a probability of %v", p)
		}
	})
}
