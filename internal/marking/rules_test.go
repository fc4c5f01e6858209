package marking

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

// bay7 is a sheet for testdata/marking/bay7.yaml on which every line is right: the brief's own model answer.
func bay7(t testing.TB, c *brief.Compiled) Sheet {
	t.Helper()
	return ModelSheet(c)
}

// change is what a test does to a right sheet.
type change func(*Sheet)

// put types text (and a unit) on a line: "item", "item#part" or "item@phase".
func put(line, text string, unit ...string) change {
	return func(s *Sheet) {
		s.Entries = slices.DeleteFunc(s.Entries, func(e Entry) bool { return lineOf(e) == line })
		e := entryFor(line)
		e.Text, e.Unit = text, strings.Join(unit, "")
		s.Entries = append(s.Entries, e)
	}
}

// show puts working beside a line's figure.
func working(line, text string) change {
	return func(s *Sheet) {
		for i := range s.Entries {
			if lineOf(s.Entries[i]) == line {
				s.Entries[i].Working = text
			}
		}
	}
}

// blank takes a line's entry away.
func blank(line string) change {
	return func(s *Sheet) {
		s.Entries = slices.DeleteFunc(s.Entries, func(e Entry) bool { return lineOf(e) == line })
	}
}

// check replaces the tutor's check of a reading.
func check(item, text string) change {
	return func(s *Sheet) {
		unchecked(item)(s)
		s.Checks = append(s.Checks, CheckReading{Item: item, Text: text})
	}
}

func unchecked(item string) change {
	return func(s *Sheet) {
		s.Checks = slices.DeleteFunc(s.Checks, func(c CheckReading) bool { return c.Item == item })
	}
}

func given(name, text string) change { return func(s *Sheet) { s.Given[name] = text } }

func lineOf(e Entry) string {
	f := Finding{Item: e.Item, Part: e.Part, Phase: e.Phase}
	return f.Line()
}

func entryFor(line string) Entry {
	item, phase, _ := strings.Cut(line, "@")
	item, part, _ := strings.Cut(item, "#")
	return Entry{Item: item, Part: part, Phase: brief.Phase(phase)}
}

func find(t testing.TB, r Result, line string) *Finding {
	t.Helper()
	for i := range r.Findings {
		if r.Findings[i].Line() == line {
			return &r.Findings[i]
		}
	}
	t.Fatalf("there is no line %s", line)
	return nil
}

// flow sets all three repeats of the flow to one text.
func flow(text string) change {
	return func(s *Sheet) {
		for _, line := range []string{"qv#1", "qv#2", "qv#3"} {
			put(line, text)(s)
		}
	}
}

// rule is one row: what is changed on a right sheet, and what one line then comes to. Flags lists the flags that must be
// there, in order; a leading "!" on blocks means that it must not block.
type rule struct {
	name    string
	do      []change
	line    string
	verdict Verdict
	code    string
	flags   string // joined by spaces
	blocks  bool
}

func runRules(t *testing.T, rules []rule) {
	t.Helper()
	runRulesOn(t, "bay7.yaml", rules)
}

// runRulesOn starts from the model answer of another brief of testdata/marking.
func runRulesOn(t *testing.T, file string, rules []rule) {
	t.Helper()
	c := compiled(t, file)
	for _, row := range rules {
		t.Run(row.name, func(t *testing.T) {
			s := bay7(t, c)
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), row.line)
			if f.Verdict != row.verdict || f.Code != row.code {
				t.Errorf("%s: got %s (%s), want %s (%s)\n%s", row.line, f.Verdict, f.Code, row.verdict, row.code, f.Tutor)
			}
			var flags []string
			for _, flag := range f.Flags {
				flags = append(flags, flag.Code)
			}
			if got := strings.Join(flags, " "); got != row.flags {
				t.Errorf("%s: flags: got %q, want %q\n%v", row.line, got, row.flags, f.Flags)
			}
			if f.Blocks != row.blocks {
				t.Errorf("%s: blocks: got %v, want %v", row.line, f.Blocks, row.blocks)
			}
			full := f.Verdict == Correct || f.Verdict == FollowThrough
			if f.Available > 0 && (f.Marks != 0) != full || full && f.Marks != f.Available {
				t.Errorf("%s: %s has %d of %d marks", row.line, f.Verdict, f.Marks, f.Available)
			}
			if f.Trainee == "" || f.Tutor == "" {
				t.Errorf("%s: a sentence is missing", row.line)
			}
		})
	}
}

