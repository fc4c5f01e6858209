package marking

import (
	"fmt"
	"strings"
	"testing"

	"witnessmark/internal/brief"
)

// waterBrief is two figures over water's properties. The numbers below were worked with IAPWS-IF97: heat 15.792 kW
// against 16.058 kW by 1 kg/L and 4.2 kJ/(kg·K); growth 2.7562 L against 3.84 L by a flat 4 %.
const waterBrief = `brief: 1
key: water
title: Heat and growth
about: A rig.
conventions: [the flow meter sits in the return]
%s
criteria: [{unit: BSE-101, codes: ["1.1"]}]
given:
  - {name: qv, is: flow, value: 12.4 L/min}
  - {name: tf, is: flow temperature, value: 69.8 °C}
  - {name: tr, is: return temperature, value: 51.3 °C}
  - {name: Vs, is: content, value: 96 L}
stages:
  - key: work
    title: Work
    items:
      - key: P
        title: Heat output
        criteria: ["1.1"]
        figure: {ask: heat output, unit: kW, formula: qv × rho(tr) × cp((tf + tr) / 2) × (tf − tr), tolerance: {relative: 0.5 %%}}
      - key: Ve
        title: Growth
        criteria: ["1.1"]
        figure:
          ask: growth
          unit: L
          formula: Vs × (rho(10 °C) / rho(80 °C) − 1)
          tolerance: {relative: 4 %%}
          %s
      - key: V2
        title: Twice the growth
        criteria: ["1.1"]
        figure: {ask: twice that, unit: L, formula: 2 × Ve, tolerance: {relative: 1 %%}}
      - key: E
        title: Heat in two hours
        criteria: ["1.1"]
        figure: {ask: heat, unit: kWh, formula: 2 h × qv × rho(tr) × cp((tf + tr) / 2) × (tf − tr), tolerance: {relative: 0.5 %%}}
`

func water(t testing.TB, ruledOut, more string) *brief.Compiled {
	t.Helper()
	return compile(t, fmt.Appendf(nil, waterBrief, ruledOut, more))
}

func TestPolicy11RulesOfThumb(t *testing.T) {
	const out = "ruled-out: [constant-water, flat-expansion]"
	const declared = "slips: [{key: flat-4, is: a flat 4 %, formula: Vs × 4 %}]"
	for _, row := range []struct {
		name           string
		ruledOut, more string
		do             []change
		line           string
		verdict        Verdict
		code           string
		marks          int
		slip           string
	}{
		{"the true value", "", "", []change{put("P", "15.79")}, "P", Correct, codeWithin, 1, ""},
		{"constant water, not ruled out", "", "", []change{put("P", "16.06")}, "P", Correct, codeThumb, 1, ""},
		{"the density alone", "", "", []change{put("P", "15.99")}, "P", Correct, codeThumb, 1, ""},
		{"constant water, ruled out", out, "", []change{put("P", "16.25")}, "P", Wrong, codeOutside, 0, ""},
		{"constant water, ruled out, its own value", out, "", []change{put("P", "16.058")}, "P", Wrong, codeOutside, 0, ""},
		{"only the other is ruled out", "ruled-out: [flat-expansion]", "", []change{put("P", "16.06")}, "P", Correct, codeThumb, 1, ""},
		{"outside both", "", "", []change{put("P", "16.5")}, "P", Wrong, codeOutside, 0, ""},
		{"a flat 4 %, not ruled out", "", "", []change{put("Ve", "3.84")}, "Ve", Correct, codeThumb, 1, ""},
		{"a flat 4 %, ruled out", out, "", []change{put("Ve", "3.84")}, "Ve", Wrong, codeOutside, 0, ""},
		{"a flat 4 %, only the other ruled out", "ruled-out: [constant-water]", "", []change{put("Ve", "3.84")}, "Ve", Correct, codeThumb, 1, ""},
		{"a brief that declares it a slip rules it out", "", declared, []change{put("Ve", "3.84")}, "Ve", Wrong, codeOutside, 0, "flat-4"},
		{"1 kg/L both hot and cold is no growth and no rule", "", "", []change{put("Ve", "0")}, "Ve", Wrong, codeOutside, 0, ""},
		{"what follows from it is followed through", "", "", []change{put("Ve", "3.84"), put("V2", "7.68")}, "V2", FollowThrough, codeFollows, 1, ""},
		{"safety-critical: the tutor reads it", "", "safety-critical: true", []change{put("Ve", "3.84")}, "Ve", ToRead, codeThumb, 0, ""},
		{"safety-critical and ruled out", out, "safety-critical: true", []change{put("Ve", "3.84")}, "Ve", Wrong, codeOutside, 0, ""},
		{"a limit that the true value breaks", "", "limit: {at-least: 3 L, source: bay sheet}", []change{put("Ve", "3.84")}, "Ve", Wrong, codeOutside, 0, ""},
		{"a limit that both keep", "", "limit: {at-most: 5 L, source: bay sheet}", []change{put("Ve", "3.84")}, "Ve", Correct, codeThumb, 1, ""},
	} {
		t.Run(row.name, func(t *testing.T) {
			c := water(t, row.ruledOut, row.more)
			var s Sheet
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), row.line)
			if f.Verdict != row.verdict || f.Code != row.code || f.Marks != row.marks || slipOf(f) != row.slip {
				t.Errorf("got %s (%s), %d marks, slip %q; want %s (%s), %d, %q\n%s", f.Verdict, f.Code, f.Marks, slipOf(f), row.verdict, row.code, row.marks, row.slip, f.Tutor)
			}
			if thumb := f.Code == codeThumb; thumb != hasFlag(f, FlagThumb) || thumb != strings.Contains(f.Tutor, "rule of thumb") {
				t.Errorf("flags %v, tutor %q", f.Flags, f.Tutor)
			}
			if f.Code == codeThumb && f.Safety && !f.Blocks {
				t.Error("a safety-critical figure by rule of thumb does not block")
			}
		})
	}
}

