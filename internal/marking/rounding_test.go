package marking

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// The heat output of bay7.yaml is 15.7895 kW, its share of 14.5 kW 108.893 %.
func TestRoundingOfEarlierAnswers(t *testing.T) {
	w := working("P", "15.8 kW")
	runRules(t, []rule{
		{"carried with more digits than were written down", []change{put("P", "14.1", "kW"), put("share", "97.6"), w}, "share", FollowThrough, codeFollows, "", false},
		{"at the far end of what rounds to 14.1", []change{put("P", "14.1", "kW"), put("share", "96.9"), w}, "share", FollowThrough, codeFollows, "", false},
		{"beyond it", []change{put("P", "14.1", "kW"), put("share", "97.7"), w}, "share", Wrong, codeOutside, "", false},
		{"more digits stated, less slack", []change{put("P", "14.10", "kW"), put("share", "97.6"), w}, "share", Wrong, codeOutside, "", false},
		{"stated in another unit", []change{put("P", "14100", "W"), put("share", "97.6"), w}, "share", Wrong, codeOutside, "", false},
		{"a single digit counts as two", []change{put("P", "1e1", "kW"), put("share", "100"), w}, "share", Wrong, codeOutside, "", false},
		{"rounded and carried on rounded: no mistake", []change{put("P", "16", "kW"), put("share", "110"), w}, "share", FollowThrough, codeFollows, "rounding", false},
		{"between the rounded and the true", []change{put("P", "16", "kW"), put("share", "109.5"), w}, "share", FollowThrough, codeFollows, "rounding", false},
		{"beyond the rounded: nothing explains that", []change{put("P", "16", "kW"), put("share", "111"), w}, "share", Wrong, codeOutside, "", false},
		{"carried on unrounded: right, and consistent", []change{put("P", "16", "kW"), put("share", "109"), w}, "share", Correct, codeWithin, "", false},
		{"a wrong one carried on right is not", []change{put("P", "17", "kW"), put("share", "109"), w}, "share", Correct, codeWithin, "inconsistent_with_own_working", false},
		{"exact answers leave no slack", []change{put("E", "31.58"), put("P", "15.8", "kW"), put("share", "109.5"), w}, "share", Wrong, codeOutside, "", false},
		{"safety-critical: the true value decides, and why is said", []change{put("Ve", "4"), put("double", "8.0")}, "double", Wrong, codeTrueDecides, "do_not_fit rounding", true},
	})
	// A load of 15.5 kW is not reached by 15.49, though the 15.5 that was written down for it reaches it.
	near := []change{given("load", "15.5 kW"), put("tr", "51.648"), put("dT", "18.152")}
	runRules(t, []rule{
		{"a choice by the unrounded answer", append(near, put("P", "15.5", "kW"), put("enough", "it does not")), "enough", Correct, codeAsExpected, "", false},
		{"a choice that no rounding explains", append(near, put("P", "15.8", "kW"), put("enough", "it does not")), "enough", Correct, codeAsExpected, "inconsistent_with_own_working", false},
		{"a choice by the rounded one", append(near, put("P", "15.5", "kW"), put("enough", "it does")), "enough", FollowThrough, codeFollows, "do_not_fit", false},
	})
	runRulesOn(t, measured, []rule{
		{"as far as rounding goes", []change{put("tf@as-left", "69.0"), put("dT", "19.0"), put("P", "17"), put("two", "33.5")}, "two", FollowThrough, codeFollows, "", false},
		{"but never across a limit", []change{put("tf@as-left", "69.0"), put("dT", "19.0"), put("P", "17"), put("two", "33.0")}, "two", Wrong, codeOutside, "", false},
		{"four rounded answers: by slopes", []change{put("P", "16.4"), put("two", "32.8"), put("over", "1.9"), put("spare", "113"), put("sum", "52.27")}, "sum", FollowThrough, codeFollows, "", false},
		{"and no further", []change{put("P", "16.4"), put("two", "32.8"), put("over", "1.9"), put("spare", "113"), put("sum", "52.45")}, "sum", Wrong, codeOutside, "", false},
	})
}

func TestRoundingIsSaid(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, row := range []struct {
		do      []change
		line    string
		trainee string
	}{
		{[]change{put("P", "16", "kW"), put("share", "110")}, "share", "The difference is what rounding 16\u2009kW leaves. Carry more figures to the end."},
		{[]change{put("Ve", "4"), put("double", "8.0")}, "double", "The difference is what rounding 4\u2009L leaves. Here the true value decides: carry more figures to the end."},
	} {
		s := bay7(t, c)
		for _, do := range row.do {
			do(&s)
		}
		if f := find(t, Mark(c, s), row.line); !strings.HasSuffix(f.Trainee, row.trainee) {
			t.Errorf("%s: got  %s\nwant …%s", row.line, f.Trainee, row.trainee)
		}
	}
}

// What reach says holds for every value inside the ranges of a formula that rises and falls evenly, and rounding a value
// further never narrows it.
func TestReachHoldsWhatItShould(t *testing.T) {
	c := compiled(t, measured)
	it, _, _ := c.Brief.Item("sum")
	var f = c.Items[len(c.Items)-1]
	if f.Item != it {
		t.Fatal("the last item is not the sum")
	}
	rapid.Check(t, func(rt *rapid.T) {
		var r rounder
		values := r.begin(f.Formula)
		at := make([]float64, len(values))
		for i := range values {
			x, h := rapid.Float64Range(0, 100).Draw(rt, "x"), rapid.Float64Range(0, 1).Draw(rt, "half")
			values[i] = carried{x, x - h, x + h}
			at[i] = rapid.Float64Range(x-h, x+h).Draw(rt, "true")
		}
		least, most, ok := r.reach(f.Formula)
		y, err := f.Formula.Program.Eval(at)
		if err != nil {
			rt.Fatal(err)
		}
		if room := 1e-9 * math.Abs(y); ok && (y < least-room || y > most+room) {
			rt.Errorf("%v is not from %v to %v", y, least, most)
		}
	})
}