func TestTheModelAnswerIsFull(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	known := map[string][]string{"BSE-101": {"1.1", "1.2", "2.1", "2.2"}}
	if err := brief.Check(c.Brief, functions(), known).Err(); err != nil {
		t.Fatalf("the test's brief could not be published:\n%v", err)
	}
	for _, f := range ModelFull(c) {
		t.Errorf("%s: %s (%s) %v: %s", f.Line(), f.Verdict, f.Code, f.Flags, f.Tutor)
	}
}

func TestPolicy02Reading(t *testing.T) {
	runRules(t, []rule{
		{"a plain number", nil, "dT", Correct, codeWithin, "", false},
		{"spaces around", []change{put("dT", "  18.5 ")}, "dT", Correct, codeWithin, "", false},
		{"no-break and thin spaces", []change{put("dT", "\u00a018.5\u202fK")}, "dT", Correct, codeWithin, "", false},
		{"a unit glued on", []change{put("dT", "18.5K")}, "dT", Correct, codeWithin, "", false},
		{"full-width digits", []change{put("dT", "１８.５")}, "dT", Correct, codeWithin, "", false},
		{"a plus sign", []change{put("dT", "+18.5")}, "dT", Correct, codeWithin, "", false},
		{"an exponent", []change{put("dT", "1.85e1")}, "dT", Correct, codeWithin, "", false},
		{"the minus of print", []change{put("dT", "−18.5")}, "dT", Wrong, codeOutside, "", false},
		{"thousands", []change{put("P", "15,790", "W")}, "P", Correct, codeWithin, "working_missing", false},
		{"an ambiguous comma is never guessed", []change{put("dT", "18,5")}, "dT", ToRead, "ambiguous", "", false},
		{"comma and point the other way", []change{put("P", "1.234,5", "kW")}, "P", ToRead, "not_a_number", "working_missing", false},
		{"Arabic-Indic digits", []change{put("dT", "١٨")}, "dT", ToRead, "not_a_number", "", false},
		{"words", []change{put("dT", "about eighteen")}, "dT", ToRead, "not_a_number", "", false},
		{"NaN is no number", []change{put("dT", "NaN")}, "dT", ToRead, "not_a_number", "", false},
		{"infinity is no number", []change{put("dT", "-inf")}, "dT", ToRead, "not_a_number", "", false},
		{"underscores are not digits", []change{put("dT", "1_8")}, "dT", ToRead, "not_a_number", "", false},
		{"hexadecimal", []change{put("dT", "0x12")}, "dT", ToRead, "not_a_number", "", false},
		{"beyond all proportion", []change{put("dT", "1e400")}, "dT", ToRead, "out_of_range", "", false},
		{"a million nines", []change{put("dT", strings.Repeat("9", 1_000_000))}, "dT", ToRead, "out_of_range", "", false},
		{"blank", []change{blank("dT")}, "dT", NotAttempted, codeBlank, "", false},
		{"a dash is blank", []change{put("dT", "-")}, "dT", NotAttempted, codeBlank, "", false},
		{"n/a is blank", []change{put("dT", "n/a")}, "dT", NotAttempted, codeBlank, "", false},
		{"zero is not blank", []change{put("dT", "0")}, "dT", Wrong, codeOutside, "", false},
		{"minus zero is zero", []change{put("dT", "-0")}, "dT", Wrong, codeOutside, "", false},
		{"a bound is no figure", []change{put("dT", ">18")}, "dT", ToRead, codeBound, "", false},
		{"OL on continuity is a fail", []change{put("cpc", "OL")}, "cpc", OutsideLimit, codeOverload, "", true},
		{"OL on insulation resistance is a pass", []change{put("ir", "OL")}, "ir", WithinLimit, codeOverload, "", false},
		{"OL elsewhere is for the tutor", []change{put("tf@as-left", "OL")}, "tf@as-left", ToRead, codeOverload, "", false},
		{"a bound wholly inside", []change{put("ir", ">200")}, "ir", WithinLimit, codeBound, "", false},
		{"a bound on the limit", []change{put("ir", ">1")}, "ir", WithinLimit, codeBound, "", false},
		{"a bound that may lie on either side", []change{put("ir", ">0.5")}, "ir", ToRead, codeBound, "", false},
		{"a bound wholly outside", []change{put("ir", "<1")}, "ir", OutsideLimit, codeBound, "", false},
		{"at most the limit may still be the limit", []change{put("ir", "≤1")}, "ir", ToRead, codeBound, "", false},
		{"a bound in another unit", []change{put("ir", ">200", "kΩ")}, "ir", ToRead, codeBound, "", false},
		{"a bound between two limits", []change{put("tf@as-left", "<70")}, "tf@as-left", ToRead, codeBound, "", false},
		{"a bound beyond the upper of two limits", []change{put("tf@as-left", ">80")}, "tf@as-left", OutsideLimit, codeBound, "", false},
		{"a mean of bounds stays a bound", []change{flow(">17")}, "qv", OutsideLimit, codeBound, "", false},
		{"a mean with one bound is a bound", []change{flow("17"), put("qv#2", ">17")}, "qv", OutsideLimit, codeBound, "", false},
		{"bounds that point apart", []change{put("qv#1", ">5"), put("qv#2", "<30")}, "qv", ToRead, codeBound, "", false},
		{"a figure that rests on a bound", []change{flow(">17")}, "P", ToRead, codeNoReference, "no_reference", false},
		{"a figure that rests on a missing reading", []change{blank("tr")}, "dT", ToRead, codeNoReference, "no_reference", false},
	})
}

