package marking

import (
	"bytes"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"witnessmark/internal/brief"
	"witnessmark/internal/golden"
	"witnessmark/internal/uncertainty"
)

const measured = "measured.yaml"

// The flow temperature's instrument has ± 0.5 K and a last digit of 0.1 K: two rectangles of ± 0.5 and ± 0.05, of which
// ± 0.4825 K covers 95.45 %.
func TestPolicy13TooCloseToCall(t *testing.T) {
	left := "tf@as-left"
	runRulesOn(t, measured, []rule{
		{"well inside", nil, left, WithinLimit, codeWithinLimit, "", false},
		{"just far enough inside", []change{put(left, "79.5")}, left, WithinLimit, codeWithinLimit, "", false},
		{"too close inside: still kept", []change{put(left, "79.6")}, left, WithinLimit, codeWithinLimit, "too_close_to_call", false},
		{"on the limit: still kept", []change{put(left, "80.0")}, left, WithinLimit, codeWithinLimit, "too_close_to_call", false},
		{"too close outside: still broken", []change{put(left, "80.4")}, left, OutsideLimit, codeOutsideLimit, "too_close_to_call", false},
		{"far enough outside", []change{put(left, "80.5")}, left, OutsideLimit, codeOutsideLimit, "", false},
		{"as found is not judged", []change{put("tf@as-found", "79.9")}, "tf@as-found", Recorded, codeRecorded, "", false},
		{"a coarser digit is less certain", []change{put(left, "79")}, left, WithinLimit, codeWithinLimit, "", false},
		{"and more so", []change{put(left, "80")}, left, WithinLimit, codeWithinLimit, "too_close_to_call", false},
		{"in another unit", []change{put(left, "175.3", "°F")}, left, WithinLimit, codeWithinLimit, "too_close_to_call", false},
		{"a bound has no uncertainty", []change{put(left, "<79.9")}, left, WithinLimit, codeBound, "", false},
		{"no accuracy stated, none guessed", []change{put("plain", "3.00")}, "plain", WithinLimit, codeWithinLimit, "", false},
		{"never on top of a limit that carries its margin", []change{put("zs", "1.10")}, "zs", WithinLimit, codeWithinLimit, "", false},
		{"nor beyond it", []change{put("zs", "1.11")}, "zs", OutsideLimit, codeOutsideLimit, "", false},
		// 3 % of 10 is 0.3, and the repeats' own spread comes on top.
		{"repeats that agree", []change{put("qv#1", "10.4"), put("qv#2", "10.4"), put("qv#3", "10.4")}, "qv", WithinLimit, codeWithinLimit, "", false},
		{"repeats that scatter", []change{put("qv#1", "10.0"), put("qv#2", "10.4"), put("qv#3", "10.8")}, "qv", WithinLimit, codeWithinLimit, "too_close_to_call", false},
	})
}

func TestGuardBandsDecideWhereTheBriefSaysSo(t *testing.T) {
	// The gauge has ± 0.2 mbar and a last digit of 0.1 mbar, of which ± 0.207 mbar covers 95.45 %.
	runRulesOn(t, measured, []rule{
		{"three states: kept", []change{put("pw", "22.7")}, "pw", WithinLimit, codeWithinLimit, "", false},
		{"three states: undecided inside", []change{put("pw", "22.9")}, "pw", ToRead, codeTooClose, "", false},
		{"three states: undecided on the limit", []change{put("pw", "19.0")}, "pw", ToRead, codeTooClose, "", false},
		{"three states: undecided outside", []change{put("pw", "18.9")}, "pw", ToRead, codeTooClose, "", false},
		{"three states: broken", []change{put("pw", "18.7")}, "pw", OutsideLimit, codeOutsideLimit, "", false},
		{"guarded: kept", []change{put("cpc", "0.40")}, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"guarded: on the acceptance limit", []change{put("cpc", "0.45")}, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"guarded: inside the band", []change{put("cpc", "0.46")}, "cpc", OutsideLimit, codeGuard, "", true},
		{"guarded: beyond the limit is beyond the limit", []change{put("cpc", "0.56")}, "cpc", OutsideLimit, codeOutsideLimit, "", true},
		{"guarded: OL is still by the kind of test", []change{put("cpc", "OL")}, "cpc", OutsideLimit, codeOverload, "", true},
	})
}