func TestPolicy10ASlipIsPaidForOnce(t *testing.T) {
	c := water(t, "", "")
	for _, row := range []struct {
		name  string
		do    []change
		line  string
		want  Verdict
		slip  string
		flags string
	}{
		{"made", []change{put("P", "947.5")}, "P", Wrong, "unit qv L/s", ""},
		{"made afresh on another figure", []change{put("P", "947.5"), put("E", "1895")}, "E", Wrong, "unit qv L/s", "slip_made_again"},
		{"the other figure alone", []change{put("P", "15.79"), put("E", "1895")}, "E", Wrong, "unit qv L/s", ""},
		{"another slip there", []change{put("P", "947.5"), put("E", "-31.58")}, "E", Wrong, "reversed tf − tr", ""},
		{"what follows from the first", []change{put("Ve", "275.6"), put("V2", "551.2")}, "V2", FollowThrough, "", ""},
		{"the first of those", []change{put("Ve", "275.6"), put("V2", "551.2")}, "Ve", Wrong, "times 100", ""},
		{"made again on what was stated", []change{put("Ve", "275.6"), put("V2", "55120")}, "V2", Wrong, "times 100", "slip_made_again"},
	} {
		t.Run(row.name, func(t *testing.T) {
			var s Sheet
			for _, do := range row.do {
				do(&s)
			}
			f := find(t, Mark(c, s), row.line)
			var codes []string
			for _, flag := range f.Flags {
				codes = append(codes, flag.Code)
			}
			if got := strings.Join(codes, " "); f.Verdict != row.want || slipOf(f) != row.slip || got != row.flags {
				t.Errorf("got %s, slip %q of %v, flags %q; want %s, %q, %q\n%s", f.Verdict, slipOf(f), f.Candidates, got, row.want, row.slip, row.flags, f.Tutor)
			}
		})
	}
}