func TestPolicy03Units(t *testing.T) {
	calc := "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 15.8"
	runRules(t, []rule{
		{"the form prints the unit: none typed is no fault", []change{put("dT", "18.5")}, "dT", Correct, codeWithin, "", false},
		{"converted by exact factor", []change{put("P", "15790", "W"), working("P", calc)}, "P", Correct, codeWithin, "", false},
		{"asked and missing", []change{put("P", "15.8"), working("P", calc)}, "P", UnitMissing, codeUnitMissing, "", false},
		{"another dimension", []change{put("P", "99", "V"), working("P", calc)}, "P", UnitWrong, "wrong_dimension", "working_disagrees", false},
		{"right digits, another dimension", []change{put("P", "15.8", "V"), working("P", calc)}, "P", UnitWrong, "wrong_dimension", "unit_label", false},
		{"right digits, wrong prefix", []change{put("P", "15.8", "W"), working("P", calc)}, "P", Wrong, codeOutside, "unit_label", false},
		{"worked in watts and called kilowatts", []change{put("P", "15790", "kW"), working("P", "12.4 ÷ 60 × 0.988 × 4180 × 18.5 = 15790")}, "P", Wrong, codeOutside, "unit_prefix", false},
		{"a millionth", []change{put("P", "15.8", "mW"), working("P", calc)}, "P", Wrong, codeOutside, "unit_label", false},
		{"an unknown unit", []change{put("P", "15.8", "kilowhats"), working("P", calc)}, "P", ToRead, "unknown_unit", "", false},
		{"a unit of 10,000 characters", []change{put("P", "15.8", strings.Repeat("k", 10_000)), working("P", calc)}, "P", ToRead, "unknown_unit", "", false},
		{"letter case where one unit can be meant", []change{put("P", "15.8", "Kw"), working("P", calc)}, "P", Correct, codeWithin, "unit_note", false},
		{"°C for a difference", []change{put("dT", "18.5", "°C")}, "dT", Correct, codeWithin, "unit_note", false},
		{"K for a temperature", []change{put("tr", "51.3", "K")}, "tr", ToRead, "kelvin_for_temperature", "", false},
		{"°F for a temperature", []change{put("tr", "124.34", "°F")}, "tr", Recorded, codeRecorded, "", false},
		{"bar for millibar", []change{put("drop", "0.00154", "bar")}, "drop", Correct, codeWithin, "", false},
		{"two different units", []change{put("dT", "18.5 K", "min")}, "dT", ToRead, "two_units", "", false},
		{"a reading in another dimension", []change{put("ir", "5", "V")}, "ir", UnitWrong, "wrong_dimension", "", false},
		{"a missing unit is paid for once", []change{put("P", "15.8"), put("E", "31.6")}, "E", Correct, codeWithin, "", false},
		{"a wrong label is paid for once", []change{put("P", "15.8", "W"), put("E", "31.6")}, "E", Correct, codeWithin, "", false},
		{"another kind is followed from as large as it says", []change{put("P", "15800", "VA"), put("E", "31.6")}, "E", Correct, codeWithin, "", false},
		{"percent is a ratio", []change{put("share", "1.09")}, "share", Wrong, codeOutside, "", false},
	})
}