func TestFiguresCarryUncertaintyToTheirLimits(t *testing.T) {
	drop := func(b string) change {
		return func(s *Sheet) { put("pb", b)(s) }
	}
	runRulesOn(t, measured, []rule{
		// ± 0.05 bar counted once and two last digits of 0.01 bar: u = √(0.05²/3 + 2 × 0.01²/12) = 0.02915, U = 0.058 bar.
		{"well inside", []change{drop("4.40"), put("drop", "0.10")}, "drop", Correct, codeWithin, "", false},
		{"too close inside", []change{drop("4.35"), put("drop", "0.15")}, "drop", Correct, codeWithin, "too_close_to_call", false},
		{"too close outside: the limit stays broken", []change{drop("4.28"), put("drop", "0.22")}, "drop", Correct, codeWithin, "limit_broken too_close_to_call", true},
		{"far outside", []change{drop("4.20"), put("drop", "0.30")}, "drop", Correct, codeWithin, "limit_broken", true},
		{"nothing is said beside a blank", []change{drop("4.35"), blank("drop")}, "drop", NotAttempted, codeBlank, "", true},
		{"the stated figure does not count", []change{drop("4.35"), put("drop", "0.05")}, "drop", Wrong, codeOutside, "too_close_to_call", true},
		// The guard band of half of U: the true value keeps the limit but not the band.
		{"a figure inside a guard band", []change{put("tf@as-left", "67.8"), put("dT", "17.8"), put("P", "14.7"), put("spare", "101")},
			"spare", Correct, codeWithin, "inside_guard_band", false},
		{"a figure clear of it", nil, "spare", Correct, codeWithin, "", false},
	})
}

// Both references and the uncertainty of one result, against values worked out apart from the program.
func TestMeasuredIsStored(t *testing.T) {
	c := compiled(t, measured)
	s := ModelSheet(c)
	put("tf@as-left", "79.8")(&s)
	put("tr", "59.8")(&s)
	r := Mark(c, s)
	for _, row := range []struct {
		line               string
		standard, expanded float64
		rule               uncertainty.Rule
		guard              float64
		keeps              float64
	}{
		{"tf@as-found", 0.290115, 0.482544, "", 0, 0},
		{"tf@as-left", 0.290115, 0.482544, uncertainty.Simple, 0, 0.754704}, // Φ(0.2/0.290115)
		{"pw", 0.119024, 0.207338, uncertainty.ThreeState, 0.207338, 1},
		{"cpc", 0.0132, 0.0228851, uncertainty.Guarded, 0.05, 1},
		{"zs", 0.030447, 0.050588, uncertainty.Simple, 0, 0},
		{"dT", 0.291548, 0.583095, "", 0, 0}, // ± 0.5 K once, and two last digits
	} {
		f := find(t, r, row.line)
		if f.Measured == nil {
			t.Errorf("%s: nothing is said of its uncertainty", row.line)
			continue
		}
		got := *f.Measured
		about(t, row.line+": u", got.Standard, row.standard)
		about(t, row.line+": U", got.Expanded, row.expanded)
		about(t, row.line+": guard band", got.Guard, row.guard)
		about(t, row.line+": probability", got.Keeps, row.keeps)
		if got.Rule != row.rule || got.Method != uncertainty.FirstOrder {
			t.Errorf("%s: %s by %s, want %s", row.line, got.Rule, got.Method, row.rule)
		}
	}
	for _, line := range []string{"plain"} {
		if f := find(t, r, line); f.Measured != nil {
			t.Errorf("%s: %+v, though no accuracy is stated", line, f.Measured)
		}
	}
}

// about compares to half a per cent; nil stands for 0.
func about(t *testing.T, name string, got *float64, want float64) {
	t.Helper()
	x := 0.0
	if got != nil {
		x = *got
	}
	if math.Abs(x-want) > 0.005*want {
		t.Errorf("%s: got %.6g, want %.6g", name, x, want)
	}
}

