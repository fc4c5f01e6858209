package marking

import (
	"strings"
	"testing"
)

// earlier puts a result before the one on the line, with what was done then.
func earlier(line, text, done string) change {
	return func(s *Sheet) {
		e := entryFor(line)
		s.Earlier = append(s.Earlier, EarlierRow{Item: e.Item, Part: e.Part, Phase: e.Phase, Text: text, Done: done})
	}
}

func TestPolicy14ReTests(t *testing.T) {
	mended := "tightened the terminal in the spur"
	runRules(t, []rule{
		{"the re-test decides", []change{earlier("cpc", "0.62", mended)}, "cpc", WithinLimit, codeWithinLimit, "retested", false},
		{"a failed re-test too", []change{earlier("cpc", "0.62", mended), put("cpc", "0.55")}, "cpc", OutsideLimit, codeOutsideLimit, "retested", true},
		{"two before it", []change{earlier("cpc", "0.62", mended), earlier("cpc", "0.55", "cleaned the lug")}, "cpc", WithinLimit, codeWithinLimit, "retested retested", false},
		{"not a word of what was done: safety-critical", []change{earlier("cpc", "0.62", " ")}, "cpc", WithinLimit, codeWithinLimit, "retest_unsaid", true},
		{"not a word, where nobody is hurt", []change{earlier("ir", "0.5", "")}, "ir", WithinLimit, codeBound, "retest_unsaid", false},
		{"a passed one needs no word", []change{earlier("cpc", "0.2", "")}, "cpc", WithinLimit, codeWithinLimit, "retested", false},
		{"OL before it, by the kind of test", []change{earlier("cpc", "OL", "")}, "cpc", WithinLimit, codeWithinLimit, "retest_unsaid", true},
		{"one that cannot be read", []change{earlier("cpc", "0,62", "")}, "cpc", WithinLimit, codeWithinLimit, "retest_unsaid", true},
		{"of one of several repeats", []change{earlier("qv#2", "17", "bled the pump")}, "qv", WithinLimit, codeWithinLimit, "retested", false},
		{"as left, not as found", []change{earlier("tf@as-left", "85", "turned the boiler's thermostat down")}, "tf@as-found", Recorded, codeRecorded, "", false},
		{"a cell of a grid", []change{earlier("grid#calls/pump", "stands", "put the orange wire back")}, "grid#calls/pump", Correct, codeAsExpected, "retested", false},
		{"the next cell is its own", []change{earlier("grid#calls/pump", "stands", "put the orange wire back")}, "grid#calls/valve", Correct, codeAsExpected, "", false},
		{"an observation", []change{earlier("noise", "rattles", "")}, "noise", Correct, codeAsExpected, "retest_unsaid", false},
	})
}

// What was inside the brief's own guard band when it was the latest has failed, and stays so once it is an earlier row.
func TestEarlierRowsKnowTheGuardBand(t *testing.T) {
	runRulesOn(t, measured, []rule{
		{"inside the band it failed", []change{earlier("cpc", "0.46", "")}, "cpc", WithinLimit, codeWithinLimit, "retest_unsaid", true},
		{"outside the band it kept the limit", []change{earlier("cpc", "0.44", "")}, "cpc", WithinLimit, codeWithinLimit, "retested", false},
	})
}

func TestReTestsStayOnRecord(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	earlier("cpc", "0.62", "tightened  the terminal.")(&s)
	earlier("qv#2", "17 L/min", "")(&s)
	earlier("nothing", "1", "")(&s)
	r := Mark(c, s)
	f := find(t, r, "cpc")
	if len(f.Earlier) != 1 || f.Earlier[0] != (Earlier{Stated: "0.62", Verdict: OutsideLimit, Done: "tightened the terminal."}) {
		t.Errorf("got %+v", f.Earlier)
	}
	if want := "An earlier result, 0.62 (outside limit), stands on the sheet. In between: tightened the terminal."; f.Flags[0].Text != want {
		t.Errorf("flag:\n got %s\nwant %s", f.Flags[0].Text, want)
	}
	qv := find(t, r, "qv")
	if len(qv.Earlier) != 1 || qv.Earlier[0].Part != "2" {
		t.Errorf("got %+v", qv.Earlier)
	}
	if want := "Write down what you did before you tested again."; !strings.HasSuffix(qv.Trainee, want) {
		t.Errorf("the trainee reads %s", qv.Trainee)
	}
	if len(r.Flags) != 1 || r.Flags[0].Code != FlagUnknownItem {
		t.Errorf("flags of the sheet: %v", r.Flags)
	}
}

func TestReTestsOnASubmissionFile(t *testing.T) {
	s, err := ReadSheet([]byte("entries:\n  - {item: cpc, text: \"0.12\"}\nearlier:\n  - {item: cpc, text: \"0.62\", unit: Ω, done: tightened the terminal}\n  - {item: tf, phase: as-left, text: \"85\"}\n"))
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Earlier) != 2 || s.Earlier[0] != (EarlierRow{Item: "cpc", Text: "0.62", Unit: "Ω", Done: "tightened the terminal"}) || s.Earlier[1].Phase != "as-left" {
		t.Errorf("got %+v", s.Earlier)
	}
	for _, bad := range []string{"earlier:\n  - {text: \"1\"}\n", "earlier:\n  - {item: cpc, text: \"1\", why: x}\n", "earlier: {item: cpc}\n"} {
		if _, err := ReadSheet([]byte(bad)); err == nil {
			t.Errorf("%q: no error", bad)
		}
	}
}

func TestCrossChecksKnowTheirInstruments(t *testing.T) {
	for _, c := range []struct {
		name, tf, tr string
		want         string
	}{
		{"kept", "70.0", "50.0", ""},
		{"broken by less than the two instruments allow", "50.0", "51.0", FlagCrossClose}, // ± 0.55 K each
		{"equal", "50.0", "50.0", FlagCrossClose},
		{"broken by more", "50.0", "51.2", FlagCrossCheck},
		{"a coarser digit allows more", "50", "51.5", FlagCrossClose},
		{"one is missing", "50.0", "", ""},
	} {
		brief := compiled(t, measured)
		s := ModelSheet(brief)
		put("tf@as-left", c.tf)(&s)
		put("tr", c.tr)(&s)
		got := ""
		for _, f := range Mark(brief, s).Flags {
			got += f.Code
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
	// Where no accuracy is stated a broken relation is broken.
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	put("tr", "69.9")(&s)
	if r := Mark(c, s); len(r.Flags) != 1 || r.Flags[0].Code != FlagCrossCheck {
		t.Errorf("got %v", r.Flags)
	}
}

func TestWhyARetestBlocks(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	earlier("cpc", "0.62", "")(&s)
	reasons := Support(c, Mark(c, s), "1.1").Reasons()
	if len(reasons) != 1 || !strings.Contains(reasons[0], "What was done in between is not said") {
		t.Errorf("got %q", reasons)
	}
}
