package brief_test

import (
	"slices"
	"strings"
	"testing"

	"witnessmark/internal/brief"
	"witnessmark/internal/brief/sample"
)

// untold finds what Slips says of one way of working of an item against another, "" being the right answer.
func untold(us []brief.Untold, item, key, from string) *brief.Untold {
	for i := range us {
		if u := &us[i]; u.Item == item && u.Key == key && u.From == from {
			return u
		}
	}
	return nil
}

func TestSlipsSaysWhatCannotBeTold(t *testing.T) {
	b := sample.Brief()
	heat := item(b, "heat").Figure
	heat.Slips = append(heat.Slips,
		brief.Slip{Key: "kilogram", Is: "took a litre for a kilogram", Formula: "qv × 1 kg/L × 4.18 kJ/(kg·K) × dt"},     // 1.2 % off, and 3 % is the tolerance
		brief.Slip{Key: "sixtyfold", Is: "once more", Formula: "(qv × 0.988 kg/L × 4.18 kJ/(kg·K) × dt) × 2 × 30"},       // the same as per-second
		brief.Slip{Key: "shifted", Is: "off by a fixed amount", Formula: "qv × 0.988 kg/L × 4.18 kJ/(kg·K) × dt + 1 kW"}, // inside the tolerance where the heat is large
	)
	c, ps := brief.Compile(b, functions())
	if c == nil {
		t.Fatal(ps)
	}
	us := brief.Slips(c)
	if again := brief.Slips(c); !slices.Equal(us, again) {
		t.Error("a second look says something else")
	}
	if u := untold(us, "heat", "kilogram", ""); u == nil || !u.Everywhere() || !strings.Contains(u.Why, "off, which the tolerance accepts") {
		t.Errorf("kilogram: got %+v", u)
	}
	if u := untold(us, "heat", "shifted", ""); u == nil || u.Everywhere() || u.Sets == 0 || !strings.Contains(u.Why, "qv = ") {
		t.Errorf("shifted: got %+v, want some sets, and with which flow rate", u)
	}
	if u := untold(us, "heat", "sixtyfold", "per-second"); u == nil || !strings.Contains(u.Why, "both come to") {
		t.Errorf("sixtyfold: got %+v", u)
	}
	if u := untold(us, "heat", "per-second", ""); u != nil {
		t.Errorf("per-second is told from the right answer everywhere; got %+v", u)
	}
	if !slices.ContainsFunc(us, func(u brief.Untold) bool { return u.Made && u.Item == "heat" }) {
		t.Error("nothing is said of the slips that the marker makes itself")
	}
}

// A slip that is only right in one corner of three ranges is found there, and the corner is named with nothing that does
// not matter to it.
func TestEveryCornerIsTried(t *testing.T) {
	b := sample.Brief()
	for _, name := range []string{"ga", "gb", "gc", "idle"} {
		b.Given = append(b.Given, brief.Given{Name: name, Is: name, From: "1", To: "1000", Step: "1"})
	}
	f := item(b, "share").Figure
	f.Unit, f.Tolerance, f.Slips = "-", &brief.Tolerance{Absolute: "0.5"}, nil
	f.Formula = "1 / (3000 - ga - gb - gc)" // no answer in one corner alone
	b.Model = slices.DeleteFunc(b.Model, func(m brief.ModelAnswer) bool { return m.Item == "share" })
	b.Model = append(b.Model, brief.ModelAnswer{Item: "share", Text: "0"})
	ps := brief.Check(b, functions(), nil)
	want := "With ga = 1000, gb = 1000, gc = 1000 this cannot be worked out: This divides by zero."
	if len(ps.Failures()) != 1 || ps.Failures()[0].Text != want {
		t.Errorf("got\n%v\nwant %s", ps, want)
	}
}