// Figures that rest on one reading twice are not taken for two: P + P is twice as uncertain as P, not √2 times.
func TestAReadingCountsOnce(t *testing.T) {
	c := compiled(t, measured)
	r := Mark(c, ModelSheet(c))
	p, two := find(t, r, "P"), find(t, r, "two")
	if got := *two.Measured.Standard / *p.Measured.Standard; math.Abs(got-2) > 1e-9 {
		t.Errorf("u(P + P) is %v times u(P)", got)
	}
	// By hand: Q = qv × 0.985 × 4.19 × dT = 16.5086 kW; u² = (Q × u(qv)/12)² + (Q × u(dT)/20)² with u(qv) = √(0.36²/3 +
	// 0.1²/12) and u(dT) = 0.291548 (as above).
	q, uq := 12.0/60*0.985*4.19*20, math.Sqrt(0.36*0.36/3+0.01/12)
	about(t, "u(P)", p.Measured.Standard, q*math.Hypot(uq/12, 0.291548/20))
}

// Where the formula bends within the spread and the limit is near, trials decide; the same sheet gives the same result.
func TestTrialsNearAKink(t *testing.T) {
	c := compiled(t, measured)
	s := ModelSheet(c)
	put("tf@as-left", "67.8")(&s) // P about 14.69 kW, 0.19 kW over the load with an uncertainty of 0.3 kW
	f := find(t, Mark(c, s), "over")
	if f.Measured == nil || f.Measured.Method != uncertainty.MonteCarlo {
		t.Fatalf("got %+v, want trials", f.Measured)
	}
	// What lies below the load is nothing: less spread than to first order.
	first := find(t, Mark(c, s), "P").Measured.Standard
	if *f.Measured.Standard > 0.9**first || *f.Measured.Standard < 0.4**first {
		t.Errorf("u = %v by trials, %v without the kink", *f.Measured.Standard, *first)
	}
	a := asJSON(t, Mark(c, s))
	for range 3 {
		if b := asJSON(t, Mark(compiled(t, measured), s)); !bytes.Equal(a, b) {
			t.Fatal("the same sheet gave another result")
		}
	}
	if far := find(t, Mark(c, ModelSheet(c)), "P"); far.Measured.Method != uncertainty.FirstOrder {
		t.Errorf("P: %s, though first order is enough", far.Measured.Method)
	}
}

// The golden file shows every way in which a measurement is set against a limit: a flag, both rules of a guard band, trials
// near a kink, a re-test. It is the same on every machine.
func TestGoldenMeasured(t *testing.T) {
	c := compiled(t, measured)
	s := ModelSheet(c)
	for _, do := range []change{
		put("tf@as-left", "67.8"), put("pw", "22.9"), put("cpc", "0.46"), put("pb", "4.35"), put("drop", "0.15"), put("dT", "17.8"),
		put("P", "14.7"), put("over", "0.2"), put("spare", "101"), put("two", "29.4"), put("sum", "45.31"),
		earlier("cpc", "0.62", "tightened the terminal in the spur"),
	} {
		do(&s)
	}
	r := Mark(c, s)
	golden.Check(t, filepath.Join(data, "measured-result.json"), asJSON(t, r))
	golden.Check(t, filepath.Join(data, "measured-result.txt"), []byte(Table(r)))
}

func TestTooCloseIsSaidToBoth(t *testing.T) {
	c := compiled(t, measured)
	s := ModelSheet(c)
	put("tf@as-left", "79.8")(&s)
	put("pw", "22.9")(&s)
	put("cpc", "0.46")(&s)
	r := Mark(c, s)
	for _, row := range []struct{ line, trainee, tutor string }{
		{"tf@as-left", "keeps the limit (at most 80\u2009°C). The true value may lie ±\u20090.483\u2009K from this", "keeps the limit"},
		{"pw", "inside the guard band of 0.207\u2009mbar", "too close to call"},
		{"cpc", "keeps the limit, but not for certain", "the leads are not taken off"},
	} {
		f := find(t, r, row.line)
		if !strings.Contains(f.Trainee, row.trainee) || !strings.Contains(f.Tutor, row.tutor) {
			t.Errorf("%s:\n trainee %s\n tutor   %s", row.line, f.Trainee, f.Tutor)
		}
	}
	for line, want := range map[string]string{
		"cpc": "at most 0.5\u2009Ω, guard band of 0.05\u2009Ω", "spare": "at least 100\u2009%, guard band of 50\u2009% of the uncertainty",
		"pw": "at least 19\u2009mbar, at most 23\u2009mbar, guard band of 100\u2009% of the uncertainty to either side", "zs": "at most 1.1\u2009Ω",
	} {
		if got := find(t, r, line).Limit; got != want {
			t.Errorf("%s: the limit reads %q, want %q", line, got, want)
		}
	}
	flag := find(t, r, "tf@as-left").Flags[0]
	if want := "Too close to call: 79.8\u2009°C ±\u20090.483\u2009K, and the limit is at most 80\u2009°C; the true value keeps it with a probability of about 75\u2009%. Take it again; tutor to see."; flag.Text != want {
		t.Errorf("flag:\n got %s\nwant %s", flag.Text, want)
	}
}