// Digits that are right under another prefix are no sign of a wrong method.
func TestPrefixIsNoMethod(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	s := bay7(t, c)
	put("P", "15790", "kW")(&s)
	working("P", "12.4 ÷ 60 × 0.988 × 4180 × 18.5 = 15790")(&s)
	f := find(t, Mark(c, s), "P")
	if !hasFlag(f, FlagPrefix) || hasFlag(f, FlagMethodWrong) || !strings.Contains(f.Trainee, "1000 times too large") {
		t.Errorf("flags %v, for the trainee %q", f.Flags, f.Trainee)
	}
}

func TestPolicy05To06LimitsAndSides(t *testing.T) {
	runRules(t, []rule{
		{"on the limit", []change{put("tf@as-left", "80.0")}, "tf@as-left", WithinLimit, codeWithinLimit, "", false},
		{"the last digit over it", []change{put("tf@as-left", "80.1")}, "tf@as-left", OutsideLimit, codeOutsideLimit, "", false},
		{"on the lower limit", []change{put("tf@as-left", "60")}, "tf@as-left", WithinLimit, codeWithinLimit, "", false},
		{"a failed safety-critical reading blocks", []change{put("cpc", "0.51")}, "cpc", OutsideLimit, codeOutsideLimit, "", true},
		{"the true value breaks the figure's limit", []change{flow("12.7"), put("drop", "1.61")}, "drop", Correct, codeWithin, "limit_broken", false},
		{"tolerance does not bring it back inside", []change{flow("12.7"), put("drop", "1.58")}, "drop", Wrong, codeLimitSide, "limit_broken", false},
		{"at least: the reference itself", []change{put("Ve", "3.84")}, "Ve", Correct, codeWithin, "", false},
		{"at least: a little less", []change{put("Ve", "3.83")}, "Ve", Wrong, codeOutside, "", true},
		{"at least: more", []change{put("Ve", "5.5")}, "Ve", Correct, codeWithin, "", false},
		{"at least: beyond the brief's bound", []change{put("Ve", "6.1")}, "Ve", Wrong, codeOutside, "", true},
		{"the least size", nil, "size", Correct, codeAsExpected, "", false},
		{"a larger size that the brief takes", []change{put("size", "12", "L")}, "size", Correct, codeAsExpected, "", false},
		{"a size too small", []change{put("size", "5 L")}, "size", Wrong, codeNotExpected, "", true},
		{"a size that is not stocked", []change{put("size", "10")}, "size", ToRead, codeNotAnOption, "", true},
		{"no size is large enough", []change{given("Vs", "400 L"), put("Ve", "16"), put("size", "12 L")}, "size", Wrong, codeNotExpected, "", true},
	})
}

