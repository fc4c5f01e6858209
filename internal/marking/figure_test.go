package marking

import (
	"strings"
	"testing"

	"witnessmark/internal/quantity"
)

// What follows from an earlier figure keeps its marks, however large it is, and says so once it is a hundred times out.
func TestFarOff(t *testing.T) {
	c := compiled(t, "bay7.yaml")
	for _, tt := range []struct {
		name, P, E, ratio string
		e, r              string // in the flags; "" where there is none
	}{
		{"a watt for a kilowatt", "15790", "31580", "0.000918", "about 1000 times", "about 1/1000 of"},
		{"a thousandth", "0.01579", "0.03158", "918", "about 1/1000 of", "about 1000 times"},
		{"a hundred times", "1579", "3158", "0.00918", "about 100 times", "about 1/100 of"},
		{"not quite a hundred times", "1500", "3000", "0.00967", "", ""},
		{"a hundred times under, and less than nothing", "-1579", "-3158", "-0.00918", "about 100 times", "about 1/100 of"},
		{"near by", "18.5", "37.0", "0.784", "", ""},
	} {
		s := bay7(t, c)
		for line, text := range map[string]string{"P": tt.P, "E": tt.E, "ratio": tt.ratio} {
			unit := map[string]string{"P": "kW", "E": "kWh"}[line]
			put(line, text, unit)(&s)
		}
		r := Mark(c, s)
		if f := find(t, r, "P"); hasFlag(f, FlagFarOff) {
			t.Errorf("%s: where it began is flagged as well", tt.name)
		}
		for line, want := range map[string]string{"E": tt.e, "ratio": tt.r} {
			f := find(t, r, line)
			if f.Verdict != FollowThrough || f.Marks != f.Available || f.Blocks {
				t.Errorf("%s, %s: %s with %d of %d marks, blocks %v: a flag is no mark", tt.name, line, f.Verdict, f.Marks, f.Available, f.Blocks)
			}
			if hasFlag(f, FlagFarOff) != (want != "") {
				t.Errorf("%s, %s: flags %+v, want “%s”", tt.name, line, f.Flags, want)
			}
			for _, flag := range f.Flags {
				if flag.Code == FlagFarOff && (!strings.Contains(flag.Text, want) || !strings.Contains(f.Trainee, "Look at its size, "+want+" that")) {
					t.Errorf("%s, %s: “%s” and “%s”, want “%s”", tt.name, line, flag.Text, f.Trainee, want)
				}
			}
		}
	}
}

func TestFarOffNeedsASize(t *testing.T) {
	for unit, want := range map[string]bool{"kW": true, "%": true, "K": true, "bar(g)": true, "kW(net)": true, "°C": false, "dBm": false, "dB": false} {
		var f Finding
		if f.farOff(quantity.MustUnit(unit), 0.5, 60); hasFlag(&f, FlagFarOff) != want {
			t.Errorf("0.5 and 60 %s: flagged %v", unit, !want)
		}
		var none Finding
		none.farOff(quantity.MustUnit(unit), 0, 60)
		none.farOff(quantity.MustUnit(unit), 60, 0)
		if len(none.Flags) > 0 {
			t.Errorf("nothing is so many times as much as nothing: %+v", none.Flags)
		}
	}
}