// Without a guard band uncertainty never touches a verdict, a mark or what blocks: the sheet is marked with and without
// the instruments' accuracies (policy 13).
func TestUncertaintyNeverChangesAVerdict(t *testing.T) {
	with, without := compiled(t, measured), compiled(t, measured)
	for i := range with.Items {
		with.Items[i].Guard, without.Items[i].Guard, without.Items[i].Accuracy = nil, nil, nil
	}
	rapid.Check(t, func(rt *rapid.T) {
		s := ModelSheet(with)
		for i := range s.Entries {
			if rapid.IntRange(0, 2).Draw(rt, "change") == 0 {
				s.Entries[i].Text = rapid.StringMatching(`[0-9]{1,2}(\.[0-9]{1,2})?`).Draw(rt, "text")
			}
		}
		a, b := Mark(with, s), Mark(without, s)
		for i := range a.Findings {
			x, y := &a.Findings[i], &b.Findings[i]
			if x.Verdict != y.Verdict || x.Code != y.Code || x.Marks != y.Marks || x.Blocks != y.Blocks {
				rt.Errorf("%s: %s (%s) with uncertainty, %s (%s) without", x.Line(), x.Verdict, x.Code, y.Verdict, y.Code)
			}
			if u := x.Measured; u != nil && (u.Expanded == nil || *u.Expanded < 0 || u.Keeps != nil && (*u.Keeps < 0 || *u.Keeps > 1)) {
				rt.Errorf("%s: %+v", x.Line(), u)
			}
		}
	})
}

func TestTheMeasuredModelIsFull(t *testing.T) {
	c := compiled(t, measured)
	if err := brief.Check(c.Brief, functions(), map[string][]string{"BSE-101": {"1.1"}}).Err(); err != nil {
		t.Fatalf("the test's brief could not be published:\n%v", err)
	}
	for _, f := range ModelFull(c) {
		t.Errorf("%s: %s (%s) %v: %s", f.Line(), f.Verdict, f.Code, f.Flags, f.Tutor)
	}
}

// A brief whose model answer lies inside its own guard band is not ready.
func TestAModelInsideItsGuardBandIsNotFull(t *testing.T) {
	c := compiled(t, measured)
	for i := range c.Items {
		if c.Items[i].Item.Key == "spare" {
			c.Items[i].Guard.Share = 3
		}
	}
	if open := ModelFull(c); len(open) != 1 || open[0].Item != "spare" {
		t.Errorf("got %v, want the one line inside its guard band", open)
	}
}

// Whatever is read, however large, small or odd, what is stored can be written down and read back.
func TestAnyMeasurementIsStored(t *testing.T) {
	c := compiled(t, measured)
	texts := rapid.OneOf(rapid.StringMatching(`[<>≤≥-]?[0-9]{1,3}(\.[0-9]{1,3})?(e-?[0-9]{1,2})?`), rapid.SampledFrom([]string{"0", "-0", "OL", "1e30", "-1e30", "1e-30", "½", "12,4", ""}))
	rapid.Check(t, func(rt *rapid.T) {
		s := ModelSheet(c)
		for i := range s.Entries {
			if rapid.Bool().Draw(rt, "change") {
				s.Entries[i].Text = texts.Draw(rt, "text")
			}
		}
		a := asJSON(t, Mark(c, s))
		if b := asJSON(t, Mark(c, s)); !bytes.Equal(a, b) {
			rt.Fatal("marking twice gave two results")
		}
	})
}