func TestPolicy07To10TwoReferences(t *testing.T) {
	calc := working("P", "12.4 ÷ 60 × 0.988 × 4.18 × 16.5 = 14.1 kW")
	runRules(t, []rule{
		{"follows from own", []change{put("dT", "16.5"), put("P", "14.1", "kW"), calc}, "P", FollowThrough, codeFollows, "", false},
		{"and on from there", []change{put("dT", "16.5"), put("P", "14.1", "kW"), put("E", "28.2")}, "E", FollowThrough, codeFollows, "", false},
		{"neither", []change{put("dT", "16.5"), put("P", "20", "kW"), working("P", "20")}, "P", Wrong, codeOutside, "", false},
		{"right, but not from own", []change{put("dT", "16.5"), working("P", "")}, "P", Correct, codeWithin, "inconsistent_with_own_working working_missing", false},
		{"own as stated and converted", []change{put("P", "15790", "W"), put("E", "31.6")}, "E", Correct, codeWithin, "", false},
		{"an earlier figure not stated", []change{blank("P"), put("E", "40")}, "E", Wrong, codeOutside, "earlier_not_stated", false},
		{"an earlier figure not readable", []change{put("P", "15,8", "kW"), put("E", "31.6")}, "E", Correct, codeWithin, "", false},
		{"policy 8: no follow-through on a safety-critical figure", []change{put("Ve", "3.0"), put("double", "6.0")}, "double", Wrong, codeTrueDecides, "do_not_fit", true},
		{"policy 8: the true value counts", []change{put("Ve", "3.0"), put("double", "7.7")}, "double", Correct, codeWithin, "inconsistent_with_own_working", false},
		{"policy 8: nor on a safety-critical choice", []change{put("Ve", "2.4"), put("size", "5")}, "size", Wrong, codeTrueDecides, "do_not_fit", true},
		{"policy 9: method right, but a hold point needs it", []change{put("P", "14.0", "kW"), put("enough", "it does not")}, "enough", FollowThrough, codeFollows, "do_not_fit", false},
		{"a choice right, but not from own", []change{put("P", "14.0", "kW")}, "enough", Correct, codeAsExpected, "inconsistent_with_own_working", false},
		{"a choice is none of the options", []change{put("enough", "maybe")}, "enough", ToRead, codeNotAnOption, "", false},
		{"letter case and spaces in a choice", []change{put("enough", " It  does")}, "enough", Correct, codeAsExpected, "", false},
		{"an earlier zero leaves no own reference to divide by", []change{put("P", "0", "kW")}, "ratio", Correct, codeWithin, "", false},
		{"two earlier ones astray", []change{put("dT", "16.5"), put("P", "20", "kW"), put("E", "40")}, "E", FollowThrough, codeFollows, "", false},
		{"an earlier zero does not stop the marker", []change{put("P", "0", "kW"), put("share", "109")}, "share", Correct, codeWithin, "inconsistent_with_own_working", false},
		{"policy 10: a slip made afresh", []change{put("P", "947", "kW"), put("E", "113640"), working("P", "947")}, "E", Wrong, codeOutside, "slip_made_again", false},
		{"policy 10: what follows from the first is followed through", []change{put("P", "947", "kW"), put("E", "1894")}, "E", FollowThrough, codeFollows, "", false},
	})
}

