package brief

import "testing"

func TestUnlikeTheEditionBefore(t *testing.T) {
	before := &RuleSet{Edition: "1", Rules: []Rule{
		{Key: "flow", AtMost: "80 °C"}, {Key: "velocity", Value: "0.85 m/s"}, {Key: "drop", AtLeast: "1 bar", AtMost: "2 bar"},
		{Key: "d2", Table: &RuleTable{Of: "mm", Gives: "m"}}, {Key: "gone", Value: "1 m"},
	}}
	for _, tt := range []struct {
		name string
		rule Rule
		path string // of the warning; "" for none
		says string
	}{
		{"the same", Rule{Key: "flow", AtMost: "75 °C"}, "", ""},
		{"another unit of the kind", Rule{Key: "velocity", Value: "850 mm/s"}, "", ""},
		{"coulombs", Rule{Key: "flow", AtMost: "80 C"}, "rules[0].at-most", "80 C here, 80 °C in edition 1: another kind of quantity. Check the unit."},
		{"a difference", Rule{Key: "flow", AtMost: "80 K"}, "rules[0].at-most", "80 K here, 80 °C in edition 1: another kind of quantity. Check the unit."},
		{"no unit", Rule{Key: "velocity", Value: "0.85"}, "rules[0].value", "0.85 here, 0.85 m/s in edition 1: another kind of quantity. Check the unit."},
		{"an end more", Rule{Key: "flow", AtLeast: "10 °C", AtMost: "80 °C"}, "", ""},
		{"a table of another unit", Rule{Key: "d2", Table: &RuleTable{Of: "mm", Gives: "L"}}, "rules[0].table.gives", "1 L here, 1 m in edition 1: another kind of quantity. Check the unit."},
		{"a new rule", Rule{Key: "fresh", Value: "3 V"}, "", ""},
	} {
		got := (&RuleSet{Rules: []Rule{tt.rule}}).Unlike(before)
		switch {
		case tt.path == "" && len(got) > 0:
			t.Errorf("%s: got %v, want nothing", tt.name, got)
		case tt.path != "" && (len(got) != 1 || got[0].Path != tt.path || got[0].Text != tt.says || !got[0].Warning):
			t.Errorf("%s: got %+v, want %s: %s", tt.name, got, tt.path, tt.says)
		}
	}
}