// Slips that the brief does not declare are looked for on three figures or more, and never named beside another.
func TestPolicy15SlipsThatNobodyDeclared(t *testing.T) {
	c := water(t, "", "")
	for _, row := range []struct {
		name, stated, unit string
		slip               string
		also               int
	}{
		{"to four figures", "947.5", "", "unit qv L/s", 0},
		{"to three figures", "948", "", "unit qv L/s", 0},
		{"in another unit", "947500", "W", "unit qv L/s", 0},
		{"an integer's zeros are figures here", "950", "", "", 0},
		{"two figures are too few", "95e1", "", "", 0},
		{"one figure is too few", "9e2", "", "", 0},
		{"near it, but not on its digits", "949", "", "", 0},
		{"heat capacity left out", "3.776", "", "left-out cp", 0},
		{"the mean for the difference", "51.69", "", "mean tf − tr", 0},
		{"wrong way round", "-15.79", "", "reversed tf − tr", 0},
		{"a kilowatt in watts is no slip but the wrong label", "15790", "", "stated-as W kW", 0},
		{"nothing known", "12.34", "", "", 0},
	} {
		t.Run(row.name, func(t *testing.T) {
			var s Sheet
			put("P", row.stated, row.unit)(&s)
			f := find(t, Mark(c, s), "P")
			if f.Verdict != Wrong || f.Marks != 0 {
				t.Errorf("got %s, %d marks", f.Verdict, f.Marks)
			}
			if slipOf(f) != row.slip || len(f.Candidates) != row.also {
				t.Errorf("got %q and %v, want %q and %d\n%s", slipOf(f), f.Candidates, row.slip, row.also, f.Tutor)
			}
			if f.Slip != nil && (!f.Slip.Made || !strings.Contains(f.Tutor, "Looks like a slip: "+f.Slip.Is)) {
				t.Errorf("made %v, tutor %q", f.Slip.Made, f.Tutor)
			}
		})
	}
}

// Two slips that come to the same by chance are candidates both, whoever thought of them (policy 15): with a = 2, doubling
// a is squaring it.
func TestPolicy15SlipsThatMeetByChance(t *testing.T) {
	c := compile(t, []byte(`brief: 1
key: chance
title: Chance
about: A rig.
criteria: [{unit: BSE-101, codes: ["1.1"]}]
given:
  - {name: a, is: a number, from: "2", to: "9", step: "1"}
  - {name: b, is: a length, value: 3.17 m}
stages:
  - key: work
    title: Work
    items:
      - key: x
        title: Figure
        criteria: ["1.1"]
        figure:
          ask: a length
          unit: m
          formula: a × b
          tolerance: {relative: 1 %}
          slips:
            - {key: doubled, is: doubled a, formula: 2 × a × b}
            - {key: squared, is: squared a, formula: a^2 × b}
`))
	for _, row := range []struct {
		a, x string
		slip string
		also int
	}{
		{"2", "12.68", "", 2},
		{"3", "19.02", "doubled", 0},
		{"3", "28.53", "squared", 0},
	} {
		s := ModelSheet(c)
		given("a", row.a)(&s)
		put("x", row.x)(&s)
		r := Mark(c, s)
		f := find(t, r, "x")
		if slipOf(f) != row.slip || len(f.Candidates) != row.also {
			t.Errorf("a = %s, stated %s: slip %q, candidates %v; want %q and %d", row.a, row.x, slipOf(f), f.Candidates, row.slip, row.also)
		}
		b := NewBulk(c, 1)
		block, codes := b.NewBlock(), b.NewCodes()
		b.Add(block, s)
		b.Mark(block, codes)
		if got, want := codeWords(b.Figures()[0], codes[0][0]), findingWords(f); got != want {
			t.Errorf("bulk says %s, Mark %s", got, want)
		}
	}
}

// Trying every way of working on a wrong figure costs no memory where none fits.
func TestLookingForSlipsAllocatesNothing(t *testing.T) {
	c := water(t, "", "")
	s := Sheet{Entries: []Entry{{Item: "P", Text: "12.34"}}}
	m := newMarker(c, s)
	it := &c.Items[0]
	typed := readTyped("12.34", "", it.Unit)
	ref := 15.792
	f := Finding{FromGiven: &ref}
	if n := testing.AllocsPerRun(50, func() { m.matchSlips(it, &f, typed) }); n != 0 || f.Slip != nil || len(f.Candidates) > 0 {
		t.Errorf("%v allocations, slip %v, candidates %v", n, f.Slip, f.Candidates)
	}
	if ways := len(it.Wrongs().Ways); ways < 30 {
		t.Errorf("only %d ways were tried", ways)
	}
}

func BenchmarkMatchSlips(b *testing.B) {
	c := water(b, "", "")
	m := newMarker(c, Sheet{})
	it := &c.Items[0]
	typed := readTyped("12.34", "", it.Unit)
	ref := 15.792
	f := Finding{FromGiven: &ref}
	for b.Loop() {
		m.matchSlips(it, &f, typed)
	}
	b.ReportMetric(float64(len(it.Wrongs().Ways)), "ways")
}