func TestPolicy12To14Readings(t *testing.T) {
	runRules(t, []rule{
		{"12: unbelievable is a flag, never a mark", []change{put("tf@as-left", "25")}, "tf@as-left", OutsideLimit, codeOutsideLimit, "outside_believable", false},
		{"12: believable and outside the limit", []change{flow("17")}, "qv", OutsideLimit, codeOutsideLimit, "", false},
		{"12: seen by the tutor", nil, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"12: neither seen nor checked", []change{unchecked("cpc")}, "cpc", WithinLimit, codeWithinLimit, "needs_check_reading", true},
		{"12: a check reading that agrees", []change{check("cpc", "0.17")}, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"12: a check reading in the trainee's unit", []change{put("cpc", "120", "mΩ"), check("cpc", "160")}, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"12: a check reading in another unit", []change{check("cpc", "170 mΩ")}, "cpc", WithinLimit, codeWithinLimit, "", false},
		{"12: a check reading that does not agree", []change{check("cpc", "0.18")}, "cpc", WithinLimit, codeWithinLimit, "check_reading_differs", true},
		{"12: an unreadable check reading", []change{check("cpc", "0,17")}, "cpc", WithinLimit, codeWithinLimit, "needs_check_reading", true},
		{"12: agreeing, but itself beyond the limit", []change{put("cpc", "0.49"), check("cpc", "0.52")}, "cpc", WithinLimit, codeWithinLimit, "check_reading_differs", true},
		{"12: without a limit it is still needed", []change{unchecked("pset")}, "pset", Recorded, codeRecorded, "needs_check_reading", true},
		{"12: a figure that rests on it cannot support met", []change{unchecked("pset")}, "relief", Correct, codeWithin, "rests_on_unproved", true},
		{"12: nor where the check differs", []change{check("pset", "3.2")}, "relief", Correct, codeWithin, "rests_on_unproved", true},
		{"12: a safety-critical reading not taken", []change{blank("cpc")}, "cpc", NotAttempted, codeBlank, "", true},
		{"13: the mean decides, as shown", []change{put("qv#1", "15.9"), put("qv#2", "16.0"), put("qv#3", "16.1")}, "qv", WithinLimit, codeWithinLimit, "repeat_outside", false},
		{"13: a repeat is missing", []change{blank("qv#2")}, "qv", ToRead, codeRepeatsMissing, "", false},
		{"13: one repeat cannot be read", []change{put("qv#2", "12,4")}, "qv", ToRead, "ambiguous", "", false},
		{"14: as found is taken down, not judged", []change{put("tf@as-found", "85")}, "tf@as-found", Recorded, codeRecorded, "", false},
		{"14: as left is judged", []change{put("tf@as-found", "85")}, "tf@as-left", WithinLimit, codeWithinLimit, "", false},
		{"14: formulas use the last", []change{put("tf@as-found", "85")}, "dT", Correct, codeWithin, "", false},
	})
}

func TestGridsWordsAndTicks(t *testing.T) {
	runRules(t, []rule{
		{"a cell as expected", nil, "grid#calls/pump", Correct, codeAsExpected, "", false},
		{"a cell that differs", []change{put("grid#calls/pump", "stands")}, "grid#calls/pump", Wrong, codeNotExpected, "", false},
		{"the next cell is its own", []change{put("grid#calls/pump", "stands")}, "grid#calls/valve", Correct, codeAsExpected, "", false},
		{"a cell left empty", []change{blank("grid#rests/valve")}, "grid#rests/valve", NotAttempted, codeBlank, "", false},
		{"a word that is not offered", []change{put("grid#rests/valve", "half")}, "grid#rests/valve", ToRead, codeNotAnOption, "", false},
		{"an observation", []change{put("noise", "Rattles")}, "noise", Wrong, codeNotExpected, "", false},
		{"all steps", nil, "isolation", Correct, codeAllSteps, "", false},
		{"a safety-critical declaration in other letters", []change{put("read", " YES ")}, "read", Recorded, codeRecorded, "", false},
		{"a step is missing", []change{blank("isolation#again")}, "isolation", Wrong, codeStepsMissing, "", true},
		{"no step at all", []change{blank("isolation#prove"), blank("isolation#test"), blank("isolation#again")}, "isolation", NotAttempted, codeBlank, "", true},
		{"confirmed", nil, "read", Recorded, codeRecorded, "", false},
		{"not confirmed", []change{blank("read")}, "read", NotAttempted, codeBlank, "", true},
		{"something else than a tick", []change{put("read", "mostly")}, "read", ToRead, codeNotAnOption, "", true},
	})
}

func TestWorkingIsReRun(t *testing.T) {
	runRules(t, []rule{
		{"agrees", nil, "P", Correct, codeWithin, "", false},
		{"two digits changed places", []change{put("P", "18.5", "kW"), working("P", "12.4 ÷ 60 × 0.988 × 4.18 × 18.5")}, "P", Wrong, codeOutside, "working_disagrees method_right", false},
		{"arithmetic astray inside the line", []change{working("P", "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 16.8 = 15.8 kW")}, "P", Correct, codeWithin, "working_arithmetic working_arithmetic", false},
		{"cut off, not rounded", []change{put("P", "15.78", "kW"), working("P", "12.4 ÷ 60 × 0.988 × 4.18 × 18.5 = 15.78 kW")}, "P", Correct, codeWithin, "working_truncated", false},
		{"several lines, the last one counts", []change{working("P", "m = 12.4 / 60 × 0.988 = 0.2042\nQ = 0.2042 × 4.18 × 18.5 = 15.8")}, "P", Correct, codeWithin, "", false},
		{"went on with what was not yet rounded", []change{working("P", "12.4 / 60 = 0.21\n0.21 × 0.988 × 4.18 × 18.5 = 15.8 kW")}, "P", Correct, codeWithin, "", false},
		{"astray beyond what rounding explains", []change{working("P", "12.4 / 60 = 0.21\n0.21 × 0.988 × 4.18 × 18.5 = 16.5 = 15.8 kW")}, "P", Correct, codeWithin, "working_arithmetic working_arithmetic", false},
		{"names of earlier figures", []change{working("P", "12.4 / 60 × 0.988 × 4.18 × dT = 15.8")}, "P", Correct, codeWithin, "", false},
		{"units changed in the head", []change{working("P", "12.4 / 60 × 0.988 × 4180 × 18.5 = 15.8 kW")}, "P", Correct, codeWithin, "", false},
		{"every number with its unit", []change{working("P", "12.4 L/min × 0.988 kg/L × 4.18 kJ/(kg·K) × 18.5 K = 15.8 kW")}, "P", Correct, codeWithin, "", false},
		{"units that come to something else", []change{working("P", "12.4 L/min × 0.988 kg/L × 18.5 K = 15.8 kW")}, "P", Correct, codeWithin, "working_units", false},
		{"stated in another unit than worked", []change{put("P", "15790", "W"), working("P", "12.4 / 60 × 0.988 × 4.18 × 18.5 = 15.8 kW")}, "P", Correct, codeWithin, "", false},
		{"unequal sides", []change{working("P", "12.4 / 60 = 0.2067 × 0.988 × 4.18 × 18.5 = 15.8 kW")}, "P", Correct, codeWithin, "working_run_on", false},
		{"a comma for a point", []change{working("P", "12,4 / 60 = 0.207")}, "P", Correct, codeWithin, "working_unread", false},
		{"words are not working", []change{working("P", "see the back of the sheet")}, "P", Correct, codeWithin, "", false},
	})
}

func TestPolicy15Slips(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		name string
		do   []change
		line string
		slip string
		also int // candidates
	}{
		{"named on the stated digits", []change{put("P", "947", "kW")}, "P", "per-second", 0},
		{"in the unit that was stated", []change{put("P", "947400", "W")}, "P", "per-second", 0},
		{"not on the tolerance alone", []change{put("P", "950.3", "kW")}, "P", "", 0},
		{"integer zeros may be meant to fewer digits", []change{put("P", "950", "kW")}, "P", "per-second", 0},
		{"a slip inside the tolerance is none", []change{put("P", "16.06", "kW")}, "P", "", 0},
		{"made on own earlier figures", []change{put("dT", "16.5"), put("P", "845", "kW")}, "P", "per-second", 0},
		{"no slip on a right figure", nil, "P", "", 0},
		{"more than one fits: candidates", []change{put("P", "3.8", "kW")}, "P", "", 2},
		{"a choice", []change{put("size", "5")}, "size", "single", 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := bay7(t, c)
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), row.line)
			if got := slipOf(f); got != row.slip {
				t.Errorf("slip: got %q, want %q\n%s", got, row.slip, f.Tutor)
			}
			if len(f.Candidates) != row.also {
				t.Errorf("candidates: got %v, want %d", f.Candidates, row.also)
			}
		})
	}
}
